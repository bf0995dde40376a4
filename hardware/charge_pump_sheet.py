"""The charge pump of the master relay on the low voltage sheet: driver, reservoir, comparator."""

from __future__ import annotations

from hardware.sheet import Sheet


def charge_pump(sheet: Sheet, x: float, y: float) -> None:
    """All of it, from the board's line at x to the gate of Q2, which is there already."""
    _pump_driver(sheet, x, y)
    _reservoir(sheet, x + 17.4)


def decouple(sheet: Sheet, name: str, aside: tuple[float, float]) -> None:
    """A capacitor to 0 V beside a supply pin; the pen comes back to where it was."""
    sheet.mark(f"{name} top")
    sheet.line(aside)
    sheet.part(name, "1", "2", (aside[0], aside[1] - 1.7), side="bottom")
    sheet.ground()
    sheet.goto(f"{name} top")


def _pump_driver(sheet: Sheet, x: float, y: float) -> None:
    """Makes 12 V edges of the board's, through two capacitors and two diodes."""
    (_, level), _ = sheet.marks["Q2.G"]
    sheet.start((x + 1.6, level), "relay")
    sheet.flag("left")
    sheet.part("R12", "1", "2", (x + 4.2, level))
    sheet.mark("relay_in")
    sheet.part("R2", "1", "2", (x + 4.2, level - 3), side="bottom")
    sheet.ground()
    sheet.goto("relay_in")
    sheet.line((x + 5.4, level))
    sheet.terminal("U3", "in")
    sheet.box((x + 5.4, level - 1.2), (x + 7.8, level + 1.2), sheet.caption("U3", 10))
    sheet.start((x + 6.6, y), "12v_coil")
    sheet.flag("left")
    sheet.line((x + 6.6, level + 3.9))
    decouple(sheet, "C9", (x + 8.8, level + 3.9))
    sheet.line((x + 6.6, level + 1.2))
    sheet.terminal("U3", "vcc")
    sheet.start((x + 6.6, level - 1.2), "gnd")
    sheet.terminal("U3", "gnd")
    sheet.line((x + 6.6, level - 2))
    sheet.ground()
    sheet.start((x + 7.8, level), "cp_drive")
    sheet.terminal("U3", "out")
    sheet.part("R35", "1", "2", (x + 10.4, level))
    sheet.part("C1", "1", "2", (x + 13.4, level))
    sheet.part("C2", "1", "2", (x + 16.4, level))
    sheet.line((x + 17.4, level))
    sheet.mark("cp_sum")
    sheet.part("D3", "A", "K", (x + 20.9, level))
    sheet.mark("cp_hold 0")


def _reservoir(sheet: Sheet, x: float) -> None:
    """What hangs from the charge pump to 0 V, and the comparator that drives the gate."""
    (gate, level), _ = sheet.marks["Q2.G"]
    foot = level - 3
    sheet.start((x, foot), "gnd")
    sheet.ground()
    sheet.part("D2", "A", "K", (x, level), side="top")
    sheet.join("cp_sum")
    columns = [x + 3.5 + 2.8 * index for index in range(3)]
    for index, name in enumerate(("C3", "R13", "R14")):
        sheet.goto(f"cp_hold {index}")
        sheet.part(name, "1", "2", (columns[index], foot), side="bottom")
        sheet.ground()
        sheet.start((columns[index], level), "cp_hold")
        if index < 2:
            sheet.line((columns[index + 1], level))
            sheet.mark(f"cp_hold {index + 1}")
    _comparator(sheet, columns[2] + 8.0, level)
    sheet.start((columns[2], level), "cp_hold")
    sheet.line((columns[2] + 8.0, level))
    sheet.terminal("U4", "plus")
    sheet.start((columns[2] + 10.8, level), "relay_gate")
    sheet.terminal("U4", "out")
    sheet.line((columns[2] + 12.0, level))
    sheet.mark("gate pull")
    sheet.line((gate, level))
    sheet.goto("gate pull")
    sheet.part("R38", "1", "2", (columns[2] + 12.0, foot), side="bottom")
    sheet.ground()


def _comparator(sheet: Sheet, x: float, level: float) -> None:
    """The comparator with its reference, a share of its own rail."""
    sheet.box((x, level - 1.2), (x + 2.8, level + 0.8), sheet.caption("U4", 10))
    sheet.text((x - 0.4, level + 0.12), "+", 11, align="left")
    sheet.text((x - 0.4, level - 0.68), "\N{MINUS SIGN}", 11, align="left")
    sheet.start((x + 1.4, level + 3.4), "12v_coil")
    sheet.flag("up")
    sheet.line((x + 1.4, level + 2.4))
    decouple(sheet, "C10", (x + 3.8, level + 2.4))
    sheet.line((x + 1.4, level + 0.8))
    sheet.terminal("U4", "vcc")
    sheet.start((x + 1.4, level - 1.2), "gnd")
    sheet.terminal("U4", "gnd")
    sheet.line((x + 1.4, level - 1.8))
    sheet.ground()
    sheet.start((x - 5.0, level + 3.4), "12v_coil")
    sheet.flag("up")
    sheet.part("R36", "1", "2", (x - 5.0, level + 0.9), side="bottom")
    sheet.line((x - 5.0, level - 0.8))
    sheet.mark("cp_ref")
    sheet.line((x - 2.0, level - 0.8))
    sheet.mark("cp_ref filter")
    sheet.line((x, level - 0.8))
    sheet.terminal("U4", "minus")
    for mark, name, at in (("cp_ref", "R37", x - 5.0), ("cp_ref filter", "C8", x - 2.0)):
        sheet.goto(mark)
        sheet.part(name, "1", "2", (at, level - 3.4), side="bottom")
        sheet.ground()
