"""A prediction of crystals in the fat, from temperature and stirring so far. Never a measurement.

Two populations: high-melting (form V) and low-melting (form IV and below). Each grows toward what
its temperature lets be solid, by the rate law of Foubert et al., and melts away above it. Form V
never begins in the melt: it comes by way of the low-melting forms or from seed (Marangoni and
McGauley 2003), and stirring speeds that many times (Dhonsi and Stapley 2006; Mazzanti et al.
2007).
The rates are chosen to show the direction of effects; the science gives no minutes to trust, so a
word is given only where rates three times slower and faster agree on it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, Literal

import msgspec

from . import limits, trace

if TYPE_CHECKING:
    from numpy.typing import NDArray

Temper = Literal["none", "under", "good", "over", "unstable", "unknown"]

DOUBT_FACTOR = 3.0
"""Every forecast is also run with rates this much slower and faster."""
LEAST_GOOD_SHARE = 270e-6
"""Form V crystals that temper needs, as a share of the fat: more than 270 ppm of pure seed (Kinta
and Hartel, JAOCS 87:19, 2010)."""
MOST_GOOD_SHARE = 0.06
"""More is over-tempered (from memory: one to a few per cent)."""
NONE_SHARE = 1e-5
TOLERANCE = 1e-3
"""Of the forecast's shares: far finer than its uncertainty. Where growth has stopped the rate
jumps at each touch of the end, and a solver that must be exact there crawls through a
day's hold."""
STEP_S = 60.0
"""Longest step of the integration, so that no turn of the temperature is stepped over."""


class Kinetics(msgspec.Struct, frozen=True):
    """Rates of the prediction. Illustrative: no source gives them; a user may set their own."""

    good_melts_c: float = 34.0
    """Greweling 2007: form V does not survive above."""
    unstable_melts_c: float = 29.0
    """Greweling 2007: below this form IV forms beside form V."""
    good_solid_per_c: float = 0.05
    unstable_solid_per_c: float = 0.06
    """Share of the fat that may be solid, for each °C below the melting point."""
    solid_most_share: float = 0.8
    good_per_h: float = 0.05
    unstable_per_h: float = 6.0
    order: float = 4.0
    unstable_nuclei_per_h: float = 0.02
    """Nucleation for each °C below the melting point."""
    stir_factor: float = 4.0
    """Full stirring multiplies the growth of form V by one plus this."""
    turn_per_h: float = 0.1
    """Change of form IV into form V at rest: β' is stable for 10 h at 24 °C (Marangoni and
    McGauley, Cryst. Growth Des. 3:95, 2003)."""
    turn_stir_factor: float = 30.0
    """Full stirring multiplies that change by one plus this: under shear form V shows within
    minutes to an hour (Dhonsi and Stapley 2006; Mazzanti et al. 2007)."""
    melt_per_h: float = 40.0
    """Melting of what is above its solid share, faster by as much for each °C above."""


class Forecast(msgspec.Struct, frozen=True):
    """Predicted crystals, as shares of the fat, with slow and fast rates as bounds."""

    label: str
    times_s: list[float]
    good_share: list[float]
    good_least: list[float]
    good_most: list[float]
    unstable_share: list[float]
    unstable_least: list[float]
    unstable_most: list[float]
    temper: Temper
    """unknown where slow and fast rates lead to different words."""
    slowest: Temper
    fastest: Temper

    def sentences(self) -> list[str]:
        """The prediction in words."""
        words = {
            "none": "no crystals, so it is not in temper",
            "under": "too few form V crystals",
            "good": "enough form V crystals",
            "over": "more form V crystals than it needs",
            "unstable": "more unstable crystals than form V",
        }
        word = words.get(
            self.temper,
            f"not enough is known, it may have {words.get(self.slowest, '')} or "
            f"{words.get(self.fastest, '')}",
        )
        return [
            f"Prediction, not a measurement: {word}; form V between {_percent(self.good_least)} "
            f"and {_percent(self.good_most)} of the fat, unstable forms between "
            f"{_percent(self.unstable_least)} and {_percent(self.unstable_most)}.",
            "Only a dip test tells.",
        ]


def forecast(
    times_s: Sequence[float],
    celsius: Sequence[float],
    stir_share: Sequence[float],
    kinetics: Kinetics | None = None,
    *,
    good_start: float = 0.0,
    unstable_start: float = 0.0,
) -> Forecast:
    """Predict crystals along a history, at its own times.

    `times_s` rising, at most 10 min apart; `celsius` and `stir_share` (0 to 1) at these times;
    starts are shares of the fat. Raises InputError.
    """
    made = kinetics or Kinetics()
    _check(times_s, celsius, stir_share, made)
    limits.share("form V at the start", good_start)
    limits.share("unstable forms at the start", unstable_start, 0.0, 1.0 - good_start)
    start = [good_start, unstable_start]
    rates = [
        _rates(times_s, celsius, stir_share, made, factor)
        for factor in (1 / DOUBT_FACTOR, 1.0, DOUBT_FACTOR)
    ]
    runs = [integrate(rate, start, times_s, STEP_S, TOLERANCE) for rate in rates]
    tempers = [_temper(float(run[0][-1]), float(run[1][-1])) for run in runs]
    good = [[max(0.0, float(run[0][i])) for run in runs] for i in range(len(times_s))]
    unstable = [[max(0.0, float(run[1][i])) for run in runs] for i in range(len(times_s))]
    return Forecast(
        label="prediction",
        times_s=[float(t) for t in times_s],
        good_share=[row[1] for row in good],
        good_least=[min(row) for row in good],
        good_most=[max(row) for row in good],
        unstable_share=[row[1] for row in unstable],
        unstable_least=[min(row) for row in unstable],
        unstable_most=[max(row) for row in unstable],
        temper=tempers[1] if len(set(tempers)) == 1 else "unknown",
        slowest=tempers[0],
        fastest=tempers[2],
    )


