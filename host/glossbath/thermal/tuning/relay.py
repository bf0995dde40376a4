"""Gains from an oscillation that a relay keeps up: a second way, which needs no known masses.

Source: K. J. Astrom and T. Hagglund, Automatica 20 (1984) 645-651. Closed forms for one lag with
dead time follow from its exponential response.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from glossbath.errors import InputError

from .rules import Gains, Lags

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

_LEAST_PERIODS = 3
_STEADY_SHARE = 0.25


class Swing(msgspec.Struct, frozen=True):
    """A steady oscillation: half its height, its period in s, half the relay's step, and what the
    relay's hysteresis is on each side (0: none)."""

    amplitude: float
    period_s: float
    relay: float
    hysteresis: float = 0.0


class Ultimate(msgspec.Struct, frozen=True):
    """The gain at which a proportional controller just keeps oscillating, and that period in s."""

    gain: float
    period_s: float


def ultimate(swing: Swing) -> Ultimate:
    """Ultimate point by the describing function, 4 d / (pi sqrt(a² - e²)).

    It neglects harmonics: for one lag with dead time it is some 15 % low. Raises InputError when
    the oscillation is not larger than the hysteresis.
    """
    if not (0.0 <= swing.hysteresis < swing.amplitude < math.inf and swing.relay > 0.0):
        raise InputError(
            f"An amplitude of {swing.amplitude:g} with a hysteresis of {swing.hysteresis:g} and a "
            f"relay of {swing.relay:g} is no relay oscillation; let it swing further."
        )
    height = math.sqrt(swing.amplitude**2 - swing.hysteresis**2)
    return Ultimate(4.0 * swing.relay / (math.pi * height), swing.period_s)


def expected_swing(process: Lags, relay: float, hysteresis: float = 0.0) -> Swing:
    """The oscillation of one lag with dead time under a relay of ±relay: closed form.

    Raises InputError for a process without dead time and hysteresis, or too weak to cross it.
    """
    top = abs(process.gain) * relay
    if not (process.lag_s > 0.0 and process.dead_time_s + hysteresis > 0.0 and hysteresis < top):
        raise InputError(
            "A relay makes this process swing only if it has a lag, a dead time or hysteresis, "
            f"and reaches beyond the hysteresis: it reaches {top:g}, needed is {hysteresis:g}."
        )
    amplitude = top - (top - hysteresis) * math.exp(-process.dead_time_s / process.lag_s)
    half_s = process.dead_time_s + process.lag_s * math.log((top + amplitude) / (top - hysteresis))
    return Swing(amplitude, 2.0 * half_s, relay, hysteresis)


def process_of(swing: Swing, gain: float) -> Lags:
    """The lag and dead time which, with a known steady gain, swing like that: `expected_swing`
    the other way round. Raises InputError where no such process exists."""
    top = abs(gain) * swing.relay
    if not (swing.hysteresis < swing.amplitude < top < math.inf and swing.period_s > 0.0):
        raise InputError(
            f"An amplitude of {swing.amplitude:g} needs a steady gain above "
            f"{swing.amplitude / swing.relay:g}, given is {abs(gain):g}; correct the gain."
        )
    delay = -math.log((top - swing.amplitude) / (top - swing.hysteresis))
    rise = math.log((top + swing.amplitude) / (top - swing.hysteresis))
    lag_s = swing.period_s / 2.0 / (delay + rise)
    return Lags(gain, lag_s, delay * lag_s)


def ziegler_nichols_pid(at: Ultimate) -> Gains:
    """0.6 Ku, Pu/2, Pu/8 (Ziegler and Nichols 1942, from memory): quick, swings a lot."""
    return Gains(0.6 * at.gain, at.period_s / 2.0, at.period_s / 8.0)


def ziegler_nichols_pi(at: Ultimate) -> Gains:
    """0.45 Ku, Pu/1.2 (the same, from memory)."""
    return Gains(0.45 * at.gain, at.period_s / 1.2)


def tyreus_luyben_pi(at: Ultimate) -> Gains:
    """Ku/3.2, 2.2 Pu (Tyreus and Luyben 1992, from memory): calm, for processes that integrate."""
    return Gains(at.gain / 3.2, 2.2 * at.period_s)


def read_swing(time_s: ArrayLike, value: ArrayLike, output: ArrayLike) -> Swing:
    """The steady oscillation at the end of a record: value swings because output switches
    between two levels. All of one length; time_s in s and rising.

    Raises InputError when the output takes values in between, there are fewer than three whole
    periods, or the last of them differ by more than a quarter.
    """
    at_s, values, outputs = (np.asarray(it, dtype=float) for it in (time_s, value, output))
    if not (at_s.shape == values.shape == outputs.shape and at_s.ndim == 1 and len(at_s) > 1):
        raise InputError("A relay record needs time, value and output of one length above 1.")
    low, high = float(outputs.min()), float(outputs.max())
    step = high - low
    between = (outputs > low + 0.1 * step) & (outputs < high - 0.1 * step)
    on = outputs > (low + high) / 2.0
    switches = np.flatnonzero(np.diff(on.astype(int)) > 0) + 1
    if not (step > 0.0 and float(between.mean()) < 0.1):
        raise InputError(
            f"The output is between {low:g} and {high:g} for {between.mean() * 100:.0f} % of the "
            "time: a relay has two levels only; use a record in which it switches on and off."
        )
    if not len(switches) >= _LEAST_PERIODS + 1:
        raise InputError(
            f"The output switches on {len(switches)} times, needed are {_LEAST_PERIODS + 1}; let "
            f"a relay swing for {_LEAST_PERIODS} whole periods."
        )
    switches = switches[-(_LEAST_PERIODS + 1) :]
    periods = np.diff(at_s[switches])
    heights = [
        float(np.ptp(values[begin:end])) / 2.0 for begin, end in pairwise(switches.tolist())
    ]
    for what, each in (("period", periods), ("amplitude", np.array(heights))):
        if not float(np.ptp(each)) <= _STEADY_SHARE * float(each.mean()):
            raise InputError(
                f"The last {_LEAST_PERIODS} periods differ in {what} from {each.min():.3g} to "
                f"{each.max():.3g}, by more than a quarter; let it swing until it is steady."
            )
    hysteresis = _hysteresis(values, on)
    return Swing(float(np.mean(heights)), float(periods.mean()), step / 2.0, hysteresis)


def _hysteresis(values: NDArray[np.float64], on: NDArray[np.bool_]) -> float:
    """Half the distance between the values at which the output switches off and on."""
    change = np.diff(on.astype(int))
    off_at = values[np.flatnonzero(change < 0) + 1]
    on_at = values[np.flatnonzero(change > 0) + 1]
    return max(0.0, float(np.median(off_at) - np.median(on_at)) / 2.0)
