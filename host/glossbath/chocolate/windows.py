"""Melt, cool and working windows for a chocolate, with their sources and how far these differ.

One table: the desk, the diagnosis and the built-in recipes take their windows from it. The recipe
that runs, and the chocolate's own maker, overrule it.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from . import limits
from .composition import TYPICAL, Composition, Kind, check
from .phase import PhasePlan, Window


class SourceWindows(msgspec.Struct, frozen=True):
    """What one source prints for one kind of chocolate."""

    source: str
    melt: Window
    cool: Window
    work: Window


class Suggestion(msgspec.Struct, frozen=True):
    """Suggested windows in °C for one chocolate, all advisory."""

    kind: Kind
    melt: Window
    cool: Window
    work: Window
    work_target_c: float
    melt_ceiling_c: float
    shift_c: float
    """How far cool and working windows were moved for more or less milk fat than usual."""
    spread: dict[str, Window]
    """Lowest and highest value any source prints, for melt, cool and work."""
    reasons: list[str]
    cautions: list[str]

    @property
    def lost_above_c(self) -> float:
        """Above this a batch has to be cooled again: the end of the highest working window that
        any source gives for its kind (dark 32 °C: common practice, no source), or of its own."""
        return max(self.work.high_c, self.spread["work"].high_c + min(0.0, self.shift_c))

    def sentences(self) -> list[str]:
        """The suggestion in words."""
        lines = [
            f"Advice for {self.kind} chocolate, to be overruled by its maker's own figures:",
            *(
                f"{name} {_text(window)}; sources range over {_text(self.spread[key])}."
                for name, key, window in (
                    ("Melt at", "melt", self.melt),
                    ("Cool to", "cool", self.cool),
                    ("Work at", "work", self.work),
                )
            ),
        ]
        return lines + self.reasons + self.cautions


MCGEE = "McGee, On Food and Cooking"
TEXTBOOK = "culinary textbook table"
QUALITY_MANUAL = "cocoa quality manual, appendix B"
PRACTICE = "common practice, no source"

WINDOWS: dict[Kind, SourceWindows] = {
    "dark": SourceWindows(PRACTICE, Window(46, 50), Window(28, 29), Window(30, 31)),
    "milk": SourceWindows(PRACTICE, Window(42, 45), Window(27, 28), Window(29, 30)),
    "white": SourceWindows(PRACTICE, Window(42, 45), Window(26, 27), Window(28, 29)),
}
"""The windows that hold where nothing else is known. White is melted as warm as milk: crystals
heated only just past their melting point leave a memory (van Langevelde et al. 2001)."""
SOURCES: dict[Kind, tuple[SourceWindows, ...]] = {
    "dark": (
        WINDOWS["dark"],
        SourceWindows(MCGEE, Window(45, 50), Window(28, 29), Window(31, 32)),
        SourceWindows(TEXTBOOK, Window(50, 55), Window(28, 29), Window(31, 32)),
        SourceWindows(QUALITY_MANUAL, Window(45, 45), Window(27, 27), Window(31, 31)),
    ),
    "milk": (
        WINDOWS["milk"],
        SourceWindows(MCGEE, Window(40, 45), Window(27, 28), Window(30, 31)),
        SourceWindows(TEXTBOOK, Window(45, 50), Window(27, 28), Window(30, 31)),
    ),
    "white": (
        WINDOWS["white"],
        SourceWindows(MCGEE, Window(40, 40), Window(24, 25), Window(27, 28)),
        SourceWindows(TEXTBOOK, Window(45, 50), Window(26, 27), Window(29, 30)),
    ),
}
FORM_IV_BELOW_C = 29.0
"""Below this form IV crystallises beside form V: Greweling 2007."""

OWN_C = (20.0, 34.0)
"""Windows a maker may give: form V does not survive above 34 °C (Greweling 2007)."""
SHIFT_C_PER_MILK_FAT_PART = -5.5
"""Dark and milk lie 1 °C apart with 18 % of the fat from milk (engineering estimate, no source;
the direction is Greweling's, Chocolates and Confections, "Theory: eutectics")."""
SHIFT_MOST_C = 1.0
EUTECTIC_MILK_FAT_PART = 0.30
"""From memory: beyond this milk fat keeps cocoa butter from setting hard."""


def suggest(composition: Composition | Kind) -> Suggestion:
    """Windows for a composition, or for the ordinary composition of a kind.

    Raises InputError for an impossible composition.
    """
    made = TYPICAL[composition] if isinstance(composition, str) else composition
    check(made)
    kind = made.kind
    shift = _shift_c(made)
    own = WINDOWS[kind]
    work = _moved(own.work, shift)
    return Suggestion(
        kind=kind,
        melt=own.melt,
        cool=_moved(own.cool, shift),
        work=work,
        work_target_c=_middle(work),
        melt_ceiling_c=own.melt.high_c,
        shift_c=shift,
        spread={name: _spread(kind, name) for name in ("melt", "cool", "work")},
        reasons=_reasons(kind, shift),
        cautions=_cautions(made),
    )


def with_own(
    suggestion: Suggestion, *, cool: Window | None = None, work: Window | None = None
) -> Suggestion:
    """The suggestion with the maker's own cooling or working window in place of the sources'.

    Raises InputError for an implausible window.
    """
    made = suggestion
    for name, window in (("cooling", cool), ("working", work)):
        if window is not None:
            limits.celsius(f"start of the {name} window", window.low_c, OWN_C)
            limits.celsius(f"end of the {name} window", window.high_c, OWN_C)
            limits.ordered(f"{name} window", window.low_c, window.high_c, "°C")
    if cool is not None:
        made = msgspec.structs.replace(made, cool=cool)
    if work is not None:
        made = msgspec.structs.replace(made, work=work, work_target_c=_middle(work))
    limits.ordered("step from cooling to working", made.cool.low_c, made.work.low_c, "°C")
    return made


def from_phases(kind: str, phases: Sequence[PhasePlan]) -> Suggestion:
    """The windows of a recipe: its own numbers overrule those of the sources for its kind.

    `kind` other than milk or white is treated as dark. Phases that are not there leave the
    sources' window as it is.
    """
    kinds: dict[str, Kind] = {"milk": "milk", "white": "white"}
    made = suggest(kinds.get(kind, "dark"))
    by_name = {phase.name: phase for phase in phases}
    own = {
        field: by_name[name].window
        for field, name in (("melt", "melt"), ("cool", "cool"), ("work", "hold"))
        if name in by_name
    }
    # A seeded batch is not cooled below its working window: the sources' window stays the lowest.
    if "cool" in own and own["cool"].low_c >= own.get("work", made.work).low_c:
        del own["cool"]
    work_target_c = by_name["hold"].target_c if "hold" in by_name else made.work_target_c
    return msgspec.structs.replace(made, **own, work_target_c=work_target_c)


def _middle(window: Window) -> float:
    return round((window.low_c + window.high_c) / 2, 2)


def _spread(kind: Kind, name: str) -> Window:
    found = [getattr(source, name) for source in SOURCES[kind]]
    return Window(min(w.low_c for w in found), max(w.high_c for w in found))


def _shift_c(made: Composition) -> float:
    extra = made.milk_fat_part - TYPICAL[made.kind].milk_fat_part
    return round(max(-SHIFT_MOST_C, min(SHIFT_MOST_C, SHIFT_C_PER_MILK_FAT_PART * extra)), 1)


def _moved(window: Window, shift_c: float) -> Window:
    return Window(round(window.low_c + shift_c, 2), round(window.high_c + shift_c, 2))


def _reasons(kind: Kind, shift_c: float) -> list[str]:
    lines = [
        "Melting goes well above 36 °C because crystals heated just past their melting point "
        "leave a memory behind (van Langevelde et al. 2001).",
        "Below 29 °C form IV crystallises beside form V; above 34 °C form V does not survive "
        "(Greweling 2007).",
    ]
    if kind == "dark":
        lines.append("Form V works from 29 to 34 °C, best near 32 °C (Greweling 2007).")
    else:
        lines.append(
            "Milk fat slows and lowers crystallisation, so the windows lie below those of dark "
            "chocolate; milk proteins spoil above 50 °C, and common practice stops melting at "
            f"{WINDOWS[kind].melt.high_c:g} °C."
        )
    if shift_c:
        lines.append(
            f"Cool and working windows are moved by {shift_c:+.1f} °C because this chocolate has "
            f"{'more' if shift_c < 0 else 'less'} milk fat than {kind} chocolate usually has "
            "(an estimate)."
        )
    return lines


def _cautions(made: Composition) -> list[str]:
    lines = []
    spread = _spread(made.kind, "work")
    if spread.high_c - spread.low_c > 2:
        lines.append(
            "The sources disagree by about 2 °C on the working window of this kind: trust the "
            "maker's figure and a dip test over this one."
        )
    if made.milk_fat_part > EUTECTIC_MILK_FAT_PART:
        lines.append(
            f"Milk fat makes up {made.milk_fat_part * 100:.0f} % of the fat: this chocolate may "
            "stay soft however it is tempered."
        )
    if made.rest_share > 0.05:
        lines.append(
            f"{made.rest_share * 100:.0f} % of the mass is not accounted for: another fat among "
            "it would change the windows."
        )
    return lines


def _text(window: Window) -> str:
    if window.low_c == window.high_c:
        return f"{window.low_c:g} °C"
    return f"{window.low_c:g} to {window.high_c:g} °C"
