"""A plan of the low-voltage board that can be soldered: one strip a net, parts across the strips.

Each block of the circuit is a small strip board of its own: its nets run sideways, its parts
stand upright from strip to strip. A net that goes on in another block or to a terminal has its
name at the edge. The plan is placed from the wiring alone, so it cannot show another joint.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import dataclass

from hardware.plan import finish, line, sheet, text
from hardware.wiring import Wiring

ROW, COLUMN, LEFT, GAP, WIDTH = 20, 46, 150, 54, 1500
# fmt: off
RELAY = (
    "R12", "R2", "U3", "C9", "R35", "C1", "C2", "D2", "D3", "C3", "R13", "R14", "R36", "R37", "C8",
    "U4", "C10", "R38", "Q2", "D1",
)
# fmt: on
# The parts of each block, in the order in which they are soldered.
BLOCKS = (
    ("12 V and 5 V", ("F3", "C7", "DC1", "D6", "S2", "J1")),
    ("heat switch", ("R11", "R1", "Q1")),
    ("master relay", RELAY),
    ("ice-water pump", ("R15", "R3", "Q3", "D4")),
    ("stirrer", ("R16", "R4", "Q4", "D5", "R17", "U2", "C11", "R18", "C4", "R5")),
    ("arm, lid, water", ("R22", "R6", "S3", "R23", "R8", "R24", "R10")),
    ("stop and load", ("R25", "R7", "R9", "C5")),
    ("analogue", ("R26", "R27", "R28", "C6")),
    ("buses", ("F4", "R29", "R30", "R31", "R32", "R33", "B5")),
)
# Not soldered: the board in its socket, connectors, and where mains stays closed the thermostats.
BESIDE = ("board", "connector", "cutout", "second-cutout")


@dataclass(frozen=True)
class Placed:
    """A part in a block: its column, and the row of each of its terminals."""

    name: str
    column: int
    rows: dict[str, int]


@dataclass(frozen=True)
class Block:
    """One strip board: net names from top to bottom, parts from left to right."""

    title: str
    nets: tuple[str, ...]
    parts: tuple[Placed, ...]


def blocks(wiring: Wiring) -> list[Block]:
    """Every block with its strips and parts."""
    found = []
    for title, names in BLOCKS:
        nets: list[str] = []
        for name in names:
            nets += [net for net in wiring.parts[name].pins.values() if net not in nets]
        # Supplies at the top, 0 V at the bottom: as a maker reads a board.
        nets.sort(key=lambda net: (net == "gnd", not net.startswith(("12v", "5v", "3v3")), net))
        parts = tuple(
            Placed(name, column, {p: nets.index(n) for p, n in wiring.parts[name].pins.items()})
            for column, name in enumerate(names)
        )
        found.append(Block(title, tuple(nets), parts))
    return found


def missing(wiring: Wiring) -> list[str]:
    """Parts of the low-voltage compartment that no block has."""
    placed = {name for _, names in BLOCKS for name in names}
    return [
        name
        for name, part in wiring.parts.items()
        if part.place == "control" and part.kind not in BESIDE and name not in placed
    ]


def draw(wiring: Wiring) -> str:
    """The plan of one variant as SVG text."""
    svg = sheet(WIDTH)
    text(svg, 24, 34, f"Glossbath low-voltage board, variant {wiring.variant}: strip plan", 20)
    text(
        svg,
        24,
        56,
        "Each line is a strip of copper, each upright a part, each dot a solder joint, seen from "
        "the component side. Blue names go on elsewhere. No mains on this board.",
        12,
    )
    x, y, lowest = 24, 80, 80
    for block in blocks(wiring):
        width = LEFT + COLUMN * len(block.parts) + 60
        if x + width > WIDTH:
            x, y = 24, lowest + GAP
        _block(svg, wiring, block, x, y)
        lowest = max(lowest, y + 40 + ROW * len(block.nets))
        x += width + 20
    return finish(svg, lowest + 30)


def _block(svg: ET.Element, wiring: Wiring, block: Block, x: int, y: int) -> None:
    text(svg, x, y + 12, block.title, 14, weight="bold")
    right = x + LEFT + COLUMN * len(block.parts)
    top = y + 40
    inside = {placed.name for placed in block.parts}
    for row, net in enumerate(block.nets):
        level = top + row * ROW
        line(svg, x + LEFT - 20, level, right, level, "#b87333", 3)
        goes_on = any(
            net in part.pins.values() for name, part in wiring.parts.items() if name not in inside
        )
        color = "#003a75" if goes_on else "#777777"
        text(svg, x + LEFT - 26, level + 4, net, 11, anchor="end", color=color)
    for placed in block.parts:
        _part(svg, placed, x + LEFT + COLUMN * placed.column + 14, top)


def _part(svg: ET.Element, placed: Placed, x: int, top: int) -> None:
    rows = placed.rows.values()
    line(svg, x, top + min(rows) * ROW, x, top + max(rows) * ROW, "#1a1a1a", 2)
    text(svg, x, top - 17, placed.name, 11, anchor="middle", weight="bold")
    for row in dict.fromkeys(rows):
        ET.SubElement(svg, "circle", cx=str(x), cy=str(top + row * ROW), r="4", fill="#1a1a1a")
        pins = "/".join(pin for pin, at in placed.rows.items() if at == row)
        text(svg, x + 6, top + row * ROW - 4, pins, 9, color="#555555")
