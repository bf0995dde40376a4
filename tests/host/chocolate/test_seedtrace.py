"""What a temperature trace shows about seed, on made-up traces with a known fall."""

from __future__ import annotations

import math
import random

import pytest

from glossbath.chocolate.phase import Window
from glossbath.chocolate.seed import SeedPlan, butter_seed, chocolate_seed
from glossbath.chocolate.seedtrace import NONE_LEFT, coupling_per_s, judge, without_bath
from glossbath.errors import InputError

PLAN = chocolate_seed(2, 33.5, 20, Window(31.0, 32.0), fat_share=0.36)
TIMES = [float(t) for t in range(0, 600, 2)]
ASKED_S = 200.0


def traced(
    fall_c: float, *, start_c: float = 33.5, drift_c_per_s: float = 0.0, seed: int = 1
) -> list[float]:
    """A trace with 0.03 °C of noise which falls by `fall_c` within about a minute."""
    noise = random.Random(seed)
    return [
        start_c
        + drift_c_per_s * t
        - (fall_c * (1 - math.exp(-(t - ASKED_S) / 20)) if t > ASKED_S else 0.0)
        + noise.gauss(0, 0.03)
        for t in TIMES
    ]


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("melted", [0.0, 0.5, 1.0])
def test_the_melted_part_is_found(melted: float, seed: int) -> None:
    fall = PLAN.drop_least_c + melted * (PLAN.drop_most_c - PLAN.drop_least_c)
    seen = judge(TIMES, traced(fall, seed=seed), ASKED_S, PLAN)
    assert seen.verdict == ("added" if melted < 1 else "all melted")
    assert seen.melted_share == pytest.approx(melted, abs=0.1)


def test_seed_that_melted_away_is_asked_for_again() -> None:
    seen = judge(TIMES, traced(PLAN.drop_most_c), ASKED_S, PLAN)
    assert seen.verdict in NONE_LEFT
    assert seen.sentences()[-1] == "All of the seed melted, so none is left: seed again."


def test_a_fall_that_no_seed_could_cause_is_told() -> None:
    seen = judge(TIMES, traced(1.6 * PLAN.drop_most_c), ASKED_S, PLAN)
    assert seen.verdict == "too large"
    assert "No seed could cause so large a fall" in seen.sentences()[-1]


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("drift_c_per_s", [-0.002, 0.0, 0.002])
def test_nothing_added_is_not_seen(drift_c_per_s: float, seed: int) -> None:
    seen = judge(TIMES, traced(0, drift_c_per_s=drift_c_per_s, seed=seed), ASKED_S, PLAN)
    assert seen.verdict == "not seen"
    assert seen.melted_share is None
    assert "does not show" in seen.sentences()[-1]


def test_a_base_that_cools_and_levels_off_is_not_taken_for_seed() -> None:
    cooling = [31.5 + 4 * math.exp(-t / 600) for t in TIMES]
    assert judge(TIMES, cooling, ASKED_S, PLAN).verdict == "not seen"


def test_seed_in_a_base_that_stays_hot_is_lost() -> None:
    # Greweling 2007: form V does not survive above 34 °C.
    seen = judge(TIMES, traced(2.5, start_c=40), ASKED_S, PLAN)
    assert seen.verdict == "lost"
    assert "seed again" in seen.sentences()[-1]


def test_one_stray_reading_is_not_seed() -> None:
    trace = traced(0)
    trace[150] -= 3.0
    assert judge(TIMES, trace, ASKED_S, PLAN).verdict == "not seen"


def test_cocoa_butter_seed_is_too_little_to_be_seen() -> None:
    tiny = butter_seed(2, 33.5, 20, Window(31.0, 32.0), fat_share=0.36)
    noisy = [c + 0.1 * math.sin(t) for t, c in zip(TIMES, traced(0.17), strict=True)]
    told = judge(TIMES, noisy, ASKED_S, tiny)
    assert told.verdict == "cannot tell"
    assert "trust your own eyes" in told.sentences()[0]


def refused(times: list[float], celsius: list[float], asked_s: float, plan: SeedPlan) -> str:
    with pytest.raises(InputError) as error:
        judge(times, celsius, asked_s, plan)
    return str(error.value)


def test_traces_that_cannot_be_used_are_refused() -> None:
    good = traced(2)
    assert "is empty" in refused([], [], ASKED_S, PLAN)
    assert "gap" in refused([*TIMES[:50], *TIMES[80:]], [*good[:50], *good[80:]], ASKED_S, PLAN)
    assert "moment of seeding must be between 30 and 568 s" in refused(TIMES, good, 5.0, PLAN)
    short = refused(TIMES[:25], good[:25], 20.0, PLAN)
    assert "length of the trace must be between 60" in short


# --- the bath's part


def _following(per_s: float, rest_c_per_s: float = 0.0) -> tuple[list[float], ...]:
    """Chocolate that follows a bath which is moved about, dT/dt = k (bath - T) + rest."""
    times, celsius, baths = [], [], []
    now_c = 45.0
    for second in range(900):
        bath_c = 28.0 if second < 500 else 33.0
        times.append(float(second))
        celsius.append(now_c)
        baths.append(bath_c)
        # The exact step for a bath that stands still over the second.
        settles_c = bath_c + rest_c_per_s / per_s
        now_c = settles_c + (now_c - settles_c) * math.exp(-per_s)
    return times, celsius, baths


@pytest.mark.parametrize("lag_s", [150.0, 330.0, 600.0])
def test_the_coupling_of_bath_and_chocolate_is_found(lag_s: float) -> None:
    found = coupling_per_s(*_following(1 / lag_s, 0.001))
    assert found == pytest.approx(1 / lag_s, rel=0.02)


def test_a_bath_that_moves_nothing_tells_no_coupling() -> None:
    times = [float(second) for second in range(300)]
    assert coupling_per_s(times, [31.0] * 300, [31.2] * 300) == 0.0


def test_without_the_bath_only_the_rest_is_left() -> None:
    times, celsius, baths = _following(1 / 330, 0.001)
    left = without_bath(times, celsius, baths, 1 / 330)
    # A steady rest of 0.001 °C/s, in closed form.
    for time_s, value in zip(times, left, strict=True):
        assert value == pytest.approx(45.0 + 0.001 * time_s, abs=0.02)


def test_a_bath_with_a_gap_is_refused() -> None:
    times, celsius, baths = _following(1 / 330)
    with pytest.raises(InputError, match="has a gap"):
        without_bath(times[:100] + times[200:], celsius[100:], baths[100:], 1 / 330)
