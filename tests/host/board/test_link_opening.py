"""How a port is opened: the levels of its lines decide whether a board speaks or is reset."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
import serial
from hand_clock import HandClock

from glossbath.board.link import Link


class Port(SimpleNamespace):
    """In place of pyserial's: what stood in it when it was opened."""

    def open(self) -> None:
        self.when_opened = {k: v for k, v in vars(self).items() if k != "when_opened"}

    def read(self, size: int = 1) -> bytes:
        raise serial.SerialException("gone")

    def cancel_read(self) -> None:
        pass

    cancel_write = close = cancel_read


@pytest.mark.parametrize("dtr", [True, False])
@pytest.mark.parametrize("url", ["/dev/ttyACM0", "socket://localhost:1"])
def test_a_device_is_opened_exclusively_with_both_lines_as_they_were_asked_for(
    monkeypatch: pytest.MonkeyPatch, dtr: bool, url: str
) -> None:
    made: list[Any] = []

    def port_for(name: str, do_not_open: bool, **limits: float) -> Port:
        assert do_not_open, "its lines must be set before it is opened"
        made.append(Port(name=name, **limits))
        return made[-1]

    monkeypatch.setattr(serial, "serial_for_url", port_for)
    link = Link(url, HandClock(), dtr)
    assert link.open()
    link.close()
    (port,) = made
    asked = {"exclusive": True, "dtr": dtr, "rts": dtr} if url.startswith("/") else {}
    at = port.when_opened
    assert {key: at[key] for key in ("exclusive", "dtr", "rts") if key in at} == asked
    assert at["baudrate"] == 115_200
    assert 0 < at["timeout"] < 1 and 0 < at["write_timeout"] <= 1
