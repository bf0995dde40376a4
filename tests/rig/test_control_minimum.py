"""The shortest-cycle bound of the bench against closed forms."""

from __future__ import annotations

import math
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.append(str(Path(__file__).parent.parent / "bench"))

from minimum import Stage, System, fewest, path
from rigs import nominal, program_for
from shortest import shortest

OPEN = np.full(2, np.inf)


def lags(*seconds: float, most: float) -> System:
    """First-order lags side by side under one input from 0 to most."""
    rates = 1.0 / np.array(seconds)
    zero = np.zeros((1, len(seconds)))
    return System(
        -np.diag(rates),
        rates[:, None],
        np.zeros(len(seconds)),
        zero,
        np.eye(1),
        np.array([most]),
    )


def shortest_s(system: System, start: list[float], goal: list[float], dt_s: float) -> float:
    count = len(start)
    free = np.full(count, np.inf)

    def enough(steps: int) -> bool:
        stage = Stage(system, steps, -free, free, np.array(goal), np.array(goal))
        return path(np.array(start), [stage], dt_s) is not None

    steps = fewest(enough, 50, 4000)
    assert steps is not None
    return steps * dt_s


def test_two_lags_need_the_time_of_one_switch() -> None:
    # U (1 - exp(-t1/T)) exp(-t2/T) = r for both lags; T 1 and 0.5, U 2, r 1: t1 = ln 3 and
    # t2 = ln 4/3, together ln 4 (closed form of the bang-bang problem).
    dt_s = 0.005
    found_s = shortest_s(lags(1.0, 0.5, most=2.0), [0.0, 0.0], [1.0, 1.0], dt_s)
    assert math.log(4.0) <= found_s + 1e-9
    assert found_s == pytest.approx(math.log(4.0), abs=1.5 * dt_s)


def test_slow_and_fast_lag_need_the_time_of_one_switch() -> None:
    # The same with T 3600 and 300 s, U 4, r 1: t1 = 1183.409 s, t2 = 410.024 s.
    dt_s = 10.0
    found_s = shortest_s(lags(3600.0, 300.0, most=4.0), [0.0, 0.0], [1.0, 1.0], dt_s)
    assert found_s == pytest.approx(1183.409 + 410.024, abs=1.5 * dt_s)


def test_one_lag_under_full_power_needs_its_logarithm() -> None:
    # C 15 kJ/K, R 0.25 K/W, 200 W, from 20 to 45 °C in a room of 20 °C: tau ln(50/25) = 2599.3 s.
    dt_s = 2.0
    system = System(
        np.array([[-1.0 / 3750.0]]),
        np.array([[1.0 / 15_000.0]]),
        np.zeros(1),
        np.zeros((1, 1)),
        np.eye(1),
        np.array([200.0]),
    )
    assert shortest_s(system, [0.0], [25.0], dt_s) == pytest.approx(2599.3, abs=1.5 * dt_s)


def test_goal_beyond_reach_has_no_shortest_time() -> None:
    system = lags(1.0, most=0.5)

    def enough(steps: int) -> bool:
        goal = np.ones(1)
        stage = Stage(system, steps, -goal * np.inf, goal * np.inf, goal, goal)
        return path(np.zeros(1), [stage], 0.1) is not None

    assert fewest(enough, 10, 200) is None


def test_shortest_cycle_lies_between_its_dwells_and_a_lossless_bound() -> None:
    # 250 W into 15.5 kJ/K from 24 to 46 °C and 1 kg of chocolate (1590 J/(kg K), 36 % fat of
    # 157 kJ/kg) to 46 °C need 1730 s without any loss; dwells are 1 + 10 + 8 + 5 min.
    rig = nominal()
    found = shortest(rig, program_for(rig, 3600.0), 20.0)
    assert found is not None
    lossless_s = (15_490.0 * 22.0 + 1590.0 * 22.0 + 0.36 * 157e3) / 250.0
    assert found.total_s > lossless_s + 24 * 60.0
    assert list(found.ends_s) == ["soak", "cool", "reheat"]
    assert found.total_s < 5400.0
