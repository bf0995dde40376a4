"""Every cut-off of the board and a fault that brings it about, put into the virtual rig's parts.

A case says how the rig begins, what breaks once heat is enabled, and when the condition that the
cut-off is for has really begun; the time from there to the trip is what is measured. `allowed_s`
is the row's own time and what its probe and the passes may add: a DS18B20 on a wire of three is
read every 1.5 s and shows what was there a second earlier: its conversion and a margin.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from direct import Direct, program

from glossbath.virtual.virtual import Options
from glossbath_board.program import Program

PROBE_S = 3.0  # a cycle of the wire, a conversion and its margin, two passes
PASS_S = 0.5

Rig = Callable[[Direct], None]
Begun = Callable[[Direct], bool]


def nothing(d: Direct) -> None:
    """Nothing breaks."""


def at_once(d: Direct) -> bool:
    """The condition begins with the fault."""
    return True


@dataclass(frozen=True)
class Case:
    """A fault and the trip it must end in. detail is what the trip says besides, '' for any."""

    code: str
    name: str
    fault: Rig
    allowed_s: float
    detail: str = ""
    options: Options = field(default_factory=Options)
    recipe: str | Program = "dark"
    warm_up_s: float = 5.0
    begun: Begun = at_once
    within_s: float = 60.0
    before: Rig = nothing
    """What is broken from the start."""

    @property
    def id(self) -> str:
        return f"{self.code}: {self.name}"


def begin(**temperatures: float) -> Options:
    """A rig that begins at these temperatures."""
    return Options(begin=temperatures)


def hot(probe: str, limit_c: float) -> Begun:
    """The metal in a probe is hotter than that."""
    return lambda d: d.rig.probes[probe].element_c > limit_c + 0.04


MELT = program("melt", 48.0, 58.0)
HOLD = program("hold", 30.5, 33.0)
