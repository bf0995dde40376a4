"""One page a board: its header with the signal on each pin, from profiles.py, pin_notes.py."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import msgspec

from glossbath_board import profiles
from hardware import pin_notes
from hardware.plan import box, finish, sheet, text
from hardware.wiring import HERE

HEADERS_FILE = HERE / "headers.toml"
ROW, TOP, MIDDLE, HALF, WIDTH = 26, 118, 640, 92, 1280
# Fill and the word that says the same, for each group of signals.
GROUPS = (
    (profiles.OUTPUTS, "#f6d5d0", "output"),
    (profiles.INPUTS, "#d3e3f5", "input"),
    (profiles.BUSES, "#dcefd8", "bus"),
    (profiles.ANALOG, "#f7ecc4", "analogue"),
)


class Header(msgspec.Struct, forbid_unknown_fields=True):
    """A board's two rows of pins, downwards as seen from above: GPIO numbers or other words."""

    usb: str
    numbered: bool
    left: list[int | str]
    right: list[int | str]


def headers() -> dict[str, Header]:
    """The header of each board, as in headers.toml."""
    return msgspec.toml.decode(HEADERS_FILE.read_bytes(), type=dict[str, Header])


def draw(board: str) -> str:
    """The pin map of one board as SVG text."""
    header = headers()[board]
    rows = max(len(header.left), len(header.right))
    notes = _notes(board, header)
    bottom = TOP + rows * ROW
    height = bottom + 60 + 21 * len(notes)
    svg = sheet(WIDTH)
    text(svg, 24, 38, f"Glossbath pin map: {board} ({pin_notes.CHIP[board]})", 22)
    _legend(svg)
    box(svg, MIDDLE - HALF, TOP - 12, 2 * HALF, rows * ROW + 24, "#efefef")
    usb = TOP - 26 if header.usb == "top" else bottom + 4
    box(svg, MIDDLE - 32, usb, 64, 22, "#cccccc")
    text(svg, MIDDLE, usb + 16, "USB", 14, anchor="middle")
    for side, pins in (("left", header.left), ("right", header.right)):
        for row, pin in enumerate(pins):
            number = _number(header, side, row)
            _pin(svg, board, side, TOP + row * ROW, pin, number)
    for index, note in enumerate(notes):
        text(svg, 24, bottom + 66 + 21 * index, note, 14)
    return finish(svg, height)


def _number(header: Header, side: str, row: int) -> str:
    """The number printed beside a pin, empty where boards are not numbered."""
    if not header.numbered:
        return ""
    return str(row + 1 if side == "left" else 2 * len(header.right) - row)


def _pin(svg: ET.Element, board: str, side: str, y: float, pin: int | str, number: str) -> None:
    """One row: the pin's name at the board's edge, and outside it what belongs there."""
    out = -1 if side == "left" else 1
    edge = MIDDLE + out * HALF
    anchor = "start" if side == "left" else "end"
    name = f"GPIO {pin}" if isinstance(pin, int) else pin
    text(svg, edge - out * 8, y + 17, f"{name}", 13, anchor=anchor)
    if number:
        x = edge + out * 14
        text(svg, x, y + 17, number, 11, anchor="middle", color="#777777")
    signal = _signal_on(board, pin)
    label_x = edge + out * 34
    if signal:
        fill = next(color for names, color, _ in GROUPS if signal in names)
        box(svg, label_x if out > 0 else label_x - 108, y + 2, 108, 21, fill)
        text(svg, label_x + out * 54, y + 17, signal, 14, anchor="middle", weight="bold")
        outside = "start" if out > 0 else "end"
        text(svg, label_x + out * 118, y + 17, _meaning(signal), 12, anchor=outside)
    elif isinstance(pin, int) and pin in pin_notes.FORBIDDEN[board]:
        words = f"keep free: {pin_notes.FORBIDDEN[board][pin]}"
        outside = "start" if out > 0 else "end"
        text(svg, label_x, y + 17, words, 12, anchor=outside, color="#8a1c10")


def _signal_on(board: str, pin: int | str) -> str:
    return next((s for s, gpio in profiles.PROFILES[board].items() if gpio == pin), "")


def _meaning(signal: str) -> str:
    """What a signal means and the pull it needs, in one line."""
    words = pin_notes.MEANS[signal]
    if signal in pin_notes.PULL:
        kilo = pin_notes.PULL_OHM[signal] / 1000
        words += f"; pull {pin_notes.PULL[signal]} {kilo:g} k"
    return words


def _notes(board: str, header: Header) -> list[str]:
    """What the header cannot show: pins off the header, start-up, what to buy."""
    shown = header.left + header.right
    table = profiles.PROFILES[board]
    inside = [
        f"{signal} is GPIO {gpio}, on the board itself: {pin_notes.MEANS[signal]}"
        for signal, gpio in table.items()
        if gpio not in shown
    ]
    hidden = [
        f"GPIO {gpio}, not on the header: {reason}"
        for gpio, reason in pin_notes.FORBIDDEN[board].items()
        if gpio not in shown
    ]
    boot = [f"Between power-on and boot.py each pin is: {pin_notes.BOOT[board]}"]
    boot += [
        f"    except GPIO {gpio}: {state}" for gpio, state in pin_notes.BOOT_OF[board].items()
    ]
    spi, i2c = profiles.SPI_UNIT[board], profiles.I2C_UNIT[board]
    return [
        *inside,
        *boot,
        *hidden,
        f"SPI unit {spi}, I2C unit {i2c}. {pin_notes.NOTE[board]}",
        "Every pull is an external resistor to 0 V (down) or 3.3 V (up): firmware sets pulls too "
        "late for a pin that starts first.",
        "The board lies in the low-voltage compartment. Mains work is for a licensed electrician "
        "under local codes.",
    ]


def _legend(svg: ET.Element) -> None:
    for index, (_, fill, word) in enumerate(GROUPS):
        x = 24 + 130 * index
        box(svg, x, 54, 22, 18, fill)
        text(svg, x + 30, 68, word, 14)