def foubert(solid: float, most: float, per_time: float, order: float) -> float:
    """Rate of growth of `solid` toward `most`, Foubert et al., Food Res. Int. 35:945 (2002).

    With h = 1 - solid/most: dh/dt = K (h^n - h). Zero without any solid to grow on.
    """
    if most <= 0:
        return 0.0
    left = min(1.0, max(0.0, 1.0 - solid / most))
    return float(most * per_time * (left - left**order))


def integrate(
    rate: Callable[[float, Any], Sequence[float]],
    start: Sequence[float],
    times: Sequence[float],
    longest_step: float = math.inf,
    tolerance: float = 1e-8,
) -> NDArray[Any]:
    """Solution of d state/dt = rate(t, state) at `times`, shape (states, times), by LSODA."""
    import numpy as np
    from scipy.integrate import solve_ivp

    solved = solve_ivp(
        rate, (times[0], times[-1]), start,
        t_eval=times, method="LSODA", rtol=tolerance, atol=tolerance / 100, max_step=longest_step,
    )  # fmt: skip
    return np.asarray(solved.y)


def _check(
    times_s: Sequence[float], celsius: Sequence[float], stir_share: Sequence[float], made: Kinetics
) -> None:
    for name, values, unit, high in (
        ("temperature history", celsius, "°C", 80.0),
        ("stirring history", stir_share, "(share)", 1.0),
    ):
        trace.check(
            name, times_s, values,
            unit=unit, low=0.0, high=high, longest_gap_s=600.0, least_points=2,
        )  # fmt: skip
    for field in made.__struct_fields__:
        limits.number(f"rate '{field}'", getattr(made, field), 0.0, 1000.0, "in its own unit")


def _rates(
    times_s: Sequence[float],
    celsius: Sequence[float],
    stir_share: Sequence[float],
    made: Kinetics,
    factor: float,
) -> Callable[[float, Any], Sequence[float]]:
    import numpy as np

    clock, warmth, stirring = (np.asarray(v, float) for v in (times_s, celsius, stir_share))

    def rate(now_s: float, state: Any) -> Sequence[float]:
        now_c = float(np.interp(now_s, clock, warmth))
        stir = float(np.interp(now_s, clock, stirring))
        return _rate(
            max(0.0, float(state[0])), max(0.0, float(state[1])), now_c, stir, made, factor
        )

    return rate


def _rate(
    good: float, unstable: float, now_c: float, stir: float, made: Kinetics, factor: float
) -> tuple[float, float]:
    """Rates of both populations, per second."""
    below_good = max(0.0, made.good_melts_c - now_c)
    below_unstable = max(0.0, made.unstable_melts_c - now_c)
    good_most = min(made.solid_most_share, made.good_solid_per_c * below_good)
    unstable_most = min(made.solid_most_share, made.unstable_solid_per_c * below_unstable)
    liquid = max(0.0, 1.0 - good - unstable)
    shear = 1.0 + made.stir_factor * stir
    good_rate = factor * shear * liquid * (foubert(good, good_most, made.good_per_h, made.order))
    room = max(0.0, unstable_most - good)
    unstable_rate = (
        factor
        * liquid
        * (
            foubert(unstable, room, made.unstable_per_h, made.order)
            + (made.unstable_nuclei_per_h * below_unstable if unstable < room else 0.0)
        )
    )
    turned = factor * made.turn_per_h * (1.0 + made.turn_stir_factor * stir) * unstable
    turned = turned if now_c < made.good_melts_c else 0.0
    good_rate += turned - _melting(good, good_most, now_c - made.good_melts_c, made)
    unstable_rate -= turned + _melting(unstable, room, now_c - made.unstable_melts_c, made)
    return good_rate / 3600, unstable_rate / 3600


def _melting(solid: float, most: float, above_c: float, made: Kinetics) -> float:
    """Melting per hour of what exceeds the solid share, faster above the melting point."""
    return made.melt_per_h * (1.0 + max(0.0, above_c)) * max(0.0, solid - most)


def _temper(good: float, unstable: float) -> Temper:
    if good + unstable < NONE_SHARE:
        return "none"
    if unstable > good:
        return "unstable"
    if good < LEAST_GOOD_SHARE:
        return "under"
    return "good" if good <= MOST_GOOD_SHARE else "over"


def _percent(shares: list[float]) -> str:
    return f"{shares[-1] * 100:.2g} %"
