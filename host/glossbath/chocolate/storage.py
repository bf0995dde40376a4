"""Storing and sending chocolate: limits with their sources, and what a history speaks for."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from . import limits, trace
from .sweat import SURFACE_RH_SHARE

BEST_C = (15.0, 18.0)
"""McGee 2004: constant, without swings."""
GOOD_TO_C = 20.0
"""Encyclopaedia Britannica and food-info.net: 18 to 20 °C, below 50 %."""
BLOOMS_ABOVE_C = 25.0
"""Walstra: bloom by V turning into VI, particularly above this or when temperature fluctuates."""
MELTS_ABOVE_C = 28.0
COLD_C = 10.0
"""food-info.net: out of a store below this moisture deposits."""
DRY_RH_SHARE = 0.50
SWING_K = 3.0
"""Engineering choice, no source: sources say only "no swings"."""
MONTHS = {"dark": (12, 24), "milk": (9, 12), "white": (6, 12)}
"""Plain bars, usual best-before (common practice, no source)."""


class Store(msgspec.Struct, frozen=True):
    """What a store does to chocolate."""

    coolest_c: float
    warmest_c: float
    risks: list[str]
    lines: list[str]

    def sentences(self) -> list[str]:
        """The judgement in words."""
        return list(self.lines)


def judge(
    coolest_c: float,
    warmest_c: float,
    *,
    kind: str,
    rh_share: float | None = None,
    filled: bool = False,
    warm_h: float | None = None,
) -> Store:
    """What temperatures between two ends and a humidity do. `warm_h`: hours above 25 °C, where a
    history is known. Raises InputError."""
    limits.celsius("coolest store", coolest_c, (-30.0, 60.0))
    limits.celsius("warmest store", warmest_c, (coolest_c, 60.0))
    hours = "" if warm_h is None else f" for {warm_h:.0f} h"
    risks: list[tuple[str, str]] = []
    if warmest_c > MELTS_ABOVE_C:
        risks.append(
            (
                "melted",
                f"At {warmest_c:g} °C it begins to melt and sets again untempered: look at it, "
                "temper it again if it is streaked.",
            )
        )
    if warmest_c > BLOOMS_ABOVE_C:
        risks.append(
            (
                "fat bloom",
                f"It was above {BLOOMS_ABOVE_C:g} °C{hours}: fat bloom comes in weeks (Walstra; "
                "filled dark bars bloomed in the third week at 30 °C and not in eight at 18 °C, "
                "Ali et al. 2001).",
            )
        )
    if warmest_c - coolest_c > SWING_K:
        risks.append(
            (
                "swings",
                f"It swings by {warmest_c - coolest_c:g} °C: swings bring fat bloom sooner (cocoa "
                "butter bloomed at the third cycle of 20 and 33 °C).",
            )
        )
    if coolest_c < COLD_C:
        risks.append(
            (
                "damp",
                f"From {coolest_c:g} °C it sweats in a warm room: keep it closed until it has the "
                "room's temperature (food-info.net).",
            )
        )
    if rh_share is not None and rh_share > DRY_RH_SHARE:
        limit = SURFACE_RH_SHARE[kind]
        risks.append(
            (
                "humidity",
                f"{rh_share * 100:g} % is above the {DRY_RH_SHARE * 100:g} % that sources advise; "
                f"above {limit * 100:g} % at its surface {kind} chocolate takes up water and "
                "sugar blooms.",
            )
        )
    if filled:
        risks.append(("filling", "Oil of a filling moves into the chocolate, sooner when warm."))
    low, high = MONTHS[kind]
    lines = [text for _, text in risks] or [
        f"It suits {kind} chocolate: steady, {coolest_c:g} to {warmest_c:g} °C."
    ]
    lines += [
        f"Best is {BEST_C[0]:g} to {BEST_C[1]:g} °C without swings (McGee 2004), good up to "
        f"{GOOD_TO_C:g} °C, below {DRY_RH_SHARE * 100:g} % (Britannica; food-info.net), dark, "
        "away from smells.",
        f"The best-before date is your decision: {low} to {high} months are usual for plain "
        f"{kind} bars (common practice, no source); keep bars of each lot and taste them.",
    ]
    return Store(coolest_c, warmest_c, [name for name, _ in risks], lines)


def judge_history(
    times_s: Sequence[float], celsius: Sequence[float], *, kind: str, filled: bool = False
) -> Store:
    """`judge` of a recorded history, at most a day between two readings. Raises InputError."""
    trace.check(
        "history of the store", times_s, celsius,
        unit="°C", low=-30.0, high=60.0, longest_gap_s=86_400.0, least_points=2,
    )  # fmt: skip
    warm_s = sum(
        after - before
        for before, after, value in zip(times_s, times_s[1:], celsius[1:], strict=False)
        if value > BLOOMS_ABOVE_C
    )
    return judge(min(celsius), max(celsius), kind=kind, filled=filled, warm_h=warm_s / 3600)
