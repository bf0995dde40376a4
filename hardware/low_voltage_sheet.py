"""Sheet 2: the low-voltage side, one framed block for each job; wires between blocks by name."""

from __future__ import annotations

from hardware.charge_pump_sheet import charge_pump, decouple
from hardware.sheet import ALARM, WARNING, Sheet
from hardware.signal_blocks import analogue, board, buses, inputs
from hardware.wiring import Wiring


def draw(wiring: Wiring) -> Sheet:
    """Draw the low-voltage side. Raises InputError where the drawing and wiring.toml differ."""
    sheet = Sheet(wiring)
    wide = 13.0 if wiring.variant == "ready" else 0.0  # room for the thermostats
    _supply(sheet, -wide, 0)
    _heat(sheet, 19, 0)
    _relay(sheet, 30.5, 0)
    _pump(sheet, 0, -12.2)
    _stirrer(sheet, 12, -12.2)
    inputs(sheet, 30.5, -12.2)
    analogue(sheet, 0, -25.4)
    buses(sheet, 15.5, -25.4)
    board(sheet, 49, -25.4)
    title = "Glossbath rig of ready units" if wiring.variant == "ready" else "Glossbath rig"
    sheet.text((-wide, 4.2), f"{title}, sheet 2 of 2: low-voltage side", 18, align="left")
    both = [n for n, p in wiring.parts.items() if wiring.domains(p) == {"mains", "elv"}]
    also = f"{', '.join(both)} carry mains on their other side (sheet 1). "
    sheet.text((-wide, 3.2), also + WARNING, 15, color=ALARM, align="left")
    return sheet


def _supply(sheet: Sheet, x: float, y: float) -> None:
    right = 31 if sheet.wiring.variant == "ready" else 18
    sheet.frame((x, y - 9.2), (x + right, y + 1.5), "12 V supply and stop button")
    sheet.box((x + 0.6, y - 4.2), (x + 3.6, y + 0.6), sheet.caption("PSU1", 12))
    sheet.start((x + 3.6, y), "12v_raw")
    sheet.terminal("PSU1", "plus")
    sheet.part("F3", "1", "2", (x + 6.4, y))
    sheet.mark("12v")
    sheet.start((x + 3.6, y - 3.6), "gnd")
    sheet.terminal("PSU1", "minus")
    sheet.line((x + 5, y - 3.6))
    sheet.mark("psu minus")
    sheet.line((x + 5, y - 4.4))
    sheet.ground()
    sheet.goto("12v")
    sheet.part("C7", "plus", "minus", (x + 6.4, y - 3.6), side="bottom")
    sheet.join("psu minus")
    _earth_link(sheet, x, y)
    _stop(sheet, x, y)
    _converter(sheet, x, y)


def _earth_link(sheet: Sheet, x: float, y: float) -> None:
    sheet.start((x + 1.2, y - 7), "gnd")
    sheet.ground()
    sheet.start((x + 1.2, y - 7), "gnd")
    sheet.part("J1", "1", "2", (x + 4.2, y - 7), "wire")
    sheet.flag("right")


def _stop(sheet: Sheet, x: float, y: float) -> None:
    sheet.goto("12v")
    sheet.line((x + 9.5, y))
    sheet.mark("stop")
    sheet.line((x + 11, y))
    sheet.part("S2", "11", "12", (x + 14, y), label=False)
    if sheet.net == "12v_stop":
        sheet.line((x + 18, y))
        for name, end in (("TS1", x + 22.5), ("TS2", x + 27)):
            sheet.part(name, "1", "2", (end, y), label=False)
            sheet.text((end - 2.25, y - 2.9), sheet.caption(name))
    sheet.line((sheet.point[0] + 1, y))
    sheet.flag()
    sheet.goto("stop")
    sheet.line((x + 9.5, y - 2), (x + 11, y - 2))
    sheet.part("S2", "21", "22", (x + 14, y - 2), label=False)
    sheet.line((x + 15, y - 2))
    sheet.flag()
    sheet.dashed((x + 12.5, y + 0.1), (x + 12.5, y - 1.9))
    sheet.text((x + 12.5, y - 3.4), sheet.caption("S2", 24))


def _converter(sheet: Sheet, x: float, y: float) -> None:
    sheet.goto("stop")
    sheet.line((x + 9.5, y - 6.5), (x + 11, y - 6.5))
    sheet.mark("12v tap")
    sheet.terminal("DC1", "in")
    sheet.box((x + 11, y - 8), (x + 14, y - 5.5), sheet.caption("DC1", 12))
    sheet.start((x + 14, y - 6.5), "5v")
    sheet.terminal("DC1", "out")
    sheet.part("D6", "A", "K", (x + 16.2, y - 6.5))
    sheet.flag()
    sheet.start((x + 12.5, y - 8), "gnd")
    sheet.terminal("DC1", "gnd")
    sheet.line((x + 12.5, y - 8.6))
    sheet.ground()
    sheet.start((x + 9.5, y - 6.5), "12v")
    sheet.line((x + 9.5, y - 8.2))
    sheet.flag("down")


