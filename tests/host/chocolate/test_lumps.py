"""The two lumps against closed forms and against a general-purpose solver."""

from __future__ import annotations

import math
from typing import Any

import pytest
from scipy.integrate import solve_ivp

from glossbath.chocolate import heat
from glossbath.chocolate.lumps import NEAR_C, Drive, Lumps, arrive

REFERENCE = Lumps(
    bath_j_per_k=15_240,
    chocolate_kg=1.0,
    chocolate_cp_factor=1.0,
    melt_j_per_kg=0.0,
    coupling_w_per_k=4.5,
    loss_w_per_k=2.0,
    room_c=20.0,
)


def test_a_tight_coupling_heats_as_one_lump() -> None:
    # Closed form t = tau ln((Te - T0)/(Te - T1)) of the whole.
    tight = Lumps(15_240, 1.0, 1.0, 0.0, 300.0, 2.0, 20.0)
    there = arrive(tight, Drive(250, 90, 35), 20, 20)
    assert there is not None
    expected = heat.heater_s(15_240 + 1590, 250, 20, 35 - NEAR_C, loss_w_per_k=2)
    assert there.seconds == pytest.approx(expected, rel=0.01)
    assert there.work_j == pytest.approx(250 * there.seconds)


def test_a_bath_at_its_limit_warms_the_chocolate_exponentially() -> None:
    # Closed form for a bath that stands still: t = (m c / UA) ln(step / rest).
    there = arrive(REFERENCE, Drive(250, 38, 37), 38, 22)
    assert there is not None
    expected = 1590 / 4.5 * math.log((38 - 22) / (38 - 37 + NEAR_C))
    assert there.seconds == pytest.approx(expected, rel=0.01)
    assert there.bath_c == pytest.approx(38, abs=0.01)


def test_a_lagging_phase_agrees_with_a_solver() -> None:
    def slope(_: float, state: Any) -> list[float]:
        bath, chocolate = state
        flow = 4.5 * (bath - chocolate)
        return [(200 - flow - 2 * (bath - 20)) / 15_240, flow / 1590]

    def arrived(_: float, state: Any) -> float:
        return float(state[1] - (32 - NEAR_C))

    arrived.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(slope, (0, 20_000), [20, 20], events=arrived, rtol=1e-9, atol=1e-9)
    assert solved.t_events is not None
    assert solved.y_events is not None
    there = arrive(REFERENCE, Drive(200, 90, 32), 20, 20)
    assert there is not None
    assert there.seconds == pytest.approx(solved.t_events[0][0], abs=4)
    assert there.bath_c == pytest.approx(solved.y_events[0][0][0], abs=0.05)


def test_melting_takes_the_melt_heat() -> None:
    # Between two runs that differ only by the melt heat, the heater gives that much more.
    tight = Lumps(15_240, 1.0, 1.0, 0.0, 300.0, 0.0, 20.0)
    melting = Lumps(15_240, 1.0, 1.0, 57_000.0, 300.0, 0.0, 20.0)
    liquid = arrive(tight, Drive(250, 90, 45), 20, 20)
    solid = arrive(melting, Drive(250, 90, 45), 20, 20)
    assert liquid is not None
    assert solid is not None
    assert solid.work_j - liquid.work_j == pytest.approx(57_000, rel=0.02)


def test_cooling_never_heats_and_heating_never_cools() -> None:
    there = arrive(REFERENCE, Drive(-150, 24, 25), 45, 45)
    assert there is not None
    assert there.work_j < 0
    assert there.bath_c == pytest.approx(24, abs=0.01)
    cold_room = Lumps(15_240, 1.0, 1.0, 0.0, 4.5, 2.0, 5.0)
    passive = arrive(cold_room, Drive(-150, 24, 20), 24, 24)
    assert passive is not None
    assert passive.work_j >= -150 * passive.seconds


def test_what_never_arrives_is_none() -> None:
    assert arrive(REFERENCE, Drive(-0.0, 20, 18), 45, 45) is None
    assert arrive(REFERENCE, Drive(20, 90, 45), 20, 20) is None
