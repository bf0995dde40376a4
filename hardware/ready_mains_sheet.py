"""Sheet 1 of the ready-unit variant: closed units plugged one into the next, nothing to open."""

from __future__ import annotations

from hardware.mains_sheet import earth_bar
from hardware.sheet import ALARM, QUIET, WARNING, Sheet
from hardware.wiring import Wiring

LIVE, NEUTRAL, EARTH, TOP = 0.0, -5.6, -7.4, 4.2
UNIT, STEP, FIRST = 4.6, 7.0, 8.0


def draw(wiring: Wiring) -> Sheet:
    """Draw the mains side. Raises InputError where the drawing and the wiring differ."""
    sheet = Sheet(wiring)
    _wall(sheet)
    _adapter(sheet)
    for name, x, feed in (("K1", FIRST, "L_rcd"), ("SSR1", FIRST + STEP, "L_unit")):
        _unit(sheet, name, x, feed)
    _cooker(sheet)
    earth_bar(sheet, EARTH, 27.0)
    sheet.text(
        (-0.9, TOP + 1.0), "Glossbath rig of ready units, sheet 1 of 2: mains", 18, align="left"
    )
    sheet.text((-0.9, TOP), WARNING, 15, color=ALARM, align="left")
    sheet.text(
        (FIRST, LIVE + 1.0),
        "each frame is a closed, approved unit with its own plug and socket: never opened",
        color=QUIET,
        align="left",
    )
    return sheet


def _wall(sheet: Sheet) -> None:
    sheet.frame((-0.9, NEUTRAL - 0.7), (3.6, LIVE + 2.2), "at the wall")
    for net, a, b, level, text in (
        ("L_wall", "1", "2", LIVE, "L"),
        ("N_wall", "N1", "N2", NEUTRAL, "N"),
    ):
        sheet.start((0, level), net)
        sheet.flag("left", text)
        sheet.part("RCD1", a, b, (3.2, level), label=level == LIVE)
        sheet.line((4.4, level))
        sheet.mark(f"rcd {text}")
    sheet.dashed((1.6, LIVE + 0.15), (1.6, NEUTRAL + 0.15))


def _adapter(sheet: Sheet) -> None:
    sheet.goto("rcd L")
    sheet.line((4.4, LIVE - 1.4))
    sheet.terminal("PSU1", "L")
    sheet.box((4.0, NEUTRAL + 1.4), (7.0, LIVE - 1.4), sheet.caption("PSU1", 14))
    sheet.text((5.5, NEUTRAL + 1.45), "12 V: sheet 2", size=11)
    sheet.goto("rcd N")
    sheet.line((4.4, NEUTRAL + 1.4))
    sheet.terminal("PSU1", "N")


def _unit(sheet: Sheet, name: str, x: float, feed: str) -> None:
    """One unit: live and neutral in at the left, out at the right, its input named below."""
    sheet.box((x, NEUTRAL - 0.6), (x + UNIT, LIVE + 0.6), sheet.caption(name, 18))
    for level, a, b in ((LIVE, "L1", "L2"), (NEUTRAL, "N1", "N2")):
        net = sheet.wiring.parts[name].pins[a]
        mark = {"L_rcd": "rcd L", "N_rcd": "rcd N"}.get(net, net)
        sheet.goto(mark, dot=False)
        sheet.line((x, level))
        sheet.terminal(name, a)
        out = sheet.wiring.parts[name].pins[b]
        sheet.start((x + UNIT, level), out)
        sheet.terminal(name, b)
        sheet.line((x + UNIT + 0.8, level))
        sheet.mark(out)
    sheet.text((x + UNIT / 2, NEUTRAL - 0.45), "12 V input: sheet 2", size=11)
    assert sheet.wiring.parts[name].pins["L1"] == feed


def _cooker(sheet: Sheet) -> None:
    x = FIRST + STEP + UNIT + 2.4
    sheet.start((x - 1.6, LIVE), "L_out")
    sheet.line((x, LIVE))
    sheet.mark("lamp L")
    sheet.line((x + 5.2, LIVE))
    sheet.part("HTR1", "L", "N", (x + 5.2, NEUTRAL), side="bottom")
    sheet.line((x, NEUTRAL))
    sheet.mark("lamp N")
    sheet.line((x - 1.6, NEUTRAL))
    sheet.frame((x + 4.2, NEUTRAL - 0.7), (x + 9.4, LIVE + 0.9), "cooker, unmodified")
    sheet.goto("lamp L")
    sheet.part("H1", "1", "2", (x, NEUTRAL), side="bottom")
    sheet.join("lamp N")
    sheet.text((x - 1.2, NEUTRAL - 0.9), "PT1 looks at H1: sheet 2", size=11, align="left")
