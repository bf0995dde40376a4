"""Controller gains from simple models by the SIMC rules, and the half rule that gets there.

Source: S. Skogestad, Simple analytic rules for model reduction and PID controller tuning,
J. Process Control 13 (2003) 291-309. Times in s; gains in the caller's units.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from glossbath.errors import InputError


class Lags(msgspec.Struct, frozen=True):
    """k exp(-dead_time_s s) / ((lag_s s + 1)(second_lag_s s + 1))."""

    gain: float
    lag_s: float
    dead_time_s: float
    second_lag_s: float = 0.0


class Gains(msgspec.Struct, frozen=True):
    """A controller in the ideal form: kp (1 + 1/(integral_s s) + derivative_s s)."""

    kp: float
    integral_s: float
    derivative_s: float = 0.0


def first_order(
    gain: float, lags_s: Sequence[float], dead_time_s: float = 0.0, inverse_s: float = 0.0
) -> Lags:
    """One lag for many, by the half rule: the second largest is shared between lag and dead time;
    smaller ones, and the time constants of an inverse response (inverse_s, their sum), are dead
    time.

    Raises InputError without a lag, or with a value that is not finite and positive.
    """
    first, second, rest = _sorted(gain, lags_s, dead_time_s, inverse_s)
    return Lags(gain, first + second / 2.0, dead_time_s + inverse_s + second / 2.0 + sum(rest))


def second_order(
    gain: float, lags_s: Sequence[float], dead_time_s: float = 0.0, inverse_s: float = 0.0
) -> Lags:
    """Two lags for many, by the half rule: the third largest is shared. Raises InputError."""
    first, second, rest = _sorted(gain, lags_s, dead_time_s, inverse_s)
    third = rest[0] if rest else 0.0
    dead_time_s += inverse_s + third / 2.0 + sum(rest[1:])
    return Lags(gain, first, dead_time_s, second + third / 2.0)


def simc_pi(model: Lags, closed_loop_s: float | None = None) -> Gains:
    """PI gains for one lag; closed_loop_s is the wanted closed-loop lag, None: the dead time,
    which is the tight choice. Raises InputError when neither is above 0."""
    if model.second_lag_s:
        raise InputError("A PI controller is for one lag: reduce the model by first_order.")
    total_s = _closed_loop_s(model, closed_loop_s) + model.dead_time_s
    return Gains(model.lag_s / (model.gain * total_s), min(model.lag_s, 4.0 * total_s))


def simc_pid(model: Lags, closed_loop_s: float | None = None) -> Gains:
    """PID gains for two lags: the serial form, whose derivative time is the second lag, turned
    into the ideal one. Raises InputError as simc_pi."""
    total_s = _closed_loop_s(model, closed_loop_s) + model.dead_time_s
    kp = model.lag_s / (model.gain * total_s)
    return ideal(kp, min(model.lag_s, 4.0 * total_s), model.second_lag_s)


def simc_integrating(
    slope: float, dead_time_s: float, closed_loop_s: float | None = None
) -> Gains:
    """PI gains for a process that integrates: slope is how much its output rises in a second for
    each unit of input. Raises InputError as simc_pi."""
    total_s = _closed_loop_s(Lags(slope, 1.0, dead_time_s), closed_loop_s) + dead_time_s
    return Gains(1.0 / (slope * total_s), 4.0 * total_s)


def ideal(kp: float, integral_s: float, derivative_s: float) -> Gains:
    """The gains in ideal form that equal kp (1 + 1/(integral_s s)) (1 + derivative_s s)."""
    factor = 1.0 + derivative_s / integral_s
    return Gains(kp * factor, integral_s * factor, derivative_s / factor)


def _closed_loop_s(model: Lags, closed_loop_s: float | None) -> float:
    wanted_s = model.dead_time_s if closed_loop_s is None else closed_loop_s
    if not (0.0 < wanted_s < float("inf")):
        raise InputError(
            f"The closed-loop lag is {wanted_s:g} s, but must be above 0 s; a process without "
            "dead time needs it stated."
        )
    return wanted_s


def _sorted(
    gain: float, lags_s: Sequence[float], dead_time_s: float, inverse_s: float
) -> tuple[float, float, list[float]]:
    values = [*lags_s, dead_time_s, inverse_s]
    if not (lags_s and all(0.0 <= value < float("inf") for value in values) and max(lags_s) > 0):
        raise InputError(
            f"Lags {list(lags_s)} s with dead times {dead_time_s:g} and {inverse_s:g} s cannot be "
            "meant: give at least one lag above 0 s and nothing negative."
        )
    if not (abs(gain) > 0.0 and abs(gain) < float("inf")):
        raise InputError(f"A gain of {gain:g} cannot be controlled: it must be finite, not 0.")
    first, second, *rest = [*sorted(lags_s, reverse=True), 0.0]
    return first, second, rest
