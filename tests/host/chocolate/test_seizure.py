"""Seizing against ordinary thickening, on made-up motor currents."""

from __future__ import annotations

import math
import random

import pytest

from glossbath.chocolate.seizure import DETECTION_S, detect, detect_pulsed
from glossbath.errors import InputError

TIMES = [float(t) for t in range(1200)]
STARTED_S = 600.0


def noisy(values: list[float], seed: int, share: float = 0.08) -> list[float]:
    rng = random.Random(seed)
    return [max(0.0, v * (1 + rng.gauss(0, share))) for v in values]


def stepped(climb: float, rise_s: float = 15.0) -> list[float]:
    """200 mA that climb by a share within `rise_s` and stay."""
    return [200 * (1 + climb * min(1.0, max(0.0, (t - STARTED_S) / rise_s))) for t in TIMES]


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("climb", [0.5, 1.0, 3.0])
def test_a_step_is_found_within_the_stated_time(climb: float, seed: int) -> None:
    found = detect(TIMES, noisy(stepped(climb), seed, share=0.05))
    assert found.verdict == "seized"
    assert found.found_at_s is not None
    assert STARTED_S <= found.found_at_s <= STARTED_S + DETECTION_S


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("doubling_s", [300, 900, 3600])
def test_thickening_while_crystals_grow_is_no_alarm(doubling_s: float, seed: int) -> None:
    values = [100 * 2 ** (t / doubling_s) for t in TIMES]
    assert detect(TIMES, noisy(values, seed)).verdict == "normal"


@pytest.mark.parametrize("seed", range(20))
def test_lumps_of_seed_and_single_spikes_are_no_alarm(seed: int) -> None:
    rng = random.Random(seed)
    values = noisy([200.0] * len(TIMES), seed)
    for _ in range(8):
        start = rng.randrange(len(TIMES) - 10)
        for i in range(start, start + 8):
            values[i] = 500.0
        # Lumps come one at a time.
        for i in range(start + 8, min(len(TIMES), start + 40)):
            values[i] = 200.0
        for i in range(max(0, start - 32), start):
            values[i] = 200.0
    assert detect(TIMES, values).verdict == "normal"


def test_a_faster_stirrer_is_no_alarm() -> None:
    shares = [0.4 if t < STARTED_S else 0.8 for t in TIMES]
    values = [200.0 if t < STARTED_S else 420.0 for t in TIMES]
    assert detect(TIMES, values, shares).verdict == "normal"
    assert detect(TIMES, values).verdict == "seized"


def test_a_stirrer_that_starts_is_no_alarm() -> None:
    shares = [0.0 if t < STARTED_S else 0.5 for t in TIMES]
    values = [0.0 if t < STARTED_S else 300.0 for t in TIMES]
    assert detect(TIMES, values, shares).verdict == "normal"


def test_seizing_after_a_change_of_speed_is_still_found() -> None:
    shares = [0.4 if t < 300 else 0.6 for t in TIMES]
    values = [v * (1.0 if t < 300 else 1.5) for t, v in zip(TIMES, stepped(1.0), strict=True)]
    found = detect(TIMES, values, shares)
    assert found.verdict == "seized"
    assert found.found_at_s is not None
    assert found.found_at_s <= STARTED_S + DETECTION_S


def test_the_finding_says_what_can_be_done() -> None:
    lines = detect(TIMES, stepped(1.0)).sentences()
    assert "water may have got in" in lines[0]
    assert any("ganache" in line for line in lines)
    assert "nothing points to water" in detect(TIMES, [200.0] * len(TIMES)).sentences()[0]


def test_a_short_series_is_not_judged() -> None:
    assert detect(TIMES[:60], [200.0] * 60).verdict == "too short"


@pytest.mark.parametrize(
    ("times", "values", "shares", "sentence"),
    [
        ([], [], None, "stirrer current is empty"),
        (TIMES, [*[200.0] * 1199, -1.0], None, "between 0 and 20000 mA, but is -1 mA at 1199 s"),
        (TIMES, [*[200.0] * 1199, math.nan], None, "is nan mA"),
        ([*TIMES[:500], *TIMES[520:]], [200.0] * 1180, None, "gap of 21 s after 499 s"),
        (TIMES, [200.0] * 1200, [0.5], "1 values for 1200 times"),
    ],
)
def test_series_that_cannot_be_used_are_refused(
    times: list[float], values: list[float], shares: list[float] | None, sentence: str
) -> None:
    with pytest.raises(InputError, match=sentence):
        detect(times, values, shares)


def _pulsed(climbs_at_s: float) -> tuple[list[float], list[float | None], list[float]]:
    """A motor that rests two seconds of five, read each second, with a pause of a minute."""
    times = [float(t) for t in (*range(300), *range(360, 900))]
    current = [None if t % 5 < 2 else 200.0 + (150.0 if t >= climbs_at_s else 0.0) for t in times]
    return times, current, [0.5] * len(times)


def test_a_record_of_a_pulsed_motor_is_judged_stretch_by_stretch() -> None:
    assert detect_pulsed(*_pulsed(10_000)).verdict == "normal"
    found = detect_pulsed(*_pulsed(600))
    assert found.verdict == "seized"
    assert found.found_at_s is not None
    assert 600 < found.found_at_s <= 600 + DETECTION_S
    # A climb across the pause is not told: nobody saw how it went.
    assert detect_pulsed(*_pulsed(360)).verdict == "normal"


def test_a_motor_that_never_ran_is_too_short_to_judge() -> None:
    assert detect_pulsed([0.0, 1.0, 2.0], [None, None, None], [0.5] * 3).verdict == "too short"


def test_a_record_that_cannot_be_one_is_refused() -> None:
    with pytest.raises(InputError, match="stirrer's speed is empty"):
        detect_pulsed([], [], [])
    with pytest.raises(InputError, match="times must rise, but 1 s follows 2 s"):
        detect_pulsed([0.0, 2.0, 1.0], [200.0] * 3, [0.5] * 3)
    with pytest.raises(InputError, match="times must rise, but nan s follows 0 s"):
        detect_pulsed([0.0, math.nan, 1.0], [200.0] * 3, [0.5] * 3)
    with pytest.raises(InputError, match=r"between 0 and 1 \(share\), but is -0.5"):
        detect_pulsed([0.0, 1.0, 2.0], [200.0] * 3, [-0.5] * 3)
