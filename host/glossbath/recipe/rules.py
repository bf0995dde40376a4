"""What the numbers of a recipe must keep to: one table, for its file and for the screen.

The ranges are the board's own, read from its program, so a recipe that passes here is one that
the board accepts. Numbers are in the units of a recipe's file and are named `phase-key`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from glossbath.chocolate.phase import PhasePlan, Window
from glossbath_board import limits
from glossbath_board.program import NAMES, PHASE_RANGES


class Limit(NamedTuple):
    """The numbers that one key may have, both ends allowed."""

    low: float
    high: float
    unit: str


_BOARD = {field: (low, high) for field, low, high in PHASE_RANGES}


def _limit(field: str, per_unit: float, unit: str) -> Limit:
    low, high = _BOARD[field]
    return Limit(low / per_unit, high / per_unit, unit)


SHORTEST_TIMEOUT_S = 60.0
RUN_CEILING_S = limits.RUN_CEILING_MS / 1000
PHASE_CEILING_S = limits.PHASE_CEILING_MS / 1000
LOWEST_MAX_C = 20.0
CEILING_C = limits.CHOCOLATE_CEILING_MC / 1000

LIMITS = {
    "target_c": _limit("target_mc", 1000, "°C"),
    "low_c": _limit("low_mc", 1000, "°C"),
    "high_c": _limit("high_mc", 1000, "°C"),
    "bath_low_c": _limit("bath_low_mc", 1000, "°C"),
    "bath_high_c": _limit("bath_high_mc", 1000, "°C"),
    "dwell_min": _limit("dwell_ms", 60_000, "min"),
    "timeout_min": _limit("timeout_ms", 60_000, "min")._replace(low=SHORTEST_TIMEOUT_S / 60),
    "stir_percent": _limit("stir_permille", 10, "%"),
    "fat_percent": Limit(0, 100, "%"),
    "max_c": Limit(LOWEST_MAX_C, CEILING_C, "°C"),
}
PHASE_KEYS = tuple(LIMITS)[:8]
LONGEST_NAME, LONGEST_SOURCE, MOST_SOURCES = 40, 300, 20

REACH_K = {
    "melt": (0.0, 0.5),
    "cool": (0.5, 0.0),
    "reheat": (0.0, 0.5),
}
"""How far the bath's range must go below and above the target: a bath only comes close to the
temperature it is led to, and chocolate only close to that of its bath, so that with less between
them a phase would wait for ever."""


class Rule(NamedTuple):
    """lower + gap <= upper, both named `phase-key`; without the equality where `strict`."""

    lower: str
    upper: str
    refusal: str
    """Filled in with the phase's numbers by their keys, and with `least` and `most`: what the
    rule leaves for upper and lower."""
    gap: float = 0.0
    strict: bool = False

    def kept(self, lower: float, upper: float) -> bool:
        """Whether two numbers keep to it; nan does not."""
        return lower + self.gap <= upper and not (self.strict and lower + self.gap == upper)


_OUTSIDE = (
    "target_c is {target_c} °C, outside its window of {low_c} to {high_c} °C; move one of them."
)
_TOO_WARM = (
    "the upper end of window_c is {high_c} °C, above this recipe's max_c of {most} °C; lower the "
    "window or raise max_c."
)
_TOO_SHORT = (
    "dwell_min is {dwell_min} min, but must be less than timeout_min, which is {timeout_min} min; "
    "shorten the dwell or give more time."
)
_REACH = (
    "bath_c is {bath_low_c} to {bath_high_c} °C, which cannot bring chocolate to its target of "
    "{target_c} °C; "
)
_RAISE = _REACH + "raise its upper end to {least} °C or more."
_LOWER = _REACH + "lower its lower end to {most} °C or less."


def _rules() -> Iterator[Rule]:
    for name in NAMES:
        below, above = REACH_K.get(name, (0.0, 0.0))
        yield Rule(f"{name}-low_c", f"{name}-target_c", _OUTSIDE)
        yield Rule(f"{name}-target_c", f"{name}-high_c", _OUTSIDE)
        yield Rule(f"{name}-high_c", "recipe-max_c", _TOO_WARM)
        yield Rule(f"{name}-dwell_min", f"{name}-timeout_min", _TOO_SHORT, strict=True)
        yield Rule(f"{name}-target_c", f"{name}-bath_high_c", _RAISE, gap=above)
        yield Rule(f"{name}-bath_low_c", f"{name}-target_c", _LOWER, gap=below)
    yield Rule(
        "cool-target_c", "soak-target_c",
        "target_c is {target_c} °C, not below that of soak, {most} °C; lower it.",
        strict=True,
    )  # fmt: skip
    yield Rule(
        "cool-target_c", "reheat-target_c",
        "target_c is {target_c} °C, above that of reheat, {most} °C; lower it or raise that.",
    )  # fmt: skip


RULES = tuple(_rules())


def numbers(plan: PhasePlan) -> dict[str, float]:
    """A phase's numbers by key, in the units of a recipe's file."""
    return {
        "target_c": plan.target_c,
        "low_c": plan.window.low_c,
        "high_c": plan.window.high_c,
        "bath_low_c": plan.bath_low_c,
        "bath_high_c": plan.bath_high_c,
        "dwell_min": plan.dwell_s / 60,
        "timeout_min": plan.timeout_s / 60,
        "stir_percent": plan.stir_share * 100,
    }


def plan(name: str, by_key: dict[str, float]) -> PhasePlan:
    """The phase of these numbers, rounded to what the board keeps: thousandths of a degree, of a
    share and of a second."""
    exact = {key: round(value, 3) for key, value in by_key.items()}
    return PhasePlan(
        name=name,
        target_c=exact["target_c"],
        window=Window(exact["low_c"], exact["high_c"]),
        dwell_s=round(by_key["dwell_min"] * 60, 3),
        timeout_s=round(by_key["timeout_min"] * 60, 3),
        stir_share=round(by_key["stir_percent"] / 100, 3),
        bath_low_c=exact["bath_low_c"],
        bath_high_c=exact["bath_high_c"],
    )
