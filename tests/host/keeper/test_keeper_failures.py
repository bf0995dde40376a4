"""Whatever raises inside a step: helpers are fenced, anything else ends in a stop and a record."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from stand_in_board import Rig

from glossbath.client.messages import Alarm
from glossbath.record import open_cycle


class Boom(Exception):
    """What no code here expects."""


def _raise(*_: Any, **__: Any) -> Any:
    raise Boom("invented")


def _idle(rig: Rig) -> None:
    rig.run(1)


def _waiting(rig: Rig) -> None:
    _running(rig)
    rig.board.values.update(st="waiting", h=0)
    rig.run(2)


def _running(rig: Rig) -> None:
    assert rig.start().ok
    rig.run(2)


def _held(rig: Rig) -> None:
    _running(rig)
    assert rig.ask("hold").ok


def _stopping(rig: Rig) -> None:
    _running(rig)
    rig.board.obeying = False
    rig.board.values["c"] = 53_000
    rig.run(2)
    assert rig.board.kinds("stop")


def _ended(rig: Rig) -> None:
    _running(rig)
    assert rig.ask("stop").ok


STATES: dict[str, Callable[[Rig], None]] = {
    "idle": _idle,
    "waiting": _waiting,
    "running": _running,
    "held": _held,
    "stopping": _stopping,
    "ended": _ended,
}
IN_A_CYCLE = ("waiting", "running", "held", "stopping")

# What supervises, speaks to the board or writes the record: (owner of the method, its name).
NEEDED = {
    "line, opening": ("_session", "keep_open"),
    "line, receiving": ("_session", "receive"),
    "line, orders": ("_session", "send_orders"),
    "board": ("_board", "receive"),
    "checks, absence": ("_alarms", "woke"),
    "checks, present": ("_alarms", "look"),
}
NEEDED_IN_A_CYCLE = {
    "lease": ("_session", "renew_lease"),
    "checks, reading": ("_alarms.watch", "reading"),
    "record, reading": ("batch", "record_reading"),
    "record, sync": ("batch.writer", "sync"),
}
HELPERS = {
    "assist": ("batch.assist", "reading"),
    "showing": ("_snapshots", "publish_changes"),
    "publish": ("", "_to_clients"),
}


def _break(rig: Rig, place: tuple[str, str], monkeypatch: pytest.MonkeyPatch) -> None:
    owner: Any = rig.keeper
    for name in filter(None, place[0].split(".")):
        owner = getattr(owner, name)
    monkeypatch.setattr(owner, place[1], _raise)


def _cases() -> list[tuple[str, str]]:
    in_all = [(name, state) for name in NEEDED for state in STATES]
    in_cycle = [
        (name, state)
        for name in NEEDED_IN_A_CYCLE
        for state in IN_A_CYCLE
        if not (name == "lease" and state == "stopping")  # no lease is renewed then
    ]
    return in_all + in_cycle


@pytest.mark.parametrize(("name", "state"), _cases())
def test_what_is_needed_may_fail_and_the_rig_is_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, state: str
) -> None:
    rig = Rig(tmp_path / "cycles")
    STATES[state](rig)
    before, leases = rig.board.kinds("stop"), rig.board.kinds("lease")
    _break(rig, {**NEEDED, **NEEDED_IN_A_CYCLE}[name], monkeypatch)
    rig.run(15)
    assert "Boom" in rig.keeper.failure
    assert rig.board.kinds("stop") > before
    assert rig.board.kinds("lease") <= leases + 1
    assert rig.keeper.over
    assert [m for m in rig.messages if isinstance(m, Alarm) and m.code == "keeper-failed"]
    rig.keeper.shut_down("over")
    batch = rig.keeper.batch
    if state in IN_A_CYCLE:
        assert batch is not None
        cycle = open_cycle(batch.folder)
        assert cycle.result == "tripped"
        with open(Path(batch.folder) / "events.csv", newline="") as file:
            assert any("Boom: invented" in row["text"] for row in csv.DictReader(file))


@pytest.mark.parametrize("name", list(HELPERS))
@pytest.mark.parametrize("state", ["running", "held"])
def test_what_only_helps_may_fail_and_the_cycle_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, state: str
) -> None:
    rig = Rig(tmp_path / "cycles")
    STATES[state](rig)
    with monkeypatch.context() as patch:
        _break(rig, HELPERS[name], patch)
        rig.run(5)
    rig.run(5)
    assert rig.keeper.failure == ""
    assert rig.keeper.running
    assert rig.board.values["h"] > 0
    failed = [code for code in rig.alarms() if code.endswith("-failed")]
    assert failed, "nobody was told"
    assert rig.ask("stop").ok


def test_a_hook_that_raises_is_an_alarm(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rig = Rig(tmp_path / "cycles")
    monkeypatch.setattr(rig.hook, "call", _raise)
    assert rig.start().ok
    assert rig.ask("stop").ok
    rig.run(1)
    assert rig.result == "stopped"
    assert "hook-failed" in rig.alarms()


@pytest.mark.parametrize(
    "seed",
    [
        'kind = "chocolate"\ngrams = 1200',
        'kind = "chocolate"\ngrams = 3000',
        'kind = "butter"\nshare_percent = 0.2',
    ],
)
def test_seed_that_the_batch_cannot_take_is_refused_at_the_start(
    tmp_path: Path, seed: str
) -> None:
    from glossbath.recipe import dump, load

    rig = Rig(tmp_path / "cycles")
    text = dump(load("dark-seeded"))
    text = re.sub(r"\[seed\]\n(\w.*\n)+", f"[seed]\n{seed}\nseed_c = 33\n", text)
    batch_kg = 0.2 if "percent" in seed else 1.0
    refused = rig.ask("start", recipe=text, where="mine.toml", batch_kg=batch_kg)
    assert not refused.ok
    assert "of seed do not fit a batch" in refused.text
    assert rig.board.kinds("start") == 0
    assert not list((tmp_path / "cycles").glob("*"))


def test_a_very_cold_room_ends_no_seeded_cycle(tmp_path: Path) -> None:
    from glossbath.recipe import dump, load

    rig = Rig(tmp_path / "cycles")
    assert rig.ask("start", recipe=dump(load("dark-seeded")), where="x", batch_kg=1.0).ok
    rig.board.say({"k": "s", "p": 1, "o": 0, "rt": -40_000, "rh": 10_000})
    rig.board.values.update(ph=2, c=34_500, w=28_000, y=28_000, u=28_000, h=0)
    rig.run(3)
    rig.board.values.update(c=32_900)
    rig.run(30)
    assert rig.keeper.failure == ""
    assert "help" not in str(rig.alarms())
    assert "assist-failed" not in rig.alarms()


def test_what_helps_and_fails_in_the_next_cycle_too_is_told_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig = Rig(tmp_path / "cycles")
    for course in (["raised"], ["returned", "raised"]):
        _running(rig)
        _break(rig, HELPERS["assist"], monkeypatch)
        rig.run(10)
        assert rig.told("assist-failed") == course
        told = [event for event in rig.events("alarm") if event.code == "assist-failed"]
        assert len(told) == 1, "once a cycle, however often it fails"
        assert rig.ask("stop").ok
        rig.messages.clear()


@pytest.mark.parametrize("goes_back", [True, False])
def test_a_cooling_whose_time_is_over_waits_where_the_board_says(
    tmp_path: Path, goes_back: bool
) -> None:
    rig = Rig(tmp_path / "cycles")
    _running(rig)
    rig.board.goes_back = goes_back  # older firmware does not know the order
    rig.board.values.update(ph=2, pt=240 * 60_000 - 30_000, c=31_000, w=30_000, u=25_000, h=0)
    rig.run(3)
    assert [event.text for event in rig.events("order")][-1].startswith(
        "The recipe went back" if goes_back else "The board refused the order (unknown order k)"
    )
    alarm = next(a for a in rig.keeper.snapshot().alarms if a.code == "out-of-reach")
    assert alarm.rig_did.startswith("The rig goes back" if goes_back else "The rig goes on trying")
    assert ("did not" in alarm.happened) != goes_back
    rig.board.values.update(u=50_000 if goes_back else 25_000)
    rig.run(5)
    assert rig.board.kinds("back") == 1
    assert rig.keeper.failure == ""
    assert "host-contradiction" not in rig.alarms()
