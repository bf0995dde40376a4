"""A plan of the control box: what sits in which compartment, and every terminal with its wire.

Made from the places in the wiring: parts of the mains compartment left, parts astride the
partition on it, low voltage right; below, each connector's contacts with the wire's colour.
"""

from __future__ import annotations

import textwrap
import xml.etree.ElementTree as ET

from hardware.board_layout import BLOCKS
from hardware.plan import box, finish, line, sheet, text
from hardware.sheet import ALARM, WARNING, WORDS
from hardware.wiring import Wiring

WIDTH, TOP, CELL, HIGH, GAP = 1400, 110, 150, 62, 14
# Colours of the conductors by region: live, neutral, earth. IEC 60445 and NEC (from memory).
REGIONS = (
    ("Europe and most of the world (IEC)", "brown", "blue", "green-yellow"),
    ("North America", "black", "white", "green, or bare, or green-yellow"),
    ("fixed wiring, UK before 2006, Australia", "red", "black", "green-yellow or green"),
    ("Japan", "black", "white", "green"),
)
# Low-voltage wires: never a mains colour.
WIRES = {
    "12v": "red",
    "gnd": "grey",
    "3v3": "orange",
    "3v3_probe": "orange",
    "onewire": "yellow",
    "ntc": "violet",
    "PE": "green-yellow",
}
ABREAST = 5
"""Tables of terminals side by side."""
OTHERS = ("pink", "turquoise", "violet", "yellow", "orange", "grey", "red", "tan", "beige", "lime")


def columns(wiring: Wiring) -> dict[str, list[str]]:
    """Compartment -> the parts in it; what is soldered on the board counts as one."""
    soldered = {name for _, names in BLOCKS for name in names} - {"S2", "S3", "DC1", "J1", "F3"}
    found: dict[str, list[str]] = {"mains": [], "partition": [], "control": []}
    for name, part in wiring.parts.items():
        if part.place in found and name not in soldered:
            found[part.place].append(name)
    return found


def _cell_words(wiring: Wiring, name: str) -> list[str]:
    part = wiring.parts[name]
    title = f"{name} {WORDS.get(part.kind, part.kind)}"
    words = textwrap.wrap(title, 22) + textwrap.wrap(part.value, 24)
    return [*words, "on top of the strip boards"] if part.kind == "board" else words


def terminals(wiring: Wiring) -> list[tuple[str, str, str, str]]:
    """Connector, contact, net and the wire's colour, for every contact out of the box."""
    found = []
    for name, part in wiring.of_kind("connector").items():
        free = [color for color in OTHERS if color not in WIRES.values()]
        for contact, net in part.pins.items():
            color = _color(net) or free.pop(0)
            found.append((name, contact, net, color))
    return found


def _color(net: str) -> str:
    return "red" if net.startswith("12v") else WIRES.get(net, "")


def draw(wiring: Wiring) -> str:
    """The plan of one variant as SVG text."""
    svg = sheet(WIDTH)
    text(svg, 24, 34, f"Glossbath control box, variant {wiring.variant}: plan and terminals", 20)
    text(svg, 24, 60, WARNING, 13, color=ALARM)
    parts = columns(wiring)
    bottom = _compartments(svg, wiring, parts)
    text(svg, 24, bottom + 34, _glands(wiring), 12)
    lowest = _terminals(svg, wiring, bottom + 70)
    return finish(svg, _regions(svg, lowest + 30) + 20)


def _compartments(svg: ET.Element, wiring: Wiring, parts: dict[str, list[str]]) -> int:
    """The box seen from the front; the y of its lower edge."""
    across = {"mains": 3, "partition": 1, "control": 4}
    used = {place: names for place, names in parts.items() if names}
    rows = max(-(-len(names) // across[place]) for place, names in used.items())
    height = 40 + rows * (HIGH + GAP)
    x = 24
    fills = {"mains": "#fbe9e6", "partition": "#eeeeee", "control": "#e9f1fb"}
    for place, names in used.items():
        width = across[place] * (CELL + GAP) + GAP
        box(svg, x, TOP, width, height, fills[place])
        title = wiring.places[place].text.removeprefix("control box, ")
        text(svg, x + 8, TOP + 20, title, 13, weight="bold")
        if place == "partition":
            middle = x + width / 2
            line(svg, middle, TOP - 8, middle, TOP + height + 8, "#8a1c10", 3)
            text(svg, middle, TOP - 14, "rigid insulating partition, 8 mm", 11, anchor="middle")
        for at, name in enumerate(names):
            left = x + GAP + at % across[place] * (CELL + GAP)
            _cell(svg, wiring, name, left, TOP + 34 + at // across[place] * (HIGH + GAP))
        x += width
    return TOP + height


def _cell(svg: ET.Element, wiring: Wiring, name: str, x: float, y: float) -> None:
    box(svg, x, y, CELL, HIGH, "white")
    for at, words in enumerate(_cell_words(wiring, name)[:4]):
        text(svg, x + 6, y + 15 + 14 * at, words, 11, weight="bold" if at == 0 else "normal")


def _glands(wiring: Wiring) -> str:
    low = ", ".join(wiring.of_kind("connector"))
    capillaries = ", ".join(wiring.of_kind("cutout", "second-cutout"))
    cords = ", ".join(name for name in wiring.of_kind("cord") if wiring.variant == "box")
    words = f"Glands downwards. Low-voltage side: {low}; capillaries of {capillaries}"
    words += " on the mains side" if wiring.variant == "box" else " on the same side"
    return words + (f"; mains side: {cords} and the outlet." if cords else "; no mains enters.")


def _terminals(svg: ET.Element, wiring: Wiring, y: int) -> int:
    """One table a connector, side by side; the y below the longest."""
    text(svg, 24, y, "Terminals: contact, net, wire", 14, weight="bold")
    x, lowest = 24, y
    for at, (name, part) in enumerate(wiring.of_kind("connector").items()):
        if at and at % ABREAST == 0:
            x, y = 24, lowest + 8
        level = y + 24
        text(svg, x, level, f"{name}  {part.value}", 12, weight="bold")
        for _, contact, net, color in (row for row in terminals(wiring) if row[0] == name):
            level += 18
            text(svg, x + 6, level, contact, 12)
            text(svg, x + 30, level, net, 12, color="#003a75")
            text(svg, x + 130, level, color, 12)
        lowest = max(lowest, level)
        x += 270
    return lowest


def _regions(svg: ET.Element, y: int) -> int:
    """Mains colours by region; the y below them."""
    title = "Mains colours: live, neutral, earth (your local code goes first)"
    text(svg, 24, y, title, 14, weight="bold")
    for region in REGIONS:
        y += 20
        for at, words in zip((24, 330, 430, 530), region, strict=True):
            text(svg, at, y, words, 12)
    return y
