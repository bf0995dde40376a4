"""Sheet 1: the mains side, from the wall to the cooker, live above, neutral below."""

from __future__ import annotations

import textwrap

from hardware.sheet import ALARM, QUIET, WARNING, Sheet
from hardware.wiring import Wiring

STEP = 3.4
LIVE, NEUTRAL, EARTH, TOP = 0.0, -6.5, -8.0, 4.6
LAMP, OPTO = 8.6 * STEP + 1, 10 * STEP


def draw(wiring: Wiring) -> Sheet:
    """Draw the mains side. Raises InputError where the drawing and wiring.toml differ."""
    sheet = Sheet(wiring)
    _live(sheet)
    _neutral(sheet)
    _supply(sheet)
    _senses(sheet)
    _frames(sheet)
    earth_bar(sheet, EARTH, 12.8 * STEP)
    return sheet


def _live(sheet: Sheet) -> None:
    sheet.start((0, LIVE), "L_wall")
    sheet.flag("left", "L")
    for name, a, b, column, kind in (
        ("RCD1", "1", "2", 1, ""),
        ("W1", "L1", "L2", 2, "wire"),
        ("S1", "1", "2", 3, ""),
    ):
        sheet.part(name, a, b, (column * STEP, LIVE), kind)
    sheet.mark("L_iso")
    sheet.line((3 * STEP + 1, LIVE))
    sheet.part("F1", "1", "2", (4 * STEP + 1, LIVE))
    sheet.part("TS1", "1", "2", (5 * STEP + 1, LIVE))
    sheet.part("TS2", "1", "2", (6 * STEP + 1, LIVE))
    sheet.part("K1", "11", "14", (7 * STEP + 1, LIVE))
    sheet.part("SSR1", "1", "2", (8 * STEP + 1, LIVE))
    for name, x in (("live H1", LAMP), ("live OK1", OPTO)):
        sheet.line((x, LIVE))
        sheet.mark(name)
    sheet.line((11.3 * STEP, LIVE))
    sheet.part("XS1", "L1", "L2", (12 * STEP, LIVE), "plug")
    sheet.line((12 * STEP + 1, LIVE))
    sheet.part("HTR1", "L", "N", (12 * STEP + 1, NEUTRAL), side="bottom")
    sheet.mark("N_load")


def _neutral(sheet: Sheet) -> None:
    sheet.start((0, NEUTRAL), "N_wall")
    sheet.flag("left", "N")
    sheet.part("RCD1", "N1", "N2", (STEP, NEUTRAL), label=False)
    sheet.part("W1", "N1", "N2", (2 * STEP, NEUTRAL), "wire", label=False)
    sheet.part("S1", "3", "4", (3 * STEP, NEUTRAL), label=False)
    sheet.mark("N_iso")
    for name, x in (("neutral H1", LAMP), ("neutral OK1", OPTO)):
        sheet.line((x, NEUTRAL))
        sheet.mark(name)
    sheet.line((11.3 * STEP, NEUTRAL))
    sheet.part("XS1", "N1", "N2", (12 * STEP, NEUTRAL), "plug", label=False)
    sheet.join("N_load")
    for column in (0.5, 2.5):
        x = column * STEP
        sheet.dashed((x, LIVE + 0.15), (x, NEUTRAL + 0.15))


def _supply(sheet: Sheet) -> None:
    """The 12 V supply hangs after the isolator on a fuse of its own."""
    x = 3 * STEP
    sheet.goto("L_iso")
    sheet.part("F2", "1", "2", (x, LIVE - 2.2), side="bottom")
    sheet.terminal("PSU1", "L")
    sheet.box((x - 0.4, NEUTRAL + 1.4), (x + 3.4, LIVE - 2.2), sheet.caption("PSU1"))
    sheet.goto("N_iso")
    sheet.line((x, NEUTRAL + 1.4))
    sheet.terminal("PSU1", "N")
    sheet.text((x + 1.5, NEUTRAL + 1.45), "12 V side: sheet 2", size=11)


def _senses(sheet: Sheet) -> None:
    """What looks at the outlet: a lamp for the eye, an optocoupler for the board."""
    sheet.goto("live H1")
    sheet.part("H1", "1", "2", (LAMP, NEUTRAL), side="bottom")
    sheet.join("neutral H1")
    sheet.goto("live OK1")
    sheet.part("R20", "1", "2", (OPTO, LIVE - 2.2), side="bottom")
    sheet.part("OK1", "1", "2", (OPTO, LIVE - 4.3), side="bottom")
    sheet.part("R21", "1", "2", (OPTO, NEUTRAL), side="bottom")
    sheet.join("neutral OK1")


def _frames(sheet: Sheet) -> None:
    low, high = NEUTRAL - 0.7, LIVE + 2.6
    sheet.frame((-0.9, low), (STEP + 0.2, high), "at the wall")
    sheet.frame((1.9 * STEP, low), (11.9 * STEP, high), "control box, mains compartment")
    sheet.text(
        (7.1 * STEP, high + 0.08),
        "K1, SSR1, OK1 and PSU1 stand astride the partition: low-voltage side on sheet 2",
        color=QUIET,
        align="left",
    )
    sheet.frame((12.05 * STEP, low), (14 * STEP, high), "cooker, unmodified")
    sheet.text(
        (5.5 * STEP + 1, LIVE - 1.2),
        "bulbs on the crock's two bands, no mains there",
        size=11,
        color=QUIET,
    )
    sheet.text((-0.9, TOP + 1.0), "Glossbath rig, sheet 1 of 2: mains side", 18, align="left")
    sheet.text((-0.9, TOP), WARNING, 15, color=ALARM, align="left")


def earth_bar(sheet: Sheet, level: float, length: float) -> None:
    """The earth conductor with a tap for each part wired to it, and who reaches it how."""
    sheet.start((0, level), "PE")
    sheet.flag("left")
    wired = [name for name, part in sheet.wiring.parts.items() if "PE" in part.pins.values()]
    gap = length / len(wired)
    for index, name in enumerate(wired):
        sheet.line(((index + 1) * gap, level))
        sheet.mark(name)
        sheet.goto(name)
        for terminal, net in sheet.wiring.parts[name].pins.items():
            if net == "PE":
                sheet.terminal(name, terminal)
        sheet.line((sheet.point[0], level - 0.5))
        sheet.text((sheet.point[0], level - 1.1), name)
        sheet.goto(name)
    held = sorted(
        earth_chain(sheet.wiring, name)
        for name, part in sheet.wiring.parts.items()
        if part.metal and part.bond
    )
    words = "Metal held by other metal reaches earth through it:  " + ",   ".join(held)
    lines = textwrap.wrap(words, round(5 * length))
    sheet.text((-0.9, level - 1.8 - 0.6 * len(lines)), "\n".join(lines), align="left")


def earth_chain(wiring: Wiring, name: str) -> str:
    """A metal part, what holds it, and so on to the part with an earth wire."""
    names = [name]
    while (bond := wiring.parts[names[-1]].bond) and "PE" not in wiring.parts[
        names[-1]
    ].pins.values():
        names.append(bond)
    return " – ".join(names)
