"""The shortest cycle which a rig's heater, ice water, walls and limits leave possible.

Up to where all fat has melted, full heat inside the bath's limit is the fastest way: more heat
earlier leaves every node warmer at every later moment, so that part is the plant itself under
full heat, latent heat included. From there on the plant is linear as long as no fat sets, and
`minimum` gives the fewest steps. Left out is what would make it slower: heat of crystallisation
and ice water that warms.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from minimum import Array, Stage, System, fewest, path
from rigs import Rig, stirred

from glossbath.virtual.plant import Actuators, Plant
from glossbath_board.output import Proportioner
from glossbath_board.program import Phase, Program

BODY, BATH, BOWL, CHOCOLATE = range(4)
HOLD_S = 300.0
"""The working window must be kept this long after the cycle, or reaching it proves nothing."""
_BELOW_WINDOW_K = 4.0
_STEP_S = 0.25
_MOST_STEPS = 4000


@dataclass(frozen=True)
class Shortest:
    """Seconds from the start to the end of each phase's dwell but hold's; total_s is the last."""

    ends_s: dict[str, float]

    @property
    def total_s(self) -> float:
        return max(self.ends_s.values())


def shortest(rig: Rig, program: Program, dt_s: float = 10.0) -> Shortest | None:
    """The shortest cycle, to dt_s (s) a phase; None where the rig never gets there."""
    melt, soak, cool, reheat, hold = program.phases
    plant = rig.plant()
    begin_s = _full_heat(plant, melt)
    if begin_s is None:
        return None
    start = np.array([plant.body_c, plant.bath_c, plant.bowl_c, plant.chocolate_c])
    cp = rig.parameters.chocolate
    warm = [_system(rig, phase, cp.cp_warm_j_per_kg_k) for phase in (melt, soak)]
    cold = [_system(rig, phase, cp.cp_cool_j_per_kg_k) for phase in (cool, reheat, hold)]
    legs = (
        ("soak", melt, warm[0], [_dwell(warm[0], melt, dt_s), _dwell(warm[1], soak, dt_s)]),
        ("cool", cool, cold[0], [_dwell(cold[0], cool, dt_s)]),
        ("reheat", reheat, cold[1], [_dwell(cold[1], reheat, dt_s)]),
    )
    kept = _dwell(cold[2], hold, dt_s, HOLD_S)
    ends: dict[str, float] = {}
    done: list[Stage] = []
    for name, phase, system, dwell in legs:
        # The hold counts for the last leg only: a dwell as long as the night says nothing here.
        after = [kept] if phase is reheat else []
        steps = _fewest_steps(start, done, system, phase, dwell + after, dt_s)
        if steps is None:
            return None
        done = [*done, _approach(system, phase, steps), *dwell]
        ends[name] = begin_s + dt_s * sum(stage.steps for stage in done)
    return Shortest(ends)


def _fewest_steps(
    start: Array, done: list[Stage], system: System, phase: Phase, after: list[Stage], dt_s: float
) -> int | None:
    """How many steps the way into phase's window needs at least, after done and before after."""

    def enough(steps: int) -> bool:
        return path(start, [*done, _approach(system, phase, steps), *after], dt_s) is not None

    return fewest(enough, round(300 / dt_s), _MOST_STEPS)


def _full_heat(plant: Plant, melt: Phase) -> float | None:
    """Heat plant at full until a little below the window; the seconds it took."""
    stir = Proportioner(20_000)
    goal_c = melt.low_mc / 1000 - _BELOW_WINDOW_K
    limit_c = melt.bath_high_mc / 1000
    for step in range(round(melt.timeout_ms / 1000 / _STEP_S)):
        if plant.chocolate_c >= goal_c and plant.melted_share > 0.999:
            return step * _STEP_S
        heat = 1.0 if plant.bath_c < limit_c else 0.0
        stirring = stir.step(melt.stir_permille, round(1000 * _STEP_S))
        plant.step(_STEP_S, Actuators(heat, 0.0, float(stirring)))
    return None


def _system(rig: Rig, phase: Phase, cp_j_per_kg_k: float) -> System:
    """The rig with all fat liquid, the lid on and the stirrer at this phase's share.

    Inputs: heat in W, chill in W.
    """
    p = rig.parameters
    wall = p.bowl_chocolate_w_per_k * stirred(p, phase.stir_permille / 1000)
    flows = np.zeros((4, 4))
    for one, other, w_per_k in (
        (BODY, BATH, p.body_water_w_per_k),
        (BATH, BOWL, p.water_bowl_w_per_k),
        (BOWL, CHOCOLATE, wall),
    ):
        flows[one, one] -= w_per_k
        flows[other, other] -= w_per_k
        flows[one, other] += w_per_k
        flows[other, one] += w_per_k
    to_room = np.array([p.body_room_w_per_k, p.lid_room_w_per_k, 0.0, p.chocolate_room_w_per_k])
    flows -= np.diag(to_room)
    capacity = np.array(
        [
            p.body_kg * p.body_cp_j_per_kg_k,
            p.water_kg * p.water_cp_j_per_kg_k,
            p.bowl_kg * p.bowl_cp_j_per_kg_k,
            p.chocolate_kg * cp_j_per_kg_k,
        ]
    )
    inputs = np.zeros((4, 2))
    inputs[BODY, 0] = 1.0
    inputs[BATH, 1] = -1.0
    from_room = to_room * rig.room_c
    from_room[CHOCOLATE] += _paddle_w(rig, phase)
    # chill <= coil (bath - 0 °C): mix x + gate u <= most
    mix = np.array([[0.0, 0.0, 0.0, 0.0], [0.0, -p.coil_w_per_k, 0.0, 0.0]])
    return System(
        flows / capacity[:, None],
        inputs / capacity[:, None],
        from_room / capacity,
        mix,
        np.eye(2),
        np.array([p.heater_w, 0.0]),
    )


def _paddle_w(rig: Rig, phase: Phase) -> float:
    """Mean heat from the paddle in W."""
    stirrer = Plant(rig.parameters).stirrer
    stirrer.drive(1.0, phase.target_mc / 1000, 0.0, 0.0, 1.0)
    return stirrer.heat_w * phase.stir_permille / 1000


def _approach(system: System, phase: Phase, steps: int) -> Stage:
    """Into the window, wherever the bath comes from: it may be outside its limits at first, so
    only the side it is driven to is bounded."""
    low, high = np.full(4, -np.inf), np.full(4, np.inf)
    arrive_low, arrive_high = low.copy(), high.copy()
    arrive_low[CHOCOLATE] = phase.low_mc / 1000
    arrive_high[CHOCOLATE] = phase.high_mc / 1000
    if phase.name == "cool":
        low[BATH] = phase.bath_low_mc / 1000
        low[CHOCOLATE] = phase.low_mc / 1000
    else:
        high[BATH] = phase.bath_high_mc / 1000
        high[CHOCOLATE] = phase.high_mc / 1000
    return Stage(system, steps, low, high, arrive_low, arrive_high)


def _dwell(system: System, phase: Phase, dt_s: float, seconds: float | None = None) -> Stage:
    """Inside every limit for the phase's dwell, or for seconds."""
    if seconds is None:
        seconds = phase.dwell_ms / 1000
    low, high = np.full(4, -np.inf), np.full(4, np.inf)
    low[BATH] = phase.bath_low_mc / 1000
    high[BATH] = phase.bath_high_mc / 1000
    low[CHOCOLATE] = phase.low_mc / 1000
    high[CHOCOLATE] = phase.high_mc / 1000
    return Stage(system, max(1, math.ceil(seconds / dt_s)), low, high, low, high)
