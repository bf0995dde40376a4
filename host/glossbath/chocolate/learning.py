"""What went with good results: settings of past cycles against their dip tests, one chocolate.

Counts get Wilson's score interval, comparisons Fisher's exact test with Holm's correction for
looking at several settings. What goes with a good result need not be its cause.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median

import msgspec

from glossbath.errors import InputError, quoted

from . import limits

CONFIDENCE = 0.95
SETTINGS = {
    "melt_highest_c": ("that were melted at", "°C"),
    "cool_lowest_c": ("that were cooled to", "°C"),
    "hold_mean_c": ("that were held at", "°C"),
    "cool_min": ("whose cooling took", "min"),
}
"""How a setting of a record is said; others by their own name."""
LEAST_CYCLES = 8
"""With fewer, nothing is compared (engineering choice, no source)."""
LEAST_OF_EACH = 3
"""Good and bad results needed, and cycles on each side of a comparison."""


class Cycle(msgspec.Struct, frozen=True):
    """One past cycle: its chocolate, its settings by name, and its dip test."""

    chocolate: str
    settings: dict[str, float]
    good: bool


class Rate(msgspec.Struct, frozen=True):
    """How many of some cycles went well."""

    good: int
    cycles: int
    share: float
    wilson_low: float
    wilson_high: float
    """Wilson score interval, 95 %."""
    exact_low: float
    exact_high: float
    """Clopper and Pearson's exact interval, 95 %."""

    def text(self) -> str:
        """The rate in words."""
        return f"{self.good} of {self.cycles}"

    def detail(self) -> str:
        """The rate with its interval."""
        return (
            f"{self.text()} good ({self.share * 100:.0f} %, Wilson 95 % interval "
            f"{self.wilson_low * 100:.0f} to {self.wilson_high * 100:.0f} %)"
        )


class Comparison(msgspec.Struct, frozen=True):
    """One setting, split at its median: how the two sides went."""

    setting: str
    split_at: float
    """Low means at or below this value."""
    low: Rate
    high: Rate
    p_value: float
    """Fisher's exact test, two-sided, after Holm's correction."""
    told: bool
    """Whether the difference is more than chance would make, at 5 %."""
    good_from: float
    good_to: float
    """Range of the setting in cycles that went well."""

    def _sides(self) -> tuple[Rate, str, Rate]:
        """The better side, what it had in common, the other."""
        done, unit = SETTINGS.get(self.setting, (f"with {self.setting} of", ""))
        at = f"{self.split_at:.4g} {unit}".rstrip()
        if self.high.share > self.low.share:
            return self.high, f"{done} more than {at}", self.low
        return self.low, f"{done} {at} or less", self.high

    def sentence(self) -> str:
        """The comparison in words."""
        better, side, other = self._sides()
        chance = "more than chance" if self.told else "could be chance"
        return f"{better.text()} batches {side} set well; {other.text()} of the others: {chance}."

    def detail(self) -> str:
        """The test behind it."""
        better, side, other = self._sides()
        return (
            f"Batches {side}: {better.detail()} against {other.detail()}; Fisher's exact test "
            f"with Holm's correction, {_p(self.p_value)}."
        )


class Lesson(msgspec.Struct, frozen=True):
    """What past cycles of one chocolate say."""

    chocolate: str
    overall: Rate | None
    comparisons: list[Comparison]
    enough: bool
    lines: list[str]

    def sentences(self) -> list[str]:
        """The lesson in words."""
        return list(self.lines)

    def details(self) -> list[str]:
        """The tests behind it."""
        overall = [] if self.overall is None else [f"All of them: {self.overall.detail()}."]
        return [*overall, *(one.detail() for one in self.comparisons)]


def learn(cycles: Sequence[Cycle], chocolate: str) -> Lesson:
    """Which settings went with good dip tests for one chocolate.

    Says when there is too little to say anything. A setting is compared when every cycle has it
    and both sides of its median hold at least three cycles. Raises InputError.
    """
    for cycle in cycles:
        for name, value in cycle.settings.items():
            if not math.isfinite(value):
                raise InputError(f"The setting '{name}' of a cycle must be a number, not {value}.")
    if not chocolate.strip():
        raise InputError("Name the chocolate whose cycles are to be compared.")
    mine = [cycle for cycle in cycles if cycle.chocolate == chocolate]
    if not mine:
        others = ", ".join(sorted({quoted(cycle.chocolate) for cycle in cycles}))
        known = f"; there are cycles of {others}" if others else ""
        line = f"There is no cycle of {quoted(chocolate)} yet{known}."
        return Lesson(chocolate, None, [], False, [line])
    overall = rate(sum(c.good for c in mine), len(mine))
    lines = [f"{chocolate}: {overall.text()} batches set well."]
    shortage = _shortage(mine)
    if shortage:
        return Lesson(chocolate, overall, [], False, [*lines, shortage])
    comparisons = _compared(mine)
    if not comparisons:
        lines.append("No setting varied enough to be compared.")
    lines += [c.sentence() for c in comparisons]
    if any(c.told for c in comparisons):
        lines.append("It went with good results; that it caused them is not shown.")
    return Lesson(chocolate, overall, comparisons, True, lines)


