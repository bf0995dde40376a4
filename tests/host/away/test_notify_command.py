"""glossbath notify as a person types it, and the process that tells."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import msgspec
import pytest
from typer.testing import CliRunner

from glossbath.away.alone import start_notifier
from glossbath.away.heartbeat import EVERY_S, Heartbeat
from glossbath.cli.app import app
from glossbath.client import away_status

from ..screens.fake_keeper import TRIP, FakeKeeper, reading
from .conftest import Receiver

GUARD_S = 60.0


def glossbath(*words: str, given: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "glossbath", "notify", *words],
        capture_output=True,
        text=True,
        input=given,
        timeout=GUARD_S,
    )


def until(what, guard_s: float = GUARD_S) -> None:
    """Wait for something another process does; the limit only guards against hanging."""
    end = time.monotonic() + guard_s
    while not what():
        assert time.monotonic() < end
        time.sleep(0.02)


@contextmanager
def notifier() -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen([sys.executable, "-m", "glossbath.away.notifier"])
    try:
        yield process
    finally:
        process.terminate()
        process.wait(GUARD_S)


def settings_file(run_folder: Path) -> Path:
    return Path(os.environ["XDG_CONFIG_HOME"]) / "glossbath" / "notify.json"


def test_an_address_is_added_shown_tried_and_removed(run_folder: Path, receiver: Receiver):
    done = glossbath("add", receiver.notice_url, "--quiet", "22:00-07:00")
    assert done.returncode == 0, done.stderr
    shown = glossbath("list").stdout
    assert "quiet 22:00-07:00" in shown
    assert "marzipan" not in shown + done.stdout
    assert settings_file(run_folder).stat().st_mode & 0o777 == 0o600
    assert glossbath("test").returncode == 0
    assert receiver.next()["title"] == "Glossbath test"
    assert glossbath("remove", "1").returncode == 0
    assert "Nobody is told" in glossbath("list").stdout


def test_an_address_can_be_typed_where_no_list_of_processes_shows_it(
    run_folder: Path, receiver: Receiver
):
    done = glossbath("add", given=receiver.notice_url + "\n")
    assert done.returncode == 0, done.stderr
    assert "marzipan" not in done.stdout + done.stderr


@pytest.mark.filterwarnings("ignore::DeprecationWarning")  # of what apprise imports
def test_an_address_that_is_typed_does_not_come_to_stand_on_the_screen(
    run_folder: Path, receiver: Receiver
):
    # What click's runner gives back has what a person typed, but for what is hidden.
    done = CliRunner().invoke(app, ["notify", "add"], input=receiver.notice_url + "\n")
    assert done.exit_code == 0, done.output
    assert "Address:" in done.output
    assert "marzipan" not in done.output


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("add", "nonsense://maker:marzipan@x"), "is no address"),
        (("add", "json://127.0.0.1/", "--events", "birthday"), "is no event"),
        (("add", "json://127.0.0.1/", "--quiet", "late"), "22:00-07:00"),
        (("remove", "7"), "no address '7'"),
        (("test",), "no such address"),
        (("heartbeat", "ftp://x"), "https://"),
    ],
)
def test_bad_input_is_one_sentence(run_folder: Path, words, sentence):
    done = glossbath(*words)
    assert done.returncode == 2
    assert sentence in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert "marzipan" not in done.stderr


def test_an_address_nobody_answers_at_is_said_to_be_so(run_folder: Path, receiver: Receiver):
    receiver.refuses = True
    glossbath("add", receiver.notice_url)
    done = glossbath("test")
    assert done.returncode == 1
    assert "Not delivered to 1" in done.stderr
    assert "marzipan" not in done.stderr + done.stdout


def test_a_damaged_file_of_addresses_is_named(run_folder: Path):
    path = settings_file(run_folder)
    path.parent.mkdir(parents=True)
    path.write_bytes(b'{"targets": 7')
    done = glossbath("list")
    assert done.returncode == 1
    assert str(path) in done.stderr


def test_a_trip_and_its_keepers_death_reach_the_phone_once(
    run_folder: Path, receiver: Receiver, keeper: FakeKeeper
):
    glossbath("add", receiver.notice_url)
    with notifier():
        until(lambda: away_status.read("notifier") is not None)
        until(lambda: keeper._clients)
        keeper.say(reading())
        keeper.say(TRIP)
        told = receiver.next()
        assert told["title"] == "VIRTUAL RIG kitchen: TRIPPED"
        assert TRIP.do_now in told["message"]
        keeper.say(TRIP, msgspec.structs.replace(TRIP, state="acknowledged"))
        keeper.close()
        told = receiver.next()
        assert told["title"] == "VIRTUAL RIG kitchen: the keeper has gone"
        assert receiver.told.empty()


def test_what_is_not_delivered_is_shown_at_the_screen_and_delivered_later(
    run_folder: Path, receiver: Receiver, keeper: FakeKeeper
):
    glossbath("add", receiver.notice_url)
    receiver.refuses = True
    with notifier():
        until(lambda: keeper._clients)
        keeper.say(reading(), TRIP)

        def sentence() -> str:
            status = away_status.read("notifier")
            return status.sentence if status else ""

        until(lambda: "not delivered" in sentence())
        assert "marzipan" not in sentence()
        receiver.refuses = False
        assert "TRIPPED" in receiver.next()["title"]
        until(lambda: sentence() == "")


def test_two_notifiers_are_one(run_folder: Path, receiver: Receiver):
    glossbath("add", receiver.notice_url)
    with notifier():
        until(lambda: away_status.read("notifier") is not None)
        second = subprocess.run(
            [sys.executable, "-m", "glossbath.away.notifier"],
            capture_output=True,
            text=True,
            timeout=GUARD_S,
        )
        assert second.returncode == 1
        assert "runs already" in second.stderr


def test_a_cycle_that_starts_brings_the_notifier_and_needs_none(
    run_folder: Path, receiver: Receiver, keeper: FakeKeeper, capsys
):
    assert not start_notifier()
    glossbath("add", receiver.notice_url)
    process = start_notifier()
    assert process is not None
    until(lambda: away_status.read("notifier") is not None)
    process.terminate()
    process.wait(GUARD_S)
    assert away_status.read("notifier") is None
    settings_file(run_folder).write_bytes(b"{")
    assert not start_notifier()
    assert "Nobody is told" in capsys.readouterr().err


def test_a_killed_notifier_leaves_nothing_that_says_it_lives(
    run_folder: Path, receiver: Receiver, keeper: FakeKeeper
):
    glossbath("heartbeat", receiver.url)
    with notifier() as process:
        until(lambda: receiver.calls == 1)
        process.send_signal(signal.SIGKILL)
        process.wait(GUARD_S)
        assert away_status.read("notifier") is None
    with notifier():
        until(lambda: receiver.calls == 2)


def test_the_heartbeat_beats_each_minute_and_not_without_an_address(receiver: Receiver):
    heart = Heartbeat()
    for second in range(int(3 * EVERY_S)):
        heart.step(receiver.url if second < 2 * EVERY_S else "", float(second))
        if heart._thread:
            heart._thread.join(GUARD_S)
    assert receiver.calls == 2
    assert heart.problem == ""
    receiver.refuses = True
    heart.step(receiver.url, 1000.0)
    assert heart._thread is not None
    heart._thread.join(GUARD_S)
    assert heart.problem
