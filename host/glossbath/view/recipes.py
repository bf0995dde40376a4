"""Recipes as lines of a screen: one row in a list, or all phases of one."""

from __future__ import annotations

from contextlib import suppress

from glossbath.chocolate.room import air
from glossbath.chocolate.sweat import cycle_sweats
from glossbath.client.messages import Reading
from glossbath.errors import InputError
from glossbath.forms.fahrenheit import said
from glossbath.recipe import Recipe
from glossbath.words import Degrees, Line, duration, one_line, percent

NARROW = 78
"""A terminal with fewer cells shows less of each row."""


def recipe_row(name: str, own: bool, recipe: Recipe | None, degrees: Degrees, width: int) -> Line:
    """One recipe in a list; None is one that cannot be used."""
    line: Line = [(f"{name:<18}", "strong"), ("own       " if own else "built in  ", "dim")]
    if recipe is None:
        return [*line, ("cannot be used: Enter says why", "medium")]
    if width >= NARROW:
        line.append((f"version {recipe.version:<3} {recipe.chocolate:<6}", ""))
    worked = (phase for phase in recipe.phases if phase.name in ("melt", "cool", "hold"))
    steps = " → ".join(
        f"{_short(phase.window.low_c, degrees)}–{_short(phase.window.high_c, degrees)}"
        for phase in worked
    )
    return [*line, (f"{steps} {degrees.sign}", "")]


def recipe_lines(recipe: Recipe, degrees: Degrees, width: int) -> list[Line]:
    """What a recipe is for, then a row for each phase."""
    wide = width >= NARROW
    trips = f", trips above {_short(recipe.max_c, degrees)} {degrees.sign}"
    what = f"{one_line(recipe.chocolate)}, {recipe.fat_share * 100:g} % fat{trips}"
    head = f"{'phase':<8}{'target':>7}  {'window ' + degrees.sign:<13}{'inside':>11}{'stir':>7}"
    more = f"{'trips after':>14}  {'bath ' + degrees.sign}" if wide else ""
    lines: list[Line] = [[(what, "")], [(head + more, "dim")]]
    for phase in recipe.phases:
        ends = _span(phase.window.low_c, phase.window.high_c, degrees)
        row = f"{_short(phase.target_c, degrees):>7}  {ends:<13}{duration(phase.dwell_s):>11}"
        row += f"{percent(phase.stir_share):>7}"
        if wide:
            bath = _span(phase.bath_low_c, phase.bath_high_c, degrees)
            row += f"{duration(phase.timeout_s):>14}  {bath}"
        lines.append([(f"{phase.name:<8}", "strong"), (row, "")])
    return lines


def kitchen_lines(recipe: Recipe, reading: Reading | None, degrees: Degrees) -> list[Line]:
    """What will sweat in the air that the rig's room sensor shows, before a cycle has begun."""
    if reading is None or reading.room_c is None or reading.room_rh_percent is None:
        return []
    # A sensor may show what no room can be; that is reported elsewhere.
    with suppress(InputError):
        room = air(reading.room_c, reading.room_rh_percent / 100)
        lines = cycle_sweats(room, recipe.chocolate, recipe.phases)
        return [[(said(line) if degrees.fahrenheit else line, "medium")] for line in lines]
    return []


def _span(low_c: float, high_c: float, degrees: Degrees) -> str:
    return f"{_short(low_c, degrees)}–{_short(high_c, degrees)}"


def _short(celsius: float, degrees: Degrees) -> str:
    return f"{round(degrees.value(celsius), 1):g}"
