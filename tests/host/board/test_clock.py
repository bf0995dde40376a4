"""The clock of a virtual rig shows the computer's day until its time runs ahead."""

from __future__ import annotations

import socket
import time
from pathlib import Path

import pytest

from glossbath.board.clock import SteppedClock
from glossbath.errors import KeeperError

A_MINUTE_NS = 60 * 10**9


def test_a_rig_that_has_just_been_met_has_the_computers_date(tmp_path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as rig:
        rig.bind(str(tmp_path / "clock"))
        rig.listen()
        clock = SteppedClock(tmp_path / "clock")
        try:
            for _ in range(2):
                assert abs(clock.wall_ns() - time.time_ns()) < A_MINUTE_NS
                assert abs(clock.system_ns() - time.time_ns()) < A_MINUTE_NS
                clock.take_date()
        finally:
            clock.close()


def test_a_clock_that_nobody_keeps_is_said(tmp_path: Path) -> None:
    with pytest.raises(KeeperError, match="clock "):
        SteppedClock(tmp_path / "none")