def rate(good: int, cycles: int) -> Rate:
    """A share with its 95 % intervals by Wilson and by Clopper and Pearson. Raises InputError."""
    from scipy.stats import binomtest

    limits.number("count of cycles", cycles, 1, 1_000_000, "cycles")
    limits.number("count of good cycles", good, 0, cycles, "cycles")
    test = binomtest(good, cycles)
    wilson = test.proportion_ci(CONFIDENCE, method="wilson")
    exact = test.proportion_ci(CONFIDENCE, method="exact")
    return Rate(
        good=good,
        cycles=cycles,
        share=good / cycles,
        wilson_low=float(wilson.low),
        wilson_high=float(wilson.high),
        exact_low=float(exact.low),
        exact_high=float(exact.high),
    )


def _shortage(mine: list[Cycle]) -> str:
    """Why the cycles are too few to compare settings; empty when they are not."""
    good = sum(cycle.good for cycle in mine)
    bad = len(mine) - good
    if len(mine) < LEAST_CYCLES:
        return (
            f"{len(mine)} of its cycles are too few to say which settings matter: "
            f"at least {LEAST_CYCLES} are needed."
        )
    if min(good, bad) < LEAST_OF_EACH:
        return (
            f"With {good} good and {bad} bad results there is too little to compare: at least "
            f"{LEAST_OF_EACH} of each are needed."
        )
    return ""


def _compared(mine: list[Cycle]) -> list[Comparison]:
    shared = set.intersection(*(set(cycle.settings) for cycle in mine))
    splits = []
    for name in sorted(shared):
        values = [cycle.settings[name] for cycle in mine]
        split = _split(values)
        if split is not None:
            splits.append((name, split))
    p_values = _holm([_fisher(mine, name, split) for name, split in splits])
    made = [
        _comparison(mine, name, split, p)
        for (name, split), p in zip(splits, p_values, strict=True)
    ]
    return sorted(made, key=lambda c: c.p_value)


def _split(values: list[float]) -> float | None:
    """Where to part values so that both sides hold enough; None when that cannot be."""
    for split in (median(values), max((v for v in values if v < max(values)), default=None)):
        if split is None:
            continue
        low = sum(v <= split for v in values)
        if min(low, len(values) - low) >= LEAST_OF_EACH:
            return split
    return None


def _sides(mine: list[Cycle], name: str, split: float) -> tuple[list[Cycle], list[Cycle]]:
    low = [cycle for cycle in mine if cycle.settings[name] <= split]
    high = [cycle for cycle in mine if cycle.settings[name] > split]
    return low, high


def _fisher(mine: list[Cycle], name: str, split: float) -> float:
    import numpy as np
    from scipy.stats import fisher_exact

    table = [
        [sum(c.good for c in side), sum(not c.good for c in side)]
        for side in _sides(mine, name, split)
    ]
    return float(fisher_exact(np.array(table)).pvalue)


def _holm(p_values: list[float]) -> list[float]:
    """Holm's step-down correction."""
    corrected = [0.0] * len(p_values)
    highest = 0.0
    for place, i in enumerate(sorted(range(len(p_values)), key=lambda i: p_values[i])):
        highest = max(highest, min(1.0, p_values[i] * (len(p_values) - place)))
        corrected[i] = highest
    return corrected


def _comparison(mine: list[Cycle], name: str, split: float, p_value: float) -> Comparison:
    low, high = _sides(mine, name, split)
    went_well = [cycle.settings[name] for cycle in mine if cycle.good]
    return Comparison(
        setting=name,
        split_at=split,
        low=rate(sum(c.good for c in low), len(low)),
        high=rate(sum(c.good for c in high), len(high)),
        p_value=p_value,
        told=p_value < 1 - CONFIDENCE,
        good_from=min(went_well),
        good_to=max(went_well),
    )


def _p(value: float) -> str:
    return f"p = {value:.2g}" if value >= 0.001 else "p < 0.001"
