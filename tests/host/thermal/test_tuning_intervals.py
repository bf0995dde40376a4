"""Standard errors and confidence against certified values and tables."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.signal import lfilter

from glossbath.thermal.tuning.intervals import crowding_of, reach, standard_errors

# NIST Statistical Reference Datasets, nonlinear regression, Misra1a (from memory):
# y = b1 (1 - exp(-b2 x)), certified standard deviations below.
X = [
    77.6,
    114.9,
    141.1,
    190.8,
    239.9,
    289.0,
    332.8,
    378.4,
    434.8,
    477.3,
    536.8,
    593.1,
    689.1,
    760.0,
]
Y = [
    10.07,
    14.73,
    17.94,
    23.93,
    29.61,
    35.18,
    40.02,
    44.82,
    50.76,
    55.05,
    61.01,
    66.40,
    75.47,
    81.78,
]
B = (2.3894212918e2, 5.5015643181e-4)
SD = (2.7070075241, 7.2668688436e-6)


def test_standard_errors_are_the_certified_ones() -> None:
    x, y = np.array(X), np.array(Y)
    found = least_squares(
        lambda b: y - b[0] * (1 - np.exp(-b[1] * x)),
        [250.0, 0.0005],
        jac=lambda b: np.column_stack((np.exp(-b[1] * x) - 1, -b[0] * x * np.exp(-b[1] * x))),
        x_scale="jac",
        xtol=1e-15,
        ftol=1e-15,
        gtol=1e-15,
    )
    assert found.x == pytest.approx(B, rel=1e-6)
    assert standard_errors(found.jac, found.fun) == pytest.approx(SD, rel=1e-5)


def test_reach_is_students_t() -> None:
    # Table of Student's t, 0.975: 2.228 for 10 degrees of freedom, 1.960 for very many.
    assert reach(12, 2) == pytest.approx(2.228, abs=5e-4)
    assert reach(1_000_000, 2) == pytest.approx(1.960, abs=5e-4)
    assert reach(120, 2, crowding=10.0) == pytest.approx(2.228, abs=5e-4)


def test_crowding_of_an_autoregressive_series() -> None:
    # (1 + r)/(1 - r), closed form for a first-order autoregressive series.
    noise = np.random.default_rng(1).normal(size=(100_000, 2))
    series = lfilter([1.0], [1.0, -0.8], noise, axis=0)
    assert crowding_of(series) == pytest.approx(9.0, rel=0.1)
    assert crowding_of(noise) == pytest.approx(1.0, abs=0.1)


def test_parameter_that_nothing_shows_has_no_end() -> None:
    jacobian = np.column_stack((np.ones(20), np.zeros(20)))
    errors = standard_errors(jacobian, np.linspace(-1.0, 1.0, 20))
    assert np.isinf(errors[1])
    assert np.isfinite(errors[0])
