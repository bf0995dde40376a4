"""What to do when a batch drifts, is remelted, got too hot, or has set.

All of it is advice; what cannot be saved for tempering is said plainly.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from . import limits
from .seed import SURVIVES_C
from .windows import FORM_IV_BELOW_C, Suggestion

KITCHEN_C = {"dark": 55.0, "milk": 50.0, "white": 50.0}
"""Up to here a bowl that stands still is safe: culinary textbook, milk and white "never above
50 °C (proteins)"; dark: its highest melt temperature."""
CONCHE_C = {"dark": 80.0, "milk": 57.0, "white": 57.0}
"""Stirred mass stands this for hours: conching after McGee 2004, dark 45 to 80 °C, milk 43 to
57 °C. White: as milk, for the same proteins (an estimate)."""
BRIEFLY_S = 300.0
BRIEFLY_ABOVE_K = 15.0
"""So much hotter for so short a time may have done nothing (common practice, no source)."""
LONG_HOLD_S = 3 * 3600.0
WARM_STEP_C = 0.5
"""Steps in which a thickening batch is warmed (common practice, no source)."""

Action = Literal["use", "warm", "cool", "again", "melt"]


class Hold(msgspec.Struct, frozen=True):
    """What to do with a batch that is being held."""

    action: Action
    to_c: float | None
    """Where to bring it; None when it stays."""
    lines: list[str]

    def sentences(self) -> list[str]:
        """The advice in words."""
        return list(self.lines)


class Step(msgspec.Struct, frozen=True):
    """One step of a remelt."""

    phase: str
    to_c: float
    line: str


class Remelt(msgspec.Struct, frozen=True):
    """The way back into temper from where the chocolate is."""

    steps: list[Step]
    line: str

    def sentences(self) -> list[str]:
        """The way in words."""
        return [self.line, *(step.line for step in self.steps)]


class Overheat(msgspec.Struct, frozen=True):
    """Whether a batch that got too hot can be saved."""

    verdict: Literal["unharmed", "perhaps", "lost"]
    limit_c: float
    lines: list[str]

    def sentences(self) -> list[str]:
        """The verdict in words."""
        return list(self.lines)


def hold(
    celsius: float, windows: Suggestion, *, held_s: float = 0.0, thicker: bool = False
) -> Hold:
    """Advice for a held batch at `celsius` after `held_s`; `thicker`: it has thickened.

    Crystals go on growing while a batch is held, so it thickens; warming inside the window thins
    it (common practice, no source). Raises InputError.
    """
    limits.celsius("chocolate", celsius, (0.0, 80.0))
    limits.number("time held", held_s, 0.0, 7 * 86_400.0, "s")
    work, aim = windows.work, windows.work_target_c
    if celsius > SURVIVES_C:
        return Hold("again", windows.cool.high_c, [
            f"At {celsius:g} °C no form V is left (it does not survive above {SURVIVES_C:g} °C): "
            "go through cooling and reheating again."
        ])  # fmt: skip
    if celsius > work.high_c:
        then = (
            "if that is bad, cool and reheat again"
            if celsius <= windows.lost_above_c
            else f"above {windows.lost_above_c:g} °C its crystals melt away: expect to cool and "
            "reheat again"
        )
        return Hold("cool", aim, [
            f"{celsius:g} °C is above the window: cool to {aim:g} °C now and make a dip test; "
            f"{then}."
        ])  # fmt: skip
    if celsius < windows.cool.low_c:
        return Hold("melt", windows.melt.low_c, [
            f"{celsius:g} °C is below even the cooling window of {windows.cool.low_c:g} to "
            f"{windows.cool.high_c:g} °C: {_unstable(celsius)}warming is not enough, so melt it "
            "and start over."
        ])  # fmt: skip
    if celsius < work.low_c:
        return Hold("warm", aim, [
            f"{celsius:g} °C is below the window: {_unstable(celsius)}warm slowly to {aim:g} °C "
            f"with stirring, not above {work.high_c:g} °C, then make a dip test."
        ])  # fmt: skip
    lines = []
    if held_s > LONG_HOLD_S:
        lines.append(
            f"It has been held for {held_s / 3600:.1f} h: make a dip test before every use."
        )
    if not thicker:
        return Hold("use", None, [f"{celsius:g} °C is in its window.", *lines])
    return _thick(celsius, windows, lines)


