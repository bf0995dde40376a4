"""A port that goes away at any moment, under a write that waits too: a lost line, no more."""

from __future__ import annotations

import os
import pty
import threading
import time
import tty
from pathlib import Path
from typing import Any

import pytest
import serial
from hand_clock import HandClock
from patience import until

from glossbath.board.link import Link
from glossbath.board.portlock import PortLock

OPENS = 60
FRAME = {"k": "note", "text": "x" * 120}


@pytest.fixture
def raised(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """What any thread raised."""
    seen: list[Any] = []
    monkeypatch.setattr(threading, "excepthook", seen.append)
    return seen


def test_unplugging_under_a_full_buffer_is_a_lost_line(raised: list[Any]) -> None:
    for number in range(OPENS):
        far, near = pty.openpty()
        tty.setraw(near)
        link = Link(os.ttyname(near), HandClock())
        assert link.open()
        os.close(near)
        writers = [threading.Thread(target=_fill, args=(link,)) for _ in range(2)]
        for writer in writers:
            writer.start()
        time.sleep(0.002 * (number % 5))
        os.close(far)  # nobody has read: the buffer is full and a write waits
        for writer in writers:
            writer.join(10.0)
            assert not writer.is_alive()
        until(lambda: not link.connected, lambda: time.sleep(0.005))  # noqa: B023
        assert not link.send(FRAME)
        link.close()
    assert raised == []


def _fill(link: Link) -> None:
    until = time.monotonic() + 0.05
    while time.monotonic() < until:
        link.send(FRAME)


def test_no_send_waits_for_a_port_that_takes_nothing() -> None:
    far, near = pty.openpty()
    tty.setraw(near)
    link = Link(os.ttyname(near), HandClock())
    try:
        assert link.open()
        begun = time.monotonic()
        taken = sum(link.send(FRAME) for _ in range(2_000))
        assert taken < 2_000, "the port took everything: this test shows nothing"
        assert time.monotonic() - begun < 60.0, "each write of pyserial waits a second"
    finally:
        link.close()
        os.close(far)
        os.close(near)


def test_a_stop_goes_before_everything_that_waits() -> None:
    far, near = pty.openpty()
    tty.setraw(near)
    link = Link(os.ttyname(near), HandClock())
    try:
        assert link.open()
        while link.send(FRAME):
            pass
        assert link.send({"k": "stop"}, alone=True)
        heard = b""
        os.set_blocking(far, False)

        def look() -> bool:
            nonlocal heard
            try:
                heard += os.read(far, 65536)
            except BlockingIOError:
                return False
            return b'"stop"' in heard

        until(look, lambda: time.sleep(0.005))
        assert heard.count(b'"note"') < heard[: heard.index(b'"stop"')].count(b"\n") + 2
    finally:
        link.close()
        os.close(far)
        os.close(near)


def test_a_port_says_who_holds_it(tmp_path: Path) -> None:
    far, near = pty.openpty()
    try:
        port = os.ttyname(near)
        first, second = PortLock(port, "the first"), PortLock(port, "the second")
        assert first.take() == ""
        said = second.take()
        assert "the first" in said and str(os.getpid()) in said
        first.release()
        assert second.take() == ""
        second.release()
        assert PortLock("socket://localhost:1", "x").take() == ""
    finally:
        os.close(far)
        os.close(near)


def test_nobody_else_speaks_on_a_port_that_is_in_use() -> None:
    """Another program, which knows nothing of our lock, asks for the port exclusively as
    POSIX terminals allow (pyserial: exclusive): whoever is first has it alone."""
    far, near = pty.openpty()
    tty.setraw(far)
    link = Link(os.ttyname(near), HandClock())
    try:
        with serial.Serial(os.ttyname(near), exclusive=True):
            assert not link.open()
            assert link.taken and link.obstacle
        assert link.open()
        with pytest.raises(serial.SerialException):
            serial.Serial(os.ttyname(near), exclusive=True)
    finally:
        link.close()
        os.close(far)
        os.close(near)
