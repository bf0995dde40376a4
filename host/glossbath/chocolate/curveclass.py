"""Under, good or over: the class of a cooling curve by limits from the maker's own dip tests.

The limits on the slope belong to one cup, one way of cooling and one chocolate; none are built in.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import NormalDist, fmean, stdev
from typing import Literal

import msgspec

from glossbath.errors import InputError

from . import limits
from .coolingcurve import Curve

Judged = Literal["under", "good", "over"]
Class = Literal["under", "good", "over", "no inflection"]

SLOPE_C_PER_MIN = (-30.0, 30.0)
LEAST_GOOD = 3
LEAST_ERROR_C_PER_MIN = 0.05
PROVISIONAL_SIGMAS = 2.5
SURE = 0.8
"""Below this confidence the class is called unsure (engineering choice, no source)."""


class Sample(msgspec.Struct, frozen=True):
    """One cooling curve's slope and what the dip test said of the same chocolate."""

    slope_c_per_min: float
    judged: Judged


class Limits(msgspec.Struct, frozen=True):
    """Slopes that part the classes, in °C/min, each with a standard error."""

    under_above: float
    over_below: float
    under_error: float = LEAST_ERROR_C_PER_MIN
    over_error: float = LEAST_ERROR_C_PER_MIN


class Calibration(msgspec.Struct, frozen=True):
    """Limits drawn from samples, and how well they part them."""

    limits: Limits
    counts: dict[str, int]
    misjudged: int
    """Samples on the wrong side of the limits."""
    provisional: list[str]
    """Sides without a sample, whose limit is a guess from the spread of the good ones."""

    def sentences(self) -> list[str]:
        """The calibration in words."""
        made = self.limits
        lines = [
            f"Good between {made.over_below:+.2f} and {made.under_above:+.2f} °C/min, from "
            f"{self.counts['good']} good, {self.counts['under']} under-tempered and "
            f"{self.counts['over']} over-tempered samples."
        ]
        if self.misjudged:
            lines.append(
                f"{self.misjudged} of {sum(self.counts.values())} samples lie on the wrong side: "
                "cup, cooling or dip test vary too much."
            )
        lines += [
            f"No {side}-tempered sample yet: that limit is a guess from the good ones."
            for side in self.provisional
        ]
        return lines


class Verdict(msgspec.Struct, frozen=True):
    """The class of one curve with the probability of each class."""

    judged: Class
    confidence: float
    """Probability of the class, from the errors of slope and limits; 0 without inflection."""
    probabilities: dict[Class, float]

    def sentences(self) -> list[str]:
        """The class in words."""
        words = {
            "under": "under-tempered: cool it or work it longer",
            "good": "well tempered",
            "over": "over-tempered: warm it by half a degree",
        }
        if self.judged == "no inflection":
            return ["No inflection: the curve says nothing about temper."]
        if self.confidence < SURE:
            return [
                f"Perhaps {words[self.judged]} ({self.confidence * 100:.0f} %): too near a limit "
                "to be sure, so make a dip test."
            ]
        return [f"It is {words[self.judged]} ({self.confidence * 100:.0f} %)."]


def calibrate(samples: Sequence[Sample]) -> Calibration:
    """Limits that part the samples best, between at least three good ones and the others.

    A side without samples gets a provisional limit. Raises InputError for too few good samples
    or implausible slopes.
    """
    for sample in samples:
        limits.number("slope of a sample", sample.slope_c_per_min, *SLOPE_C_PER_MIN, "°C/min")
    by = {
        judged: [s.slope_c_per_min for s in samples if s.judged == judged]
        for judged in ("under", "good", "over")
    }
    if len(by["good"]) < LEAST_GOOD:
        raise InputError(
            f"Calibration needs at least {LEAST_GOOD} curves whose dip test was good, "
            f"not {len(by['good'])}."
        )
    under, under_error = _side(by["good"], by["under"])
    lower, over_error = _side([-s for s in by["good"]], [-s for s in by["over"]])
    over = -lower
    if not (over < under):
        raise InputError(
            "The samples contradict each other: over-tempered ones must fall faster than "
            "under-tempered ones, so check how they were labelled."
        )
    wrong = (
        sum(s <= under for s in by["under"])
        + sum(s >= over for s in by["over"])
        + sum(not over < s < under for s in by["good"])
    )
    return Calibration(
        Limits(under, over, under_error, over_error),
        {judged: len(slopes) for judged, slopes in by.items()},
        wrong,
        [side for side in ("under", "over") if not by[side]],
    )


def classify(curve: Curve, made: Limits) -> Verdict:
    """The class of a curve by calibrated limits, with normal errors of slope and limits.

    Raises InputError for limits the wrong way round or implausible.
    """
    for name, value in (
        ("limit for over-tempered slopes", made.over_below),
        ("limit for under-tempered slopes", made.under_above),
    ):
        limits.number(name, value, *SLOPE_C_PER_MIN, "°C/min")
    limits.ordered("range of good slopes", made.over_below, made.under_above, "°C/min")
    bend = curve.inflection
    if bend is None:
        return Verdict("no inflection", 0.0, {})
    slope, error = bend.slope_c_per_min, bend.slope_error_c_per_min
    under = 1 - _below(made.under_above, slope, error, made.under_error)
    over = _below(made.over_below, slope, error, made.over_error)
    parts: dict[Class, float] = {
        "under": under,
        "good": max(0.0, 1 - under - over),
        "over": over,
    }
    best = max(parts, key=lambda judged: parts[judged])
    return Verdict(best, parts[best], parts)


def _below(limit: float, slope: float, slope_error: float, limit_error: float) -> float:
    """Probability that the slope lies below the limit."""
    spread = max(1e-6, (slope_error**2 + limit_error**2) ** 0.5)
    return NormalDist(slope, spread).cdf(limit)


def _side(good: list[float], bad: list[float]) -> tuple[float, float]:
    """Limit above most good and below most bad slopes, and its standard error."""
    if not bad:
        spread = max(stdev(good), LEAST_ERROR_C_PER_MIN)
        return fmean(good) + PROVISIONAL_SIGMAS * spread, spread
    every = sorted({*good, *bad})
    edges = [every[0] - LEAST_ERROR_C_PER_MIN, *every, every[-1] + LEAST_ERROR_C_PER_MIN]
    between = list(pairwise(edges))

    def wrong(gap: tuple[float, float]) -> int:
        middle = (gap[0] + gap[1]) / 2
        return sum(s > middle for s in good) + sum(s < middle for s in bad)

    fewest = min(wrong(gap) for gap in between)
    low, high = max((g for g in between if wrong(g) == fewest), key=lambda g: g[1] - g[0])
    # Uniform odds over the empty stretch between the neighbours.
    return (low + high) / 2, max(LEAST_ERROR_C_PER_MIN, (high - low) / 12**0.5)
