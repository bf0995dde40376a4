"""Blocks of sheet 2 that carry signals: inputs, analogue, buses, the board."""

from __future__ import annotations

from glossbath_board import profiles
from hardware.sheet import Align, Sheet

REFERENCE = "rpi_pico"


def inputs(sheet: Sheet, x: float, y: float) -> None:
    """The five yes-or-no inputs: high means yes, a cut wire means no."""
    sheet.frame((x, y - 10.6), (x + 24.5, y + 1.5), "inputs: high is yes, a cut wire is no")
    for row, (feed, contact, pull, signal) in enumerate(
        (("R22", "S3", "R6", "arm"), ("R23", "S4", "R8", "lid"), ("R24", "S5", "R10", "water"))
    ):
        level = y - 3.6 * row
        sheet.start((x + 1, level), "3v3")
        sheet.flag("up")
        sheet.part(feed, "1", "2", (x + 4, level))
        sheet.part(contact, "1", "2", (x + 8, level))
        _input(sheet, x + 8, level, pull, signal)
    sheet.start((x + 15.5, y), "12v_coil")
    sheet.flag("up")
    sheet.part("R25", "1", "2", (x + 19.5, y))
    _input(sheet, x + 19.5, y, "R7", "stop")
    level = y - 5.4
    sheet.start((x + 16.5, level), "3v3")
    sheet.flag("left")
    sense = "OK1" if "OK1" in sheet.wiring.parts else "PT1"
    sheet.part(sense, "C", "E", (x + 20, level))
    sheet.mark("load")
    sheet.part("C5", "1", "2", (x + 20, level - 2.3), side="top")
    sheet.ground()
    sheet.goto("load")
    _input(sheet, x + 20, level, "R9", "load")


def _input(sheet: Sheet, x: float, y: float, pull: str, signal: str) -> None:
    sheet.line((x + 1.4, y))
    sheet.mark(signal)
    sheet.line((x + 2.6, y))
    sheet.flag()
    sheet.goto(signal)
    sheet.part(pull, "1", "2", (x + 1.4, y - 2.3), side="bottom")
    sheet.ground()


def analogue(sheet: Sheet, x: float, y: float) -> None:
    """Two dividers into the ADC: the 12 V rail and the guard probe."""
    sheet.frame((x, y - 11.3), (x + 14.5, y + 1.5), "analogue")
    for column, (rail, upper, lower, signal) in enumerate(
        (("12v", "R26", "R27", "supply"), ("3v3", "R28", "B6", "ntc"))
    ):
        at = x + 2 + 5.5 * column
        sheet.start((at, y), rail)
        sheet.flag("left")
        sheet.part(upper, "1", "2", (at, y - 3.2), side="bottom")
        sheet.mark(signal)
        sheet.part(lower, "1", "2", (at, y - 6.8), side="bottom")
        sheet.ground()
        sheet.goto(signal)
        sheet.line((at + 1.6 + 2.2 * column, y - 3.2))
        sheet.mark(f"{signal} end")
        sheet.flag()
    sheet.goto("ntc end", dot=False)
    sheet.part("C6", "1", "2", (x + 11.3, y - 6.8), side="bottom")
    sheet.ground()


def buses(sheet: Sheet, x: float, y: float) -> None:
    """1-Wire, I2C and SPI with their chips and pull-ups."""
    sheet.frame((x, y - 13.3), (x + 32, y + 1.5), "probes on buses")
    sheet.start((x + 1.2, y), "3v3")
    sheet.flag("left")
    sheet.part("F4", "1", "2", (x + 3.6, y))
    sheet.flag()
    _chips(sheet, x, y)
    for column, pull in enumerate(("R29", "R30", "R31", "R32", "R33")):
        at = x + 2.2 + 4.75 * column
        sheet.start((at, y - 10), "3v3")
        sheet.flag("up")
        sheet.part(pull, "1", "2", (at, y - 12.3), side="bottom")
        sheet.flag("down")


def _chips(sheet: Sheet, x: float, y: float) -> None:
    """Each chip as a box with its terminals named at the side."""
    for column, name in enumerate(("B1", "B2", "B3", "B4", "B5", "B7")):
        part = sheet.wiring.parts[name]
        left = x + 0.7 + 5.2 * column
        note = " (option)" if part.option else ""
        sheet.box((left, y - 2.3 - 0.68 * len(part.pins)), (left + 1.9, y - 2), "")
        sheet.text((left, y - 1.9), f"{name} {part.value}{note}", 11, align="left")
        for row, (terminal, net) in enumerate(part.pins.items()):
            level = y - 2.5 - 0.68 * row
            sheet.text((left + 1.75, level - 0.15), terminal, 10, align="right")
            sheet.start((left + 1.9, level), net)
            sheet.terminal(name, terminal)
            sheet.line((left + 2.2, level))
            sheet.flag()


def board(sheet: Sheet, x: float, y: float) -> None:
    """The reference board with each signal's GPIO; the pin maps show the header."""
    sheet.frame((x, y - 13.3), (x + 20.5, y + 1.5), "board and connectors")
    pins = list(sheet.wiring.parts["U1"].pins.items())
    half = (len(pins) + 1) // 2
    sheet.box((x + 2.6, y - 10.9), (x + 7.4, y + 0.6), f"U1\n{REFERENCE}\nothers:\npin maps")
    for index, (terminal, net) in enumerate(pins):
        right, row = divmod(index, half)
        level = y - 0.1 - 0.9 * row
        gpio = profiles.PROFILES[REFERENCE].get(terminal)
        label = terminal if gpio is None else f"{gpio}"
        edge, step = (x + 7.4, 0.4) if right else (x + 2.6, -0.4)
        inside: Align = "right" if right else "left"
        inner = edge - 0.15 if right else edge + 0.15
        sheet.text((inner, level - 0.15), label, 10, align=inside)
        sheet.start((edge, level), net)
        sheet.terminal("U1", terminal)
        sheet.line((edge + step, level))
        sheet.flag("right" if right else "left")
    _connectors(sheet, x + 11.5, y)


def _connectors(sheet: Sheet, x: float, y: float) -> None:
    """Each connector out of the box with its contacts, under the shorter of two columns."""
    levels = [y + 0.2, y + 0.2]
    for name, part in sheet.wiring.of_kind("connector").items():
        column = levels.index(max(levels))
        level, left = levels[column], x + 4.6 * column
        sheet.text((left, level + 0.1), f"{name} {part.value}", 11, align="left")
        for terminal, net in part.pins.items():
            level -= 0.6
            sheet.start((left + 0.5, level), net)
            sheet.terminal(name, terminal)
            sheet.text((left + 0.3, level - 0.15), terminal, 10, align="right")
            sheet.flag()
        levels[column] = level - 1.2
