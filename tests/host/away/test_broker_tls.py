"""A broker with a certificate or a password: who it is, and who may in."""

from __future__ import annotations

import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from glossbath.away.broker import broker
from glossbath.away.shop import Shop

from ..screens.fake_keeper import FakeKeeper, reading
from .broker_process import GUARD_S, BrokerProcess, needs_broker, until

pytestmark = needs_broker


@contextmanager
def tls_broker(
    tmp_path: Path, papers: Path, name: str = "broker", more: str = "allow_anonymous true"
) -> Iterator[BrokerProcess]:
    certificate = papers / f"{name}.pem"
    process = BrokerProcess(
        tmp_path / "broker",
        f"cafile {papers / 'ours.pem'}\ncertfile {certificate}\n"
        f"keyfile {certificate.with_suffix('.key')}\n{more}",
    )
    process.url = process.url.replace("mqtt:", "mqtts:")
    try:
        yield process
    finally:
        process.kill()


@contextmanager
def bridge(monkeypatch, tmp_path: Path, url: str, *words: str) -> Iterator[subprocess.Popen[str]]:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    process = subprocess.Popen(
        [sys.executable, "-m", "glossbath", "bridge", "--broker", url, *words],
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        yield process
    finally:
        process.terminate()
        process.communicate(timeout=GUARD_S)


def said(process: subprocess.Popen[str], words: str) -> str:
    """The line with these words; a bridge that never says them is ended."""
    assert process.stdout is not None
    guard = threading.Timer(GUARD_S, process.kill)
    guard.start()
    try:
        for line in process.stdout:
            if words in line:
                return line
    finally:
        guard.cancel()
    raise AssertionError(f"the bridge ended without saying {words!r}")


def test_a_certificate_is_verified_and_the_right_one_lets_readings_through(
    papers: Path, keeper: FakeKeeper, tmp_path: Path, monkeypatch
):
    ours = papers / "ours.pem"
    with (
        tls_broker(tmp_path, papers) as process,
        bridge(monkeypatch, tmp_path, process.url, "--ca", str(ours)) as ours_in,
    ):
        assert "is there" in said(ours_in, "is there")
        shop = Shop(broker(process.url, authority=ours))
        shop.start()
        try:
            until(lambda: shop.states(0.0))
            keeper.say(reading(chocolate_c=31.4))
            until(lambda: shop.states(0.0)[0].get("chocolate_c") == 31.4)
        finally:
            shop.close()


@pytest.mark.parametrize(
    ("name", "ca"), [("broker", "other"), ("elsewhere", "ours"), ("broker", "")]
)
def test_a_wrong_certificate_gets_a_sentence_and_no_reading(
    papers: Path, keeper: FakeKeeper, tmp_path: Path, monkeypatch, name: str, ca: str
):
    """Signed by another authority, for another name, or by one that this computer knows not."""
    words = ["--ca", str(papers / f"{ca}.pem")] if ca else []
    with tls_broker(tmp_path, papers, name) as process:
        with bridge(monkeypatch, tmp_path, process.url, *words) as refused:
            line = said(refused, "certificate is refused")
            assert "messages wait on disk" in line
            assert refused.poll() is None
        done = subprocess.run(
            [sys.executable, "-m", "glossbath", "look", "--broker", process.url, *words],
            capture_output=True,
            text=True,
            timeout=GUARD_S,
        )
        assert done.returncode == 1
        assert "certificate is refused" in done.stderr
        assert len(done.stderr.strip().splitlines()) == 1


def test_a_broker_that_asks_for_a_certificate_gets_it(
    papers: Path, keeper: FakeKeeper, tmp_path: Path, monkeypatch
):
    strict = "require_certificate true\nuse_identity_as_username true"
    words = ["--ca", str(papers / "ours.pem"), "--certificate", str(papers / "kitchen.pem")]
    words += ["--key", str(papers / "kitchen.key")]
    with (
        tls_broker(tmp_path, papers, more=strict) as process,
        bridge(monkeypatch, tmp_path, process.url, *words) as let_in,
    ):
        said(let_in, "is there")


def test_a_wrong_password_is_refused_in_a_sentence_without_it(
    run_folder: Path, tmp_path: Path, monkeypatch
):
    tool = shutil.which("mosquitto_passwd")
    if not tool:
        pytest.skip("no mosquitto_passwd here")
    users = tmp_path / "users"
    subprocess.run([tool, "-c", "-b", str(users), "maker", "nougat"], check=True)
    process = BrokerProcess(tmp_path / "broker", f"allow_anonymous false\npassword_file {users}")
    secret = tmp_path / "secret.txt"
    words = ["--user", "maker", "--password-file", str(secret)]
    try:
        secret.write_text("marzipan\n")
        with bridge(monkeypatch, tmp_path, process.url, *words) as refused:
            assert "marzipan" not in said(refused, "refuses: Not authorized")
        secret.write_text("nougat\n")
        with bridge(monkeypatch, tmp_path, process.url, *words) as let_in:
            said(let_in, "is there")
    finally:
        process.kill()
