"""The plan before a start, in words: what will not be reached, how much ice, what would help."""

from __future__ import annotations

import msgspec

from glossbath.words import duration

from .beforehand import COOLING, Beginning, certain, doubtful, ice_needed_kg
from .course import Course
from .remedies import Remedies, remedies
from .shortfall import DOINGS

_MUCH_LONGER = 1.5
"""More ice is worth a word where cooling without it takes so much longer; engineering choice."""
_NEAR_K = 3.0
"""A room this near to what is needed, or above it, is named as a reason; engineering choice."""


class Plan(msgspec.Struct, frozen=True):
    """What is expected of a cycle that has not begun.

    missed names the phase that will not be reached or kept, or is empty; sure is False where it
    only may not be. needed_kg is the ice that the whole cycle would melt, None without a bucket.
    """

    sentences: tuple[str, ...]
    missed: str = ""
    sure: bool = False
    needed_kg: float | None = None
    remedies: Remedies | None = None


def plan(begin: Beginning) -> Plan:
    """The plan of a cycle; raises InputError for what no rig, kitchen or batch is."""
    begin.kitchen.check()
    course = begin.course()
    missed = begin.missed(course)
    needed_kg = ice_needed_kg(begin) if begin.chills else None
    if not missed:
        return Plan(tuple(_ice(begin, course, needed_kg or 0.0)), needed_kg=needed_kg)
    sure, cooling = certain(begin, missed), missed in COOLING
    found = remedies(begin, missed, cooling, needed_kg or 0.0)
    helps = found.sentence(cooling, begin.kitchen.ice_kg)
    lines = [_what(begin, missed, sure), helps, _why(begin, course, missed), *_guesses(begin)]
    return Plan(tuple(lines), missed, sure, needed_kg, found)


def _what(begin: Beginning, missed: str, sure: bool) -> str:
    window, cannot = begin.phase(missed).window, "cannot" if sure else "may not"
    if missed == "hold":
        return f"This {cannot} be kept: the hold is up to {window.high_c:g} °C."
    needed_c = window.high_c if missed in COOLING else window.low_c
    return f"This {cannot} be reached: the {DOINGS.get(missed, missed)} needs {needed_c:g} °C."


def _why(begin: Beginning, course: Course, missed: str) -> str:
    """How far it comes, and what it is up against."""
    kitchen, cooling = begin.kitchen, missed in COOLING
    far = _how_far(begin, course, missed)
    if not cooling:
        return (
            f"{far} The cooker gives about {begin.model.heater_w:.0f} W, and the room has "
            f"{kitchen.room_c:.0f} °C."
        )
    if not begin.chills:
        ice = "This rig has no chill bucket"
    elif not kitchen.ice_kg:
        ice = f"There is no ice in the chill water of {kitchen.bucket_c:.0f} °C"
    else:
        ice = f"There is {kitchen.ice_kg:g} kg of ice"
    if kitchen.room_c > begin.phase("cool").window.high_c - _NEAR_K:
        ice += f", and the room has {kitchen.room_c:.0f} °C"
    return f"{far} {ice}."


def _how_far(begin: Beginning, course: Course, missed: str) -> str:
    after_s = begin.strays_after_s(course)
    if after_s is not None:
        return f"The chocolate gets warmer than that after about {duration(after_s)} of it."
    begin_s = course.total_s - course.phases_s.get(missed, 0.0)
    seen = [celsius for time_s, celsius, _ in course.curve if time_s >= begin_s]
    best_c = min(seen) if missed in COOLING else max(seen)
    minutes = begin.phase(missed).timeout_s / 60
    return f"The chocolate comes to about {best_c:.1f} °C in the {minutes:.0f} min of that phase."


def _ice(begin: Beginning, course: Course, needed_kg: float) -> list[str]:
    """How much ice, where a cycle that can be reached chills."""
    said_kg, cooling_s = begin.kitchen.ice_kg, course.phases_s.get("cool", 0.0)
    if not needed_kg or not cooling_s:
        return []
    if said_kg is None:
        return _ice_not_said(begin.with_ice(0.0), cooling_s, needed_kg)
    if said_kg >= needed_kg:
        return [f"{said_kg:g} kg of ice will do: the cooling takes about {duration(cooling_s)}."]
    with_more_s = begin.with_ice(needed_kg).course().phases_s["cool"]
    more = f"{needed_kg:.1f} kg make it about {duration(with_more_s)}."
    takes = f"the cooling takes about {duration(cooling_s)}"
    if doubtful(begin):
        may_not = f"{said_kg:g} kg of ice may not be enough" if said_kg else "This may need ice"
        return [f"{may_not}: as far as can be told {takes}; {more}"]
    does = f"{said_kg:g} kg of ice will do" if said_kg else "It will do without ice"
    return [f"{does}: {takes}{f'; {more}' if cooling_s > _MUCH_LONGER * with_more_s else '.'}"]


def _ice_not_said(without: Beginning, cooling_s: float, needed_kg: float) -> list[str]:
    """The same where nobody has said how much ice there is; cooling_s with plenty of it."""
    bare = without.course()
    if without.missed(bare):
        return [
            f"This needs ice: about {needed_kg:.1f} kg of it in the chill water. Say how much "
            "there is to see whether it will do.",
            *_guesses(without),
        ]
    bare_s = bare.phases_s["cool"]
    if bare_s < _MUCH_LONGER * cooling_s:
        return []
    return [
        f"Cooling takes about {duration(cooling_s)} with {needed_kg:.1f} kg of ice in the chill "
        f"water, about {duration(bare_s)} without."
    ]


def _guesses(begin: Beginning) -> list[str]:
    """What nobody has said or measured, and was taken for granted."""
    guesses = []
    if not begin.kitchen.room_known:
        guesses.append(f"a room of {begin.kitchen.room_c:.0f} °C")
    if begin.chills and begin.kitchen.tap_c is None:
        guesses.append("chill water as warm as the room")
    if not begin.model.measured:
        guesses.append("a rig like the reference one, since this one was never measured")
    return [f"Taken for granted: {'; '.join(guesses)}."] if guesses else []