def _gate(sheet: Sheet, transistor: str, series: str, pull: str, signal: str) -> None:
    """A board output through its series resistor to a gate that is pulled down."""
    (gx, gy), _ = sheet.marks[f"{transistor}.G"]
    sheet.start((gx - 5, gy), signal)
    sheet.flag("left")
    sheet.part(series, "1", "2", (gx - 2, gy))
    sheet.mark(f"{transistor} pull")
    sheet.line((gx, gy))
    sheet.goto(f"{transistor} pull")
    sheet.part(pull, "1", "2", (gx - 2, gy - 2.6), side="bottom")
    sheet.ground()


def _heat(sheet: Sheet, x: float, y: float) -> None:
    sheet.frame((x, y - 9.2), (x + 10.5, y + 1.5), "heat switch")
    sheet.start((x + 7.2, y), "12v_coil")
    sheet.flag("left")
    sheet.start((x + 7.2, y), "12v_coil")
    sheet.part("SSR1", "3", "4", (x + 7.2, y - 3.4), side="top")
    sheet.mosfet("Q1")
    sheet.line((x + 7.2, y - 7.4))
    sheet.ground()
    _gate(sheet, "Q1", "R11", "R1", "heat")


def _relay(sheet: Sheet, x: float, y: float) -> None:
    sheet.frame(
        (x, y - 9.2),
        (x + 46.5, y + 1.5),
        "master relay: only edges on `relay` fill the reservoir; a frozen pin lets the relay go",
    )
    coil = x + 42.5
    sheet.start((coil, y), "12v_coil")
    sheet.mark("coil top")
    sheet.flag("left")
    sheet.part("K1", "A1", "A2", (coil, y - 3.4), "coil", side="top")
    sheet.mark("coil low")
    sheet.mosfet("Q2")
    sheet.line((coil, y - 7.4))
    sheet.ground()
    sheet.goto("coil low")
    sheet.line((coil + 1.6, y - 3.4))
    sheet.part("D1", "A", "K", (coil + 1.6, y), side="bottom")
    sheet.join("coil top")
    charge_pump(sheet, x, y)


def _motor(sheet: Sheet, x: float, y: float, motor: str, diode: str, low: str) -> None:
    """A motor from the stop button's rail with its free-wheel diode."""
    sheet.start((x, y), "12v_motor")
    sheet.mark(f"{motor} top")
    sheet.flag("left")
    sheet.part(motor, "plus", "minus", (x, y - 3.4), side="top")
    sheet.mark(low)
    sheet.line((x + 1.6, y - 3.4))
    sheet.part(diode, "A", "K", (x + 1.6, y), side="bottom")
    sheet.join(f"{motor} top")
    sheet.goto(low)


def _pump(sheet: Sheet, x: float, y: float) -> None:
    sheet.frame((x, y - 9.2), (x + 11, y + 1.5), "ice-water pump")
    _motor(sheet, x + 7, y, "M1", "D4", "pump_minus")
    sheet.mosfet("Q3")
    sheet.line((x + 7, y - 7.4))
    sheet.ground()
    _gate(sheet, "Q3", "R15", "R3", "chill")


def _stirrer(sheet: Sheet, x: float, y: float) -> None:
    sheet.frame((x, y - 10.6), (x + 17.4, y + 1.5), "stirrer and its current")
    _motor(sheet, x + 7, y, "M2", "D5", "stir_minus")
    sheet.mosfet("Q4")
    _gate(sheet, "Q4", "R16", "R4", "stir")
    source = y - 3.4 - 1.6667
    sheet.start((x + 7, source), "stir_low")
    sheet.line((x + 7, y - 6.5))
    sheet.mark("stir_low")
    sheet.part("R17", "1", "2", (x + 7, y - 9.5), side="top")
    sheet.mark("shunt foot")
    sheet.ground()
    sheet.goto("stir_low")
    sheet.line((x + 8.5, y - 6.5))
    sheet.terminal("U2", "plus")
    sheet.box((x + 8.5, y - 8.6), (x + 10.9, y - 5.8), sheet.caption("U2", 10))
    sheet.goto("shunt foot")
    sheet.line((x + 9.7, y - 9.5), (x + 9.7, y - 8.6))
    sheet.terminal("U2", "minus")
    sheet.terminal("U2", "gnd")
    sheet.start((x + 9.7, y - 5.8), "3v3")
    sheet.terminal("U2", "vcc")
    sheet.line((x + 9.7, y - 3.2))
    sheet.flag("up")
    decouple(sheet, "C11", (x + 12.4, y - 3.2))
    _current_filter(sheet, x, y)


def _current_filter(sheet: Sheet, x: float, y: float) -> None:
    sheet.start((x + 10.9, y - 6.5), "stir_amp")
    sheet.terminal("U2", "out")
    sheet.part("R18", "1", "2", (x + 12.9, y - 6.5))
    sheet.mark("stir filter 0")
    sheet.line((x + 15.9, y - 6.5))
    sheet.mark("stir filter 1")
    sheet.line((x + 15.9, y - 5.6))
    sheet.flag("up")
    for index, name in enumerate(("C4", "R5")):
        at = x + 12.9 + 3.0 * index
        sheet.goto(f"stir filter {index}")
        sheet.part(name, "1", "2", (at, y - 9.5), side="bottom")
        sheet.ground()
