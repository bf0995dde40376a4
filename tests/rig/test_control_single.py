"""The controller in single precision, as on the board, against the same in double precision."""

from __future__ import annotations

import struct
import sys
from pathlib import Path
from typing import Any

import pytest
from simple_pid import PID

sys.path.append(str(Path(__file__).parent.parent / "bench"))

from chain import Chain, Trace, project
from rigs import nominal, program_for

from glossbath_board.balance import Balance, Supply
from glossbath_board.control import Control, Loop
from glossbath_board.estimate import Estimate
from glossbath_board.model import Model
from glossbath_board.trajectory import Trajectory

STORING = (Balance, Control, Trajectory, Estimate, Loop, Model, PID, Supply)
ROUNDED = [0]


def single(value: float) -> float:
    """value rounded to the nearest number of IEEE 754's binary32."""
    return float(struct.unpack("<f", struct.pack("<f", value))[0])


class Single(float):
    """A float whose every operation is rounded to single precision."""

    def __new__(cls, value: float) -> Single:
        ROUNDED[0] += 1
        return super().__new__(cls, single(value))

    def __add__(self, other: float) -> Single:
        return Single(float(self) + other)

    def __sub__(self, other: float) -> Single:
        return Single(float(self) - other)

    def __rsub__(self, other: float) -> Single:
        return Single(other - float(self))

    def __mul__(self, other: float) -> Single:
        return Single(float(self) * other)

    def __truediv__(self, other: float) -> Single:
        return Single(float(self) / other)

    def __rtruediv__(self, other: float) -> Single:
        return Single(other / float(self))

    def __neg__(self) -> Single:
        return Single(-float(self))

    def __abs__(self) -> Single:
        return Single(abs(float(self)))

    __radd__ = __add__
    __rmul__ = __mul__


def store(self: Any, name: str, value: Any) -> None:
    """Attributes keep single-precision numbers, and so does what is reckoned from them."""
    object.__setattr__(self, name, Single(value) if type(value) is float else value)


def cycle() -> Trace:
    rig = nominal()
    return Chain(rig.plant(), program_for(rig, 900.0), project(None)).run(10 * 3600.0)


def test_single_precision_changes_the_chocolate_by_less_than_a_fiftieth_of_a_degree(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    exact = cycle()
    for storing in STORING:
        monkeypatch.setattr(storing, "__setattr__", store, raising=False)
    rounded = cycle()
    assert ROUNDED[0] > 100_000
    assert rounded.end == exact.end == "complete"
    assert rounded.entered_s == pytest.approx(exact.entered_s, abs=0.01)
    apart = [
        abs(one - other) for one, other in zip(rounded.chocolate_c, exact.chocolate_c, strict=True)
    ]
    assert max(apart) < 0.02
