"""Waiting for a port to go and to come back, with a clock and ports that the test moves."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from glossbath.errors import LinkError
from glossbath.install import port_return
from glossbath.install.port_return import BACK_S, GONE_S, PortReturn


@dataclass
class Port:
    """As pyserial lists one."""

    device: str
    serial_number: str | None = "E6614"
    vid: int | None = 0x2E8A
    pid: int | None = 0x0005


class Ports:
    """Which ports there are at which time."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *spans: tuple[float, list[Port]]) -> None:
        self.now_s = 0.0
        self._spans = spans
        self.told: list[str] = []
        monkeypatch.setattr(port_return.list_ports, "comports", self.comports)

    def comports(self) -> list[Port]:
        return next(ports for until_s, ports in self._spans if self.now_s < until_s)

    def sleep(self, seconds: float) -> None:
        self.now_s += seconds

    def wait(self, port: str) -> str:
        return PortReturn(port, self.told.append, lambda: self.now_s, self.sleep).wait()


OTHER = Port("/dev/ttyACM7", "other board")


def test_a_board_is_known_again_under_another_name(monkeypatch: pytest.MonkeyPatch) -> None:
    ports = Ports(
        monkeypatch,
        (0.1, [Port("/dev/ttyACM0"), OTHER]),
        (5.0, [Port("/dev/ttyACM0", "a third")]),
        (9.0, [Port("/dev/ttyACM0", "a third"), Port("/dev/ttyACM1")]),
    )
    assert ports.wait("/dev/ttyACM0") == "/dev/ttyACM1"
    assert 5.0 <= ports.now_s < 5.2
    assert ports.told == [
        "waiting for the board's port (2 s)",
        "waiting for the board's port (4 s)",
    ]


def test_a_port_that_never_goes_is_taken_after_a_while(monkeypatch: pytest.MonkeyPatch) -> None:
    # A bridge from USB to the board's UART stays when the board restarts.
    ports = Ports(monkeypatch, (99.0, [Port("/dev/ttyUSB0")]))
    assert ports.wait("/dev/ttyUSB0") == "/dev/ttyUSB0"
    assert GONE_S <= ports.now_s < GONE_S + 0.2


def test_a_board_that_stays_away_is_said_in_time(monkeypatch: pytest.MonkeyPatch) -> None:
    ports = Ports(monkeypatch, (0.1, [Port("/dev/ttyACM0")]), (99.0, [OTHER]))
    with pytest.raises(LinkError, match="did not come back within 20 s: unplug the board"):
        ports.wait("/dev/ttyACM0")
    assert ports.now_s < BACK_S + 1


def test_a_port_without_a_number_is_known_by_its_name(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    ports = Ports(monkeypatch, (99.0, [OTHER]))
    link = tmp_path / "port"
    link.symlink_to("/dev/null")
    waits = []

    def sleep(seconds: float) -> None:
        waits.append(seconds)
        ports.now_s += seconds
        if len(waits) == 5:
            link.unlink()
        if len(waits) == 20:
            link.symlink_to("/dev/null")

    assert PortReturn(str(link), ports.told.append, lambda: ports.now_s, sleep).wait() == str(link)
    assert len(waits) == 20
