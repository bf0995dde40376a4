"""Reads from a temperature trace whether the seed was added and how much of it melted.

Cold seed makes the temperature fall below the line it was on; seed that melts makes it fall
further. A bath that cools or warms the chocolate bends that line: where the bath's temperature is
known too, `without_bath` takes its part out first.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from statistics import linear_regression, median
from typing import Literal

import msgspec

from . import limits, trace
from .seed import SURVIVES_C, SeedPlan

BEFORE_S = 120.0
AFTER_S = 300.0
SMOOTH_POINTS = 5
TOLD_SIGMAS = 4.0
LEAST_DROP_C = 0.1
SEEN_PART = 0.4
"""A fall of less than this part of the least expected one is not taken for seed (engineering
choice, no source)."""

COUPLING_PER_S = (1 / 3000, 1 / 60)
"""Stirred chocolate follows its bath within 4 to 9 min (1 kg, from the heat transfer estimates of
stirred bowls); ten times as wide."""
LEAST_BEND_C_S = 50.0
"""Less bend of the integral tells no coupling (engineering choice, no source)."""

ALL_MELTED_SHARE = 0.95
MOST_FALL_FACTOR = 1.3
"""A fall this many times the largest that the seed could cause has another cause (engineering
choice, no source)."""

Verdict = Literal["added", "not seen", "lost", "all melted", "too large", "cannot tell"]
NONE_LEFT: tuple[Verdict, ...] = ("lost", "all melted", "too large")
"""Verdicts after which no seed can be counted on."""


class SeedSeen(msgspec.Struct, frozen=True):
    """What the trace shows about one addition of seed."""

    verdict: Verdict
    seen_drop_c: float
    expected_least_c: float
    expected_most_c: float
    noise_c: float
    melted_share: float | None
    """Rough part of the seed that melted; None when nothing was seen."""

    def sentences(self) -> list[str]:
        """The finding in words."""
        fall = (
            f"The temperature fell by {self.seen_drop_c:.1f} °C where "
            f"{self.expected_least_c:.1f} to {self.expected_most_c:.1f} °C was expected."
        )
        if self.verdict == "cannot tell":
            return [
                f"The expected fall of {self.expected_least_c:.2f} °C is too small to be told "
                f"from the trace's noise of {self.noise_c:.2f} °C: trust your own eyes."
            ]
        if self.verdict == "not seen":
            return [fall, "The trace does not show that the seed was added."]
        if self.verdict == "too large":
            return [
                fall,
                "No seed could cause so large a fall: look whether the probe hangs free and "
                "whether anything cold or wet got in. If all is well, seed again.",
            ]
        if self.verdict == "all melted":
            return [fall, "All of the seed melted, so none is left: seed again."]
        melted = f"About {100 * (self.melted_share or 0.0):.0f} % of the seed melted."
        if self.verdict == "lost":
            return [
                fall,
                melted,
                f"The chocolate stayed above {SURVIVES_C:g} °C, so no seed is left: cool it below "
                "that and seed again.",
            ]
        return [fall, "The seed was added.", melted]


def judge(
    times_s: Sequence[float], celsius: Sequence[float], asked_at_s: float, plan: SeedPlan
) -> SeedSeen:
    """Compare the fall after `asked_at_s` with the plan's expected fall.

    `times_s` in s, at least 30 s of it before and after the moment the seed was asked for, no gap
    over 15 s. Raises InputError for a trace that cannot be used.
    """
    trace.check(
        "temperature trace", times_s, celsius,
        unit="°C", low=0.0, high=80.0, longest_gap_s=15.0, least_points=20,
    )  # fmt: skip
    limits.number("length of the trace", times_s[-1] - times_s[0], 60.0, 7 * 86_400.0, "s")
    limits.number("moment of seeding", asked_at_s, times_s[0] + 30.0, times_s[-1] - 30.0, "s")
    pairs = list(zip(times_s, celsius, strict=True))
    before = [p for p in pairs if asked_at_s - BEFORE_S <= p[0] <= asked_at_s]
    after = [p for p in pairs if asked_at_s < p[0] <= asked_at_s + AFTER_S]
    slope, start = linear_regression(*zip(*before, strict=True))
    noise = sqrt(sum((c - start - slope * t) ** 2 for t, c in before) / max(1, len(before) - 2))
    # Seed falls within a minute or two, so the steepest departure from the line comes before
    # the line itself goes wrong.
    drop = max(0.0, -_lowest([c - start - slope * t for t, c in after]))
    lowest_c = _lowest([c for _, c in after])
    least, most = plan.drop_least_c, plan.drop_most_c
    told = max(LEAST_DROP_C, TOLD_SIGMAS * noise)
    melted = min(1.0, max(0.0, (drop - least) / (most - least)))
    verdict: Verdict = "added"
    if least < told:
        verdict = "cannot tell"
    elif drop < max(told, SEEN_PART * least):
        verdict = "not seen"
    elif lowest_c > SURVIVES_C:
        verdict, melted = "lost", 1.0
    elif drop > MOST_FALL_FACTOR * most + told:
        verdict = "too large"
    elif melted >= ALL_MELTED_SHARE:
        verdict, melted = "all melted", 1.0
    known = verdict in ("added", "lost", "all melted")
    return SeedSeen(verdict, drop, least, most, noise, melted if known else None)


def judge_beside_bath(
    times_s: Sequence[float],
    celsius: Sequence[float],
    bath_c: Sequence[float],
    asked_at_s: float,
    plan: SeedPlan,
    per_s: float,
) -> SeedSeen:
    """`judge` after the bath's part, by `per_s` of `coupling_per_s`, is taken out.

    Raises InputError for a trace that cannot be used.
    """
    near = [i for i, t in enumerate(times_s) if -BEFORE_S <= t - asked_at_s <= AFTER_S]
    times, chocolate, bath = ([series[i] for i in near] for series in (times_s, celsius, bath_c))
    balance = without_bath(times, chocolate, bath, per_s)
    at = next((i for i, t in enumerate(times) if t >= asked_at_s), len(times) - 1)
    # The same temperature as the chocolate's when the seed may have gone in.
    shift = chocolate[at] - balance[at]
    return judge(times, [value + shift for value in balance], asked_at_s, plan)


def coupling_per_s(
    times_s: Sequence[float], celsius: Sequence[float], bath_c: Sequence[float]
) -> float:
    """How strongly the bath moves the chocolate, k of dT/dt = k (bath - T) + rest, in 1/s.

    From a stretch in which the bath does move it, with the rest taken as steady: T is fitted by
    the integral of (bath - T) and by time. 0 when the stretch does not tell it. Raises InputError
    for a trace that cannot be used.
    """
    _check(times_s, celsius, bath_c)
    drive = _integral(times_s, celsius, bath_c)
    bent, moved = _without_line(times_s, drive), _without_line(times_s, celsius)
    spread = sum(value * value for value in bent)
    if not (sqrt(spread / len(bent)) >= LEAST_BEND_C_S):
        return 0.0
    found = sum(a * b for a, b in zip(bent, moved, strict=True)) / spread
    low, high = COUPLING_PER_S
    return found if low <= found <= high else 0.0


def without_bath(
    times_s: Sequence[float], celsius: Sequence[float], bath_c: Sequence[float], per_s: float
) -> list[float]:
    """The trace as it would be if the bath had not moved the chocolate since its first point.

    `per_s` from `coupling_per_s`. Raises InputError for a trace that cannot be used.
    """
    _check(times_s, celsius, bath_c)
    drive = _integral(times_s, celsius, bath_c)
    return [c - per_s * moved for c, moved in zip(celsius, drive, strict=True)]


def _check(times_s: Sequence[float], celsius: Sequence[float], bath_c: Sequence[float]) -> None:
    for name, values in (("temperature trace", celsius), ("bath's trace", bath_c)):
        trace.check(
            name, times_s, values,
            unit="°C", low=0.0, high=100.0, longest_gap_s=15.0, least_points=20,
        )  # fmt: skip


def _integral(
    times_s: Sequence[float], celsius: Sequence[float], bath_c: Sequence[float]
) -> list[float]:
    """Integral of (bath - T) over time from the first point on, °C s, by trapezoids."""
    total, found = 0.0, [0.0]
    for i in range(1, len(times_s)):
        step = bath_c[i - 1] - celsius[i - 1] + bath_c[i] - celsius[i]
        total += step / 2 * (times_s[i] - times_s[i - 1])
        found.append(total)
    return found


def _without_line(times_s: Sequence[float], values: Sequence[float]) -> list[float]:
    slope, start = linear_regression(times_s, values)
    return [value - start - slope * time for time, value in zip(times_s, values, strict=True)]


def _lowest(values: list[float]) -> float:
    """Lowest running median, so that one stray reading is not a fall."""
    span = min(SMOOTH_POINTS, len(values))
    return min(median(values[i : i + span]) for i in range(len(values) - span + 1))
