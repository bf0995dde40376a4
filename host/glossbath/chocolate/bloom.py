"""Why did it turn white? Ranks causes by what a person sees and what the record shows.

The weights live in `bloom_causes.toml`. A ranking is a hint for the next batch, no proof.
"""

from __future__ import annotations

import tomllib
from collections.abc import Collection
from functools import cache
from importlib.resources import files

import msgspec

from glossbath.errors import InputError, quoted

from . import limits
from .moulding import MOULD_C
from .windows import Suggestion

CLEAR_LEAD = 2
"""A first cause this far ahead of the second is called clear."""
OPPOSITES = (
    ("rough", "smooth"),
    ("dip_good", "dip_bad"),
    ("room_damp", "room_dry"),
    ("dip_slow", "dip_fast"),
)
OFF_WINDOW_C = 0.3
LONG_HOLD_S = 3 * 3600.0
WARM_ROOM_C = 22.0
DAMP_RH_SHARE = 0.60
DRY_RH_SHARE = 0.50


class Cause(msgspec.Struct, frozen=True):
    """One row of the table."""

    name: str
    title: str
    source: str
    next_time: str
    weights: dict[str, int] = msgspec.field(name="for")


class Table(msgspec.Struct, frozen=True):
    """Signs with their phrases, and the causes."""

    signs: dict[str, str]
    drawing: dict[str, str]
    """Each sign, drawn in a few rows of characters."""
    after: dict[str, str]
    stored: dict[str, str]
    record: dict[str, str]
    cause: list[Cause]

    def phrases(self) -> dict[str, str]:
        """Every word that may be said, with its sentence part."""
        return {**self.signs, **self.after, **self.stored, **self.record}


class Record(msgspec.Struct, frozen=True):
    """What is known of the cycle and the room; None where nothing is known."""

    coolest_c: float | None = None
    """Lowest chocolate temperature of the cooling phase."""
    warmest_c: float | None = None
    """Highest chocolate temperature while it was used."""
    held_s: float | None = None
    dip_good: bool | None = None
    room_c: float | None = None
    rh_share: float | None = None
    mould_c: float | None = None
    seized: bool = False


class Ranked(msgspec.Struct, frozen=True):
    """One cause with what speaks for and against it."""

    name: str
    title: str
    score: int
    evidence_for: list[str]
    evidence_against: list[str]
    next_time: str
    source: str


class Diagnosis(msgspec.Struct, frozen=True):
    """Causes with more for than against them, the likeliest first."""

    causes: list[Ranked]
    clear: bool
    """Whether the first leads far enough to be called the cause."""

    def sentences(self) -> list[str]:
        """The ranking in words."""
        if not self.causes:
            return ["Nothing here points to a cause: look again after a day, and rub the white."]
        lines = []
        for place, cause in enumerate(self.causes[:3], start=1):
            lines.append(f"{place}. {cause.title}: {_joined(cause.evidence_for)}.")
            if cause.evidence_against:
                lines.append(f"   Against it: {_joined(cause.evidence_against)}.")
            lines.append(f"   Next time: {cause.next_time}")
        if not self.clear:
            close = "The first two lie close together: treat both as possible."
            lines.append(close if len(self.causes) > 1 else "It is no more than a hint.")
        return lines


@cache
def table() -> Table:
    """The table of causes that ships with the package."""
    text = files("glossbath.chocolate").joinpath("bloom_causes.toml").read_text("utf-8")
    return msgspec.convert(tomllib.loads(text), Table)


def diagnose(words: Collection[str]) -> Diagnosis:
    """Rank causes for signs named in the table (what is seen, when, how stored, the record).

    Raises InputError for no sign, unknown words and signs that exclude each other.
    """
    known = table()
    phrases = known.phrases()
    said = list(dict.fromkeys(words))
    _check(said, known)
    ranked = sorted(
        (_ranked(cause, said, phrases) for cause in known.cause), key=lambda r: -r.score
    )
    causes = [r for r in ranked if r.score > 0]
    second = causes[1].score if len(causes) > 1 else 0
    clear = bool(causes) and causes[0].score - second >= CLEAR_LEAD
    return Diagnosis(causes, clear)


def record_words(record: Record, windows: Suggestion) -> list[str]:
    """What a record says, in the words of the table. Raises InputError."""
    words = []
    if record.coolest_c is not None:
        coolest = limits.celsius("coolest chocolate", record.coolest_c, (0.0, 60.0))
        if coolest > windows.cool.high_c + OFF_WINDOW_C:
            words.append("not_cooled")
        else:
            cold = coolest < windows.cool.low_c - OFF_WINDOW_C
            words.append("too_cold" if cold else "cooled_well")
    if record.warmest_c is not None:
        warmest = limits.celsius("warmest chocolate in use", record.warmest_c, (0.0, 60.0))
        if warmest > windows.lost_above_c + OFF_WINDOW_C:
            words.append("worked_warm")
        elif warmest <= windows.work.high_c + OFF_WINDOW_C:
            words.append("worked_well")
    if record.held_s is not None:
        held = limits.number("time held", record.held_s, 0.0, 7 * 86_400.0, "s")
        words += ["held_long"] if held > LONG_HOLD_S else []
    if record.dip_good is not None:
        words.append("dip_good" if record.dip_good else "dip_bad")
    return words + _room_words(record) + (["seized"] if record.seized else [])


def _room_words(record: Record) -> list[str]:
    words = []
    if record.room_c is not None:
        room = limits.celsius("room", record.room_c, limits.ROOM_C)
        words += ["room_warm"] if room > WARM_ROOM_C else []
    if record.rh_share is not None:
        humidity = limits.share("humidity", record.rh_share)
        words += ["room_damp"] if humidity > DAMP_RH_SHARE else []
        words += ["room_dry"] if humidity < DRY_RH_SHARE else []
    if record.mould_c is not None:
        mould = limits.celsius("mould", record.mould_c, (-20.0, 60.0))
        words += ["mould_cold"] if mould < MOULD_C[0] else []
        words += ["mould_warm"] if mould > MOULD_C[1] else []
    return words


def _check(said: list[str], known: Table) -> None:
    unknown = [word for word in said if word not in known.phrases()]
    if unknown:
        raise InputError(
            f"{quoted(unknown[0])} is not a known sign: choose from "
            f"{', '.join([*known.signs, *known.after, *known.stored])}."
        )
    if not any(word in known.signs for word in said):
        raise InputError(f"Say at least one thing that you see: {', '.join(known.signs)}.")
    times = [word for word in said if word in known.after]
    for pair in (*OPPOSITES, tuple(times[:2])):
        if len(pair) == 2 and all(word in said for word in pair):
            raise InputError(f"'{pair[0]}' and '{pair[1]}' exclude each other: name one.")


def _ranked(cause: Cause, said: list[str], phrases: dict[str, str]) -> Ranked:
    weights = {word: cause.weights.get(word, 0) for word in said}
    strongest = sorted(said, key=lambda word: -abs(weights[word]))
    return Ranked(
        name=cause.name,
        title=cause.title,
        score=sum(weights.values()),
        evidence_for=[phrases[word] for word in strongest if weights[word] > 0],
        evidence_against=[phrases[word] for word in strongest if weights[word] < 0],
        next_time=cause.next_time,
        source=cause.source,
    )


def _joined(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
