"""Inflection and slope of made-up curves with known answers."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from glossbath.chocolate.coolingcurve import analyse
from glossbath.errors import InputError

TIMES = [float(t) for t in range(481)]


def newton(t: float) -> float:
    """Pure cooling without crystallisation, T = 10 + 22 exp(-t/180)."""
    return 10 + 22 * math.exp(-t / 180)


class Made:
    """A curve with dT/dt = -a exp(-t/tau) + b exp(-((t - t0)/w)^2/2) - c, in °C/s.

    The temperature is its closed-form integral, so the inflection is known to the last digit.
    """

    def __init__(self, bump: float, *, base: float = 0.012, t0: float = 200.0, w: float = 45.0):
        self.bump, self.base, self.t0, self.w = bump, base, t0, w

    def slope_c_per_min(self, t: float) -> float:
        gauss = self.bump * math.exp(-(((t - self.t0) / self.w) ** 2) / 2)
        return 60 * (-0.16 * math.exp(-t / 50) + gauss - self.base)

    def celsius(self, t: float) -> float:
        root = self.w * math.sqrt(2)
        area = self.bump * root * math.sqrt(math.pi) / 2
        bump = area * (math.erf((t - self.t0) / root) - math.erf(-self.t0 / root))
        return 32 + 0.16 * 50 * (math.exp(-t / 50) - 1) + bump - self.base * t

    def bend(self) -> tuple[float, float, float]:
        """Time, temperature and slope of the inflection."""
        found = minimize_scalar(
            lambda t: -self.slope_c_per_min(t), bounds=(120, 300), method="bounded",
            options={"xatol": 1e-6},
        )  # fmt: skip
        t = float(found.x)
        return t, self.celsius(t), self.slope_c_per_min(t)


UNDER, GOOD, OVER = Made(0.020), Made(0.012), Made(0.006)


def curve_of(made: Made, *, noise_c: float = 0.0, seed: int = 0) -> list[float]:
    scatter = np.random.default_rng(seed).normal(0, noise_c, len(TIMES)) if noise_c else None
    values = [made.celsius(t) for t in TIMES]
    return (
        values if scatter is None else [float(v + s) for v, s in zip(values, scatter, strict=True)]
    )


def test_newton_cooling_check_values() -> None:
    # Closed form: T(60) = 25.763689, T(300) = 14.155263 °C.
    assert newton(60) == pytest.approx(25.763689)
    assert newton(300) == pytest.approx(14.155263)


@pytest.mark.parametrize("noise_c", [0.0, 0.02, 0.1])
@pytest.mark.parametrize("seed", range(10))
def test_pure_newton_cooling_has_no_inflection(noise_c: float, seed: int) -> None:
    # dT/dt of T = 10 + 22 exp(-t/180) rises strictly toward 0: no interior maximum.
    scatter = np.random.default_rng(seed).normal(0, noise_c, len(TIMES))
    curve = analyse(TIMES, [newton(t) + float(s) for t, s in zip(TIMES, scatter, strict=True)])
    assert curve.inflection is None
    assert "no inflection" in curve.sentences()[0]


def test_newton_cooling_in_steps_of_a_coarse_probe_has_no_inflection() -> None:
    # A sixteenth of a degree, DS18B20 datasheet.
    assert analyse(TIMES, [round(newton(t) * 16) / 16 for t in TIMES]).inflection is None


@pytest.mark.parametrize("made", [UNDER, GOOD, OVER])
def test_the_inflection_of_a_clean_curve_is_found(made: Made) -> None:
    seconds, celsius, slope = made.bend()
    bend = analyse(TIMES, curve_of(made)).inflection
    assert bend is not None
    assert bend.seconds == pytest.approx(seconds, abs=3)
    assert bend.celsius == pytest.approx(celsius, abs=0.05)
    assert bend.slope_c_per_min == pytest.approx(slope, abs=0.03)


@pytest.mark.parametrize("made", [UNDER, GOOD, OVER])
def test_the_slope_of_noisy_curves_lies_within_its_stated_error(made: Made) -> None:
    slope = made.bend()[2]
    # The greatest of many noisy values reads high, here by about one standard error.
    off = []
    for seed in range(40):
        bend = analyse(TIMES, curve_of(made, noise_c=0.03, seed=seed)).inflection
        assert bend is not None
        off.append((bend.slope_c_per_min - slope) / bend.slope_error_c_per_min)
    assert -1 < float(np.mean(off)) < 1.5
    assert max(abs(o) for o in off) < 4


def test_a_bend_that_drowns_in_noise_is_not_made_up() -> None:
    for seed in range(10):
        bend = analyse(TIMES, curve_of(OVER, noise_c=0.2, seed=seed)).inflection
        assert bend is None


def test_the_signs_are_those_of_the_trade() -> None:
    # Section "temper by cooling curve": under rises, well tempered is level, over falls.
    slopes = []
    for made in (UNDER, GOOD, OVER):
        bend = analyse(TIMES, curve_of(made, noise_c=0.02)).inflection
        assert bend is not None
        slopes.append(bend.slope_c_per_min)
    assert slopes[0] > 0.2
    assert abs(slopes[1]) < 0.25
    assert slopes[2] < -0.2


def test_the_noise_of_the_readings_is_found() -> None:
    curve = analyse(TIMES, curve_of(GOOD, noise_c=0.05, seed=3))
    assert curve.noise_c == pytest.approx(0.05, rel=0.15)


def test_uneven_and_sparse_readings_give_the_same_inflection() -> None:
    rng = np.random.default_rng(5)
    times = np.cumsum(rng.uniform(0.5, 6.0, 160))
    sparse = [float(t) for t in times if t < 470]
    bend = analyse(sparse, [GOOD.celsius(t) for t in sparse]).inflection
    assert bend is not None
    assert bend.seconds == pytest.approx(GOOD.bend()[0], abs=6)
    assert bend.slope_c_per_min == pytest.approx(GOOD.bend()[2], abs=0.1)


def test_a_recording_that_stops_before_the_bend_has_none() -> None:
    assert analyse(TIMES[:170], curve_of(UNDER)[:170]).inflection is None


@pytest.mark.parametrize(
    ("times", "values", "sentence"),
    [
        ([], [], "cooling curve is empty"),
        (TIMES[:60], curve_of(GOOD)[:60], "length of the cooling curve must be between 120"),
        ([*TIMES[:200], *TIMES[230:]], curve_of(GOOD)[:451], "gap of 31 s after 199 s"),
        (TIMES, [c * 1.8 + 32 for c in curve_of(GOOD)], "between -5 and 60 °C"),
        (TIMES, [*curve_of(GOOD)[:-1], math.nan], "is nan °C at 480 s"),
    ],
)
def test_curves_that_cannot_be_used_are_refused(
    times: list[float], values: list[float], sentence: str
) -> None:
    with pytest.raises(InputError, match=sentence):
        analyse(times, values)
