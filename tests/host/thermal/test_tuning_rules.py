"""SIMC rules against the paper's example and python-control.

Source of the rules: S. Skogestad, J. Process Control 13 (2003) 291-309, and the author's notes.
"""

from __future__ import annotations

import control
import numpy as np
import pytest

from glossbath.errors import InputError
from glossbath.thermal.model import RigModel, chocolate
from glossbath.thermal.tuning.loops import loop_gains
from glossbath.thermal.tuning.rules import (
    Gains,
    Lags,
    first_order,
    second_order,
    simc_integrating,
    simc_pi,
    simc_pid,
)

# The paper's first example, from memory:
# (-0.3 s + 1)(0.08 s + 1) / ((2 s + 1)(s + 1)(0.4 s + 1)(0.2 s + 1)(0.05 s + 1)^3).
E1_LAGS = [2.0, 1.0, 0.4, 0.2, 0.05, 0.05, 0.05]
E1_INVERSE = 0.3 - 0.08


def loop(gains: Gains, model: Lags, integrates: bool = False) -> control.FrequencyResponseData:
    """Controller and process in a row, dead time exact."""
    omega = np.logspace(-2, 1, 3_001) / model.dead_time_s
    s = 1j * omega
    controller = gains.kp * (1 + 1 / (gains.integral_s * s) + gains.derivative_s * s)
    lag = s if integrates else model.lag_s * s + 1
    process = model.gain * np.exp(-model.dead_time_s * s) / lag
    return control.frd(controller * process, omega)


def peak_sensitivity(response: control.FrequencyResponseData) -> float:
    return float(np.max(np.abs(1 / (1 + response.frdata[0, 0, :]))))


def test_half_rule_reduces_the_papers_example() -> None:
    # 2.5 / 1.47 and 2 / 1.2 / 0.77: numbers quoted from the paper in published code.
    one = first_order(1.0, E1_LAGS, 0.0, E1_INVERSE)
    assert (one.lag_s, one.dead_time_s) == (pytest.approx(2.5), pytest.approx(1.47))
    two = second_order(1.0, E1_LAGS, 0.0, E1_INVERSE)
    assert (two.lag_s, two.second_lag_s, two.dead_time_s) == (
        pytest.approx(2.0),
        pytest.approx(1.2),
        pytest.approx(0.77),
    )


def test_gains_of_the_papers_example() -> None:
    # Kc 0.8503, tau_I 2.5; serial PID 1.2987 / 2 / 1.2, in ideal form 2.0779 / 3.2 / 0.75: the
    # rules by hand.
    pi = simc_pi(first_order(1.0, E1_LAGS, 0.0, E1_INVERSE))
    assert (pi.kp, pi.integral_s) == (pytest.approx(0.8503, abs=1e-4), pytest.approx(2.5))
    pid = simc_pid(second_order(1.0, E1_LAGS, 0.0, E1_INVERSE))
    assert (pid.kp, pid.integral_s, pid.derivative_s) == (
        pytest.approx(2.0779, abs=1e-4),
        pytest.approx(3.2),
        pytest.approx(0.75),
    )


@pytest.mark.parametrize(
    ("model", "closed_loop_s", "kp", "integral_s"),
    # The rules by hand.
    [
        (Lags(2.0, 10.0, 2.0), 2.0, 1.25, 10.0),
        (Lags(0.5, 1800.0, 120.0), 120.0, 15.0, 960.0),
        (Lags(0.5, 1800.0, 120.0), 300.0, 8.5714, 1680.0),
    ],
)
def test_pi_gains(model: Lags, closed_loop_s: float, kp: float, integral_s: float) -> None:
    gains = simc_pi(model, closed_loop_s)
    assert gains.kp == pytest.approx(kp, abs=1e-4)
    assert gains.integral_s == pytest.approx(integral_s)


def test_tight_pi_has_the_papers_margins() -> None:
    # tau_c = theta and tau_I = tau_1: gain margin 3.14, phase margin 61.4°, Ms 1.59 (the paper's
    # table, from memory); computed here with python-control.
    model = Lags(1.0, 5.0, 1.0)
    response = loop(simc_pi(model), model)
    gain_margin, phase_margin, _, _ = control.margin(response)
    assert gain_margin == pytest.approx(np.pi, rel=1e-3)
    assert phase_margin == pytest.approx(61.35, abs=0.05)
    assert peak_sensitivity(response) == pytest.approx(1.59, abs=0.005)


def test_integrating_process_has_the_papers_peak_sensitivity() -> None:
    # Ms 1.70 (the paper's table, from memory).
    gains = simc_integrating(0.01, 20.0)
    assert gains.integral_s == pytest.approx(160.0)
    response = loop(gains, Lags(0.01, 1.0, 20.0), integrates=True)
    assert peak_sensitivity(response) == pytest.approx(1.7035, abs=0.005)


@pytest.mark.parametrize("kg", [0.3, 1.0, 3.0])
def test_gains_of_a_rig_leave_margin(kg: float) -> None:
    gains = loop_gains(RigModel.default(), chocolate(kg, 0.36), 0.5)
    bath = Lags(gains.bath_slope_k_per_s, 1.0, gains.bath_dead_time_s)
    assert peak_sensitivity(loop(gains.bath, bath, integrates=True)) < 1.7
    assert peak_sensitivity(loop(gains.chocolate, gains.chocolate_model)) < 1.7


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: first_order(1.0, []),
        lambda: first_order(1.0, [0.0]),
        lambda: first_order(1.0, [1.0, -1.0]),
        lambda: first_order(1.0, [float("nan")]),
        lambda: first_order(0.0, [1.0]),
        lambda: first_order(float("nan"), [1.0]),
        lambda: simc_pi(Lags(1.0, 1.0, 0.0)),
        lambda: simc_pi(Lags(1.0, 1.0, 0.5), float("inf")),
        lambda: simc_pi(Lags(1.0, 1.0, 0.5, 0.2)),
    ],
)
def test_nonsense_is_refused(wrong: object) -> None:
    with pytest.raises(InputError):
        wrong()  # type: ignore[operator]
