"""Reads from a temperature trace whether the seed was added and how much of it melted.

Cold seed makes the temperature fall below the line it was on; seed that melts makes it fall
further. The controller warms against the fall, so the answer is rough.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from statistics import linear_regression, median
from typing import Literal

import msgspec

from glossbath.chocolate import limits, trace
from glossbath.chocolate.seed import SURVIVES_C, SeedPlan

BEFORE_S = 120.0
AFTER_S = 300.0
SMOOTH_POINTS = 5
TOLD_SIGMAS = 4.0
LEAST_DROP_C = 0.1
SEEN_PART = 0.4
"""A fall of less than this part of the least expected one is not taken for seed (engineering
choice, no source)."""

Verdict = Literal["added", "not seen", "lost", "cannot tell"]


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
    known = verdict in ("added", "lost")
    return SeedSeen(verdict, drop, least, most, noise, melted if known else None)


def _lowest(values: list[float]) -> float:
    """Lowest running median, so that one stray reading is not a fall."""
    span = min(SMOOTH_POINTS, len(values))
    return min(median(values[i : i + span]) for i in range(len(values) - span + 1))
