"""Relay tuning against closed forms and python-control.

Source: K. J. Astrom and T. Hagglund, Automatica 20 (1984) 645-651; closed forms for one lag with
dead time from its exponential response.
"""

from __future__ import annotations

import math
from collections import deque

import control
import pytest

from glossbath.errors import InputError
from glossbath.thermal.tuning.relay import (
    Swing,
    Ultimate,
    expected_swing,
    process_of,
    read_swing,
    tyreus_luyben_pi,
    ultimate,
    ziegler_nichols_pi,
    ziegler_nichols_pid,
)
from glossbath.thermal.tuning.rules import Lags


def relay_run(
    process: Lags, relay: float, hysteresis: float = 0.0, bias: float = 0.0
) -> tuple[list[float], list[float], list[float]]:
    """Time, value and output of one lag with dead time under a relay around 0."""
    dt_s = process.lag_s / 2000
    delay = deque([relay] * round(process.dead_time_s / dt_s))
    value, output = 0.0, relay
    rows = []
    for step in range(int(12 * (process.lag_s + process.dead_time_s) / dt_s)):
        if value > hysteresis:
            output = -relay
        elif value < -hysteresis:
            output = relay
        delay.append(output)
        value += dt_s * (process.gain * (delay.popleft() + bias) - value) / process.lag_s
        rows.append((step * dt_s, value, output))
    times, values, outputs = zip(*rows, strict=True)
    return list(times), list(values), list(outputs)


@pytest.mark.parametrize(
    ("process", "relay", "hysteresis", "amplitude", "period_s"),
    # a = K d (1 - exp(-theta/tau)), P = 2 tau ln(2 exp(theta/tau) - 1), and with hysteresis e
    # a = K d - (K d - e) exp(-theta/tau), P = 2 (theta + tau ln((K d + a)/(K d - e))): by hand.
    [
        (Lags(1.0, 1.0, 0.5), 1.0, 0.0, 0.3934693, 1.6635931),
        (Lags(2.0, 10.0, 2.0), 5.0, 0.0, 1.8126925, 7.3317899),
        (Lags(1.0, 1.0, 0.5), 1.0, 0.1, 0.4541224, 1.9595262),
    ],
)
def test_swing_of_one_lag_with_dead_time(
    process: Lags, relay: float, hysteresis: float, amplitude: float, period_s: float
) -> None:
    expected = expected_swing(process, relay, hysteresis)
    assert expected.amplitude == pytest.approx(amplitude, abs=1e-6)
    assert expected.period_s == pytest.approx(period_s, abs=1e-6)
    seen = read_swing(*relay_run(process, relay, hysteresis))
    assert seen.amplitude == pytest.approx(amplitude, rel=0.005)
    assert seen.period_s == pytest.approx(period_s, rel=0.005)
    assert seen.relay == relay
    found = process_of(expected, process.gain)
    assert found.lag_s == pytest.approx(process.lag_s, rel=1e-9)
    assert found.dead_time_s == pytest.approx(process.dead_time_s, rel=1e-9)


def test_describing_function_is_low_by_its_known_amount() -> None:
    # One lag of 1 s with 0.5 s of dead time: 3.2359 by describing function, 3.8069 is true.
    found = ultimate(expected_swing(Lags(1.0, 1.0, 0.5), 1.0))
    assert found.gain == pytest.approx(3.2359, abs=1e-4)
    assert found.gain / 3.8069 == pytest.approx(0.85, abs=0.005)


def test_hysteresis_enters_as_a_square() -> None:
    # Ku = 4 d / (pi sqrt(a² - e²)), from memory: a = 5, e = 3, d = pi gives exactly 1.
    assert ultimate(Swing(5.0, 10.0, math.pi, 3.0)) == Ultimate(pytest.approx(1.0), 10.0)


def test_rules_on_three_equal_lags() -> None:
    # 1/(s + 1)³: Ku 8, Pu 2 pi / sqrt(3), analytic and by python-control.
    gain, _, omega, _ = control.margin(control.tf([1], [1, 3, 3, 1]))
    at = Ultimate(float(gain), 2 * math.pi / float(omega))
    assert at.gain == pytest.approx(8.0, rel=1e-6)
    assert at.period_s == pytest.approx(3.627599, rel=1e-6)
    pid = ziegler_nichols_pid(at)
    assert (pid.kp, pid.integral_s, pid.derivative_s) == (
        pytest.approx(4.8),
        pytest.approx(1.813799, rel=1e-6),
        pytest.approx(0.453450, rel=1e-6),
    )
    pi = ziegler_nichols_pi(at)
    assert (pi.kp, pi.integral_s) == (pytest.approx(3.6), pytest.approx(3.022999, rel=1e-6))
    calm = tyreus_luyben_pi(at)
    assert (calm.kp, calm.integral_s) == (pytest.approx(2.5), pytest.approx(7.980717, rel=1e-6))


def test_uneven_switching_is_still_read() -> None:
    times, values, outputs = relay_run(Lags(1.0, 1.0, 0.5), 1.0, bias=0.3)
    assert read_swing(times, values, outputs).period_s == pytest.approx(1.75, abs=0.15)


def test_record_without_swing_is_refused() -> None:
    times, values, outputs = relay_run(Lags(1.0, 1.0, 0.5), 1.0)
    with pytest.raises(InputError, match="let a relay swing for 3 whole periods"):
        read_swing(times[:3000], values[:3000], outputs[:3000])
    with pytest.raises(InputError, match="two levels"):
        read_swing(times, values, values)
    with pytest.raises(InputError, match="two levels"):
        read_swing(times, values, [1.0] * len(times))
    with pytest.raises(InputError, match="one length"):
        read_swing(times, values, outputs[:-1])


def test_growing_swing_is_refused() -> None:
    times, values, outputs = relay_run(Lags(1.0, 1.0, 0.5), 1.0)
    growing = [value * time for time, value in zip(times, values, strict=True)]
    with pytest.raises(InputError, match="differ in amplitude"):
        read_swing(times[:16000], growing[:16000], outputs[:16000])


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: ultimate(Swing(0.1, 10.0, 1.0, 0.2)),
        lambda: ultimate(Swing(float("nan"), 10.0, 1.0)),
        lambda: expected_swing(Lags(1.0, 1.0, 0.0), 1.0),
        lambda: expected_swing(Lags(1.0, 1.0, 0.5), 1.0, 2.0),
        lambda: process_of(Swing(2.0, 10.0, 1.0), 1.0),
    ],
)
def test_impossible_swing_is_refused(wrong: object) -> None:
    with pytest.raises(InputError):
        wrong()  # type: ignore[operator]