def remelt(celsius: float, windows: Suggestion, *, good_temper: bool = False) -> Remelt:
    """Steps back into temper from `celsius`; `good_temper`: its last dip test was good.

    Chocolate that never left its windows in good temper needs no melting; anything else is
    melted fully to erase its crystals (memory effect: van Langevelde et al. 2001). Raises
    InputError.
    """
    limits.celsius("chocolate", celsius, (0.0, 80.0))
    work, cool, melt = windows.work, windows.cool, windows.melt
    reheat = Step(
        "reheat", windows.work_target_c, f"Reheat to {windows.work_target_c:g} °C and hold."
    )
    cooling = Step(
        "cool", (cool.low_c + cool.high_c) / 2,
        f"Cool to {cool.low_c:g} to {cool.high_c:g} °C with stirring.",
    )  # fmt: skip
    melting = Step(
        "melt", melt.high_c,
        f"Melt to {melt.low_c:g} to {melt.high_c:g} °C until no lump is left, and soak.",
    )  # fmt: skip
    never = f"never above {windows.lost_above_c:g} °C, where its crystals melt away"
    if good_temper and cool.low_c <= celsius < work.low_c:
        return Remelt([reheat], f"It kept its temper and only cooled: warming is enough, {never}.")
    if good_temper and work.low_c <= celsius <= work.high_c:
        return Remelt([], "It is in temper and in its window: nothing to do.")
    if good_temper and work.high_c < celsius <= windows.lost_above_c:
        return Remelt([], (
            f"It is above its window and still in temper, {never}: cool to "
            f"{windows.work_target_c:g} °C at once and make a dip test."
        ))  # fmt: skip
    if work.high_c < celsius < melt.low_c:
        line = (
            f"At {celsius:g} °C crystals may linger and leave their memory: melt it fully first."
        )
        return Remelt([melting, cooling, reheat], line)
    if celsius >= melt.low_c:
        return Remelt([cooling, reheat], "It is fully melted: go on with cooling.")
    return Remelt(
        [melting, cooling, reheat], "It has set or lost its temper: start from the melt."
    )


def overheat(celsius: float, windows: Suggestion, *, for_s: float = 0.0) -> Overheat:
    """Whether chocolate that reached `celsius` for `for_s` can still be tempered: a judgement of
    time, temperature and kind. Raises InputError.
    """
    limits.celsius("hottest chocolate", celsius, (0.0, 110.0))
    limits.number("time at that temperature", for_s, 0.0, 86_400.0, "s")
    kitchen_c, conche_c = KITCHEN_C[windows.kind], CONCHE_C[windows.kind]
    never = "What a recipe does not ask for stays too hot: the rig never goes there."
    if celsius <= kitchen_c:
        lines = [
            f"{celsius:g} °C does no lasting harm up to {kitchen_c:g} °C: go on with cooling."
        ]
        if celsius > windows.melt.high_c:
            lines.append(
                f"It was above its melt window's end of {windows.melt.high_c:g} °C. {never}"
            )
        return Overheat("unharmed", kitchen_c, lines)
    look = (
        "Taste it, and rub it between two fingers: burnt taste or grains mean that it is "
        "scorched, and scorched chocolate cannot be rescued (common practice, no source). Smooth "
        "and right in taste, pass it through a fine sieve, then cool and reheat."
    )
    if celsius <= conche_c:
        return Overheat("perhaps", conche_c, [
            f"{celsius:g} °C is more than a bowl should see ({kitchen_c:g} °C), but conches keep "
            f"{windows.kind} chocolate below {conche_c:g} °C for hours (McGee 2004): stirred, it "
            "is probably sound; where it stood against a hot wall it may not be.",
            look,
        ])  # fmt: skip
    if celsius <= conche_c + BRIEFLY_ABOVE_K and for_s <= BRIEFLY_S:
        return Overheat("perhaps", conche_c, [
            f"{celsius:g} °C is above even the {conche_c:g} °C of a conche, but not for long: it "
            "may be sound.",
            look,
        ])  # fmt: skip
    harm = "its taste burns" if windows.kind == "dark" else "its milk turns grainy and brown"
    return Overheat("lost", conche_c, [
        f"It was at {celsius:g} °C, above even the {conche_c:g} °C of a conche, for too long: "
        f"{harm}, and neither returns. Do not mould it.",
        f"{look} Burnt or grainy: throw it away.",
    ])  # fmt: skip


def _unstable(celsius: float) -> str:
    """That unstable crystals form, where they do."""
    forms = celsius < FORM_IV_BELOW_C
    return f"below {FORM_IV_BELOW_C:g} °C unstable crystals form; " if forms else ""


def _thick(celsius: float, windows: Suggestion, lines: list[str]) -> Hold:
    """What to do with a held batch that thickens inside its window."""
    work = windows.work
    room_c = work.high_c - celsius
    if room_c < WARM_STEP_C / 2:
        return Hold("melt", windows.melt.low_c, [
            f"It is thick at the top of its window, {work.high_c:g} °C: it has too many crystals. "
            "Stir in a tenth of fresh melted chocolate of the same kind, or melt and start over.",
            *lines,
        ])  # fmt: skip
    to_c = round(min(celsius + WARM_STEP_C, work.high_c), 2)
    return Hold("warm", to_c, [
        f"It thickens because crystals grow: warm it to {to_c:g} °C and wait ten minutes; stay "
        f"below {work.high_c:g} °C.",
        *lines,
    ])  # fmt: skip
