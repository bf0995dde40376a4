"""Whether a kitchen can make a cycle at all: the plant under hands that see the truth.

They lead the bath by a multiple of the chocolate's error with whatever heat and chill there is,
with no supervisor and no probe. A kitchen in which they come through can make the cycle; their
time is a plain one, not the shortest.
"""

from __future__ import annotations

from dataclasses import dataclass

from glossbath.virtual.actuators import Actuators
from glossbath.virtual.plants import AnyPlant
from glossbath_board.program import Phase, Program

_STEP_S = 1.0
_LEAD = 2.0


@dataclass(frozen=True)
class Ideal:
    """why is empty where the cycle can be made; ends_s are seconds to the end of each phase."""

    why: str
    ends_s: dict[str, float]

    @property
    def possible(self) -> bool:
        return not self.why


def _hands(plant: AnyPlant, phase: Phase) -> Actuators:
    """Whatever brings the bath ahead of the chocolate by a multiple of what that is off."""
    target = phase.target_mc / 1000
    wanted = target + _LEAD * (target - plant.chocolate_c)
    wanted = min(max(wanted, phase.bath_low_mc / 1000), phase.bath_high_mc / 1000)
    off = wanted - plant.bath_c
    stir = phase.stir_permille / 1000
    return Actuators(min(1.0, max(0.0, 2.0 * off)), min(1.0, max(0.0, -2.0 * off - 0.2)), stir)


def _phase(plant: AnyPlant, phase: Phase) -> float | None:
    """Seconds until the phase's dwell is over, or None where its time is not enough."""
    seconds = inside_s = 0.0
    low, high = phase.low_mc / 1000, phase.high_mc / 1000
    dwell_s = phase.dwell_ms / 1000
    while inside_s < dwell_s:
        if seconds > phase.timeout_ms / 1000:
            return None
        plant.step(_STEP_S, _hands(plant, phase))
        seconds += _STEP_S
        inside_s = inside_s + _STEP_S if low <= plant.chocolate_c <= high else 0.0
    return seconds


def ideal(plant: AnyPlant, program: Program) -> Ideal:
    """Drive plant through program; it is used up."""
    if plant.chocolate_c > program.max_mc / 1000:
        return Ideal("starts above the recipe's limit", {})
    seconds = 0.0
    ends: dict[str, float] = {}
    for phase in program.phases:
        taken_s = _phase(plant, phase)
        if taken_s is None:
            return Ideal(f"{phase.name} takes too long", ends)
        seconds += taken_s
        ends[phase.name] = seconds
    return Ideal("", ends)
