"""A control chart for individual values, one a cycle, with Nelson's rules for an unusual run.

Limits from the mean moving range (d2 = 1.128 for pairs), as in the NIST/SEMATECH e-Handbook of
Statistical Methods, 6.3.2.2. Rules: L. S. Nelson, Journal of Quality Technology 16:237 (1984).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

D2 = 1.128
FEWEST = 8
"""Limits from fewer cycles say nothing."""


@dataclass(frozen=True)
class Chart:
    """Centre, three-sigma limits, and the unusual runs as (rule, last position, sentence)."""

    values: tuple[float, ...]
    centre: float
    low: float
    high: float
    signals: tuple[tuple[int, int, str], ...]
    enough: bool
    """Whether there are cycles enough for the limits to mean something."""


def individuals(values: list[float]) -> Chart:
    """The chart of values, oldest first; needs at least two."""
    centre = sum(values) / len(values)
    ranges = [abs(after - before) for before, after in pairwise(values)]
    sigma = sum(ranges) / len(ranges) / D2 if ranges else 0.0
    enough = len(values) >= FEWEST and sigma > 0
    signals = _signals([(value - centre) / sigma for value in values]) if enough else ()
    return Chart(
        tuple(values), centre, centre - 3 * sigma, centre + 3 * sigma, tuple(signals), enough
    )


def _signals(scores: list[float]) -> list[tuple[int, int, str]]:
    """Nelson's eight rules over distances from the centre in sigmas."""
    found = []
    for at in range(len(scores)):
        for rule, (length, words, met) in _RULES.items():
            if at + 1 >= length and met(scores[at + 1 - length : at + 1]):
                found.append((rule, at, words))
    return found


def _same_side(run: list[float], beyond: float, fewest: int) -> bool:
    above = sum(score > beyond for score in run)
    below = sum(score < -beyond for score in run)
    return above >= fewest or below >= fewest


def _steady(run: list[float]) -> bool:
    steps = [after - before for before, after in pairwise(run)]
    return all(step > 0 for step in steps) or all(step < 0 for step in steps)


def _alternates(run: list[float]) -> bool:
    steps = [after - before for before, after in pairwise(run)]
    return all(one * other < 0 for one, other in pairwise(steps))


_Met = Callable[[list[float]], bool]
_RULES: dict[int, tuple[int, str, _Met]] = {
    1: (1, "one value beyond three sigma", lambda run: abs(run[0]) > 3),
    2: (9, "nine in a row on one side of the centre", lambda run: _same_side(run, 0, 9)),
    3: (6, "six in a row steadily rising or falling", _steady),
    4: (14, "fourteen in a row going up and down", _alternates),
    5: (3, "two of three beyond two sigma on one side", lambda run: _same_side(run, 2, 2)),
    6: (5, "four of five beyond one sigma on one side", lambda run: _same_side(run, 1, 4)),
    7: (15, "fifteen in a row within one sigma", lambda run: all(abs(s) < 1 for s in run)),
    8: (8, "eight in a row beyond one sigma", lambda run: all(abs(s) > 1 for s in run)),
}
