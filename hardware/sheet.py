"""A drawing surface that can only draw what the wiring says.

The pen always stands on a net. A part is drawn from the pen's net through two of its terminals;
if the wiring does not connect them so, drawing stops with a sentence. So a schematic cannot show
a joint that is not in the data.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from typing import Literal

import schemdraw
import schemdraw.elements as elm
from schemdraw.segments import SegmentText

from glossbath.errors import InputError
from hardware.wiring import Wiring

Point = tuple[float, float]
Align = Literal["left", "center", "right"]
Base = Literal["bottom", "center"]

WARNING = (
    "MAINS VOLTAGE CAN KILL. Mains work is for a licensed electrician under local codes. "
    "Not certified."
)
INK = "#1a1a1a"
QUIET = "#777777"
ALARM = "#a00000"


class ClosedContact(elm.Switch):  # type: ignore[misc]
    """A contact that is closed while nothing acts on it."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(nc=True, **kwargs)


class ThermalContact(ClosedContact):
    """A closed contact that heat opens: the Greek theta of IEC 60617 (from memory) beside it."""

    def __init__(self, **kwargs: object) -> None:
        super().__init__(**kwargs)
        self.segments.append(SegmentText((0.5, -0.34), "θ", align=("center", "center")))


SYMBOLS: dict[str, Callable[[], elm.Element2Term]] = {
    "rcd": elm.Switch,
    "isolator": elm.Switch,
    "cutout": ThermalContact,
    "second-cutout": ThermalContact,
    "relay": elm.Switch,
    "fuse": elm.FuseIEC,
    "ssr": elm.RBox,
    "heater": elm.RBox,
    "neon": elm.Neon,
    "resistor": elm.ResistorIEC,
    "ntc": elm.Thermistor,
    "capacitor": elm.Capacitor,
    "diode": elm.Diode,
    "schottky": elm.Schottky,
    "motor": elm.Motor,
    "pump": elm.Motor,
    "stop": ClosedContact,
    "button": elm.Button,
    "reed": elm.SwitchReed,
    "float": elm.SwitchReed,
    "coil": elm.Inductor2,
    "wire": elm.Line,
    "plug": elm.Line,
    "opto": elm.RBox,
    "phototransistor": elm.RBox,
}
# Kinds that a reader knows by a word rather than by a letter and a number.
WORDS = {
    "rcd": "RCD or GFCI",
    "isolator": "isolator",
    "cord": "cord",
    "cutout": "limit thermostat",
    "second-cutout": "second limit thermostat",
    "relay": "master relay",
    "ssr": "solid-state relay",
    "outlet": "locked outlet",
    "heater": "slow cooker",
    "neon": "lamp",
    "opto": "load sense",
    "phototransistor": "load sense, sees H1",
    "supply": "supply",
    "stop": "stop button",
    "button": "arm button",
    "reed": "lid switch",
    "float": "level switch",
    "pump": "ice-water pump",
    "motor": "stirrer motor",
    "converter": "step-down",
    "amplifier": "amplifier",
    "driver": "gate driver",
    "comparator": "comparator",
    "platinum": "platinum element (option)",
    "ntc": "second guard (option)",
}
NUMBERED = ("relay", "ssr", "stop", "isolator", "opto", "coil", "cutout", "second-cutout")


class Sheet:
    """One schematic in the making: a pen on a net, marks to come back to, parts drawn so far."""

    def __init__(self, wiring: Wiring, font_size: float = 13) -> None:
        schemdraw.use("svg")
        self.wiring = wiring
        self.drawing = schemdraw.Drawing(show=False)
        self.drawing.config(fontsize=font_size, lw=1.4, color=INK, font="sans-serif")
        self.font_size = font_size
        self.point: Point = (0.0, 0.0)
        self.net = ""
        self.marks: dict[str, tuple[Point, str]] = {}
        self.drawn: set[tuple[str, str]] = set()

    def start(self, point: Point, net: str) -> None:
        """Put the pen on a net at a free spot."""
        if net not in self.wiring.nets:
            raise InputError(f"drawing: net {net!r} is not in wiring.toml; correct the drawing")
        self.point, self.net = point, net

    def mark(self, name: str) -> None:
        """Remember where the pen is."""
        self.marks[name] = (self.point, self.net)

    def goto(self, name: str, dot: bool = True) -> None:
        """Lift the pen to a mark; a dot shows the joint."""
        self.point, self.net = self.marks[name]
        if dot:
            self.drawing.add(elm.Dot(radius=0.06).at(self.point))

    def line(self, *points: Point) -> None:
        """Draw copper from the pen through the points."""
        for point in points:
            self.drawing.add(elm.Line().at(self.point).to(point))
            self.point = point

    def join(self, name: str) -> None:
        """Draw copper to a mark, which must lie on the same net."""
        point, net = self.marks[name]
        if net != self.net:
            raise InputError(f"drawing: {self.net} may not join {net}; correct the drawing")
        self.line(point)
        self.drawing.add(elm.Dot(radius=0.06).at(point))

    def part(
        self,
        name: str,
        start: str,
        end: str,
        to: Point,
        symbol: str = "",
        side: str = "top",
        label: bool = True,
    ) -> None:
        """Draw a part between two of its terminals and move the pen along."""
        part = self.wiring.parts[name]
        if part.pins.get(start) != self.net or end not in part.pins:
            raise InputError(
                f"drawing: {name}.{start} is not on {self.net} in wiring.toml; correct the drawing"
            )
        kind = symbol or part.kind
        element = SYMBOLS[kind]().endpoints(self.point, to)
        if label:
            element.label(self.caption(name), loc=side, fontsize=self.font_size, ofst=0.16)
        self.drawing.add(element)
        if kind == "plug":
            for point in (self.point, to):
                self.drawing.add(elm.Dot(open=True, radius=0.1).at(point))
        if kind in NUMBERED:
            self._number(self.point, to, start)
            self._number(to, self.point, end)
        self.drawn |= {(name, start), (name, end)}
        self.point, self.net = to, part.pins[end]

    def mosfet(self, name: str) -> None:
        """Draw a transistor from the pen's net (drain) down to its source; marks its gate."""
        pins = self.wiring.parts[name].pins
        self.terminal(name, "D")
        element = self.drawing.add(elm.NMos().theta(0).at(self.point))
        gate, source = element.absanchors["gate"], element.absanchors["source"]
        self.marks[f"{name}.G"] = ((float(gate[0]), float(gate[1])), pins["G"])
        self.drawn |= {(name, "G"), (name, "S")}
        self.point, self.net = (float(source[0]), float(source[1])), pins["S"]
        self.text(
            (self.point[0] + 0.35, self.point[1] + 0.35),
            self.caption(name),
            align="left",
        )

    def caption(self, name: str, width: int = 16) -> str:
        """A part's name and value, broken into short lines."""
        part = self.wiring.parts[name]
        title = f"{name} {WORDS.get(part.kind, '')}".strip()
        return "\n".join(textwrap.wrap(title, width) + textwrap.wrap(part.value, width))

    def _number(self, here: Point, there: Point, text: str) -> None:
        """A terminal's number beside its end of the symbol."""
        along = 0.45 if there[0] != here[0] else 0.0
        step = along if there[0] >= here[0] else -along
        sink = -0.36 if along else (-0.42 if there[1] < here[1] else 0.1)
        aside = 0.0 if along else 0.22
        self.text((here[0] + step + aside, here[1] + sink), text, size=10, color=QUIET)

    def terminal(self, name: str, terminal: str) -> None:
        """Say that the pen stands on this terminal of a part drawn as a box."""
        net = self.wiring.parts[name].pins.get(terminal)
        if net != self.net:
            raise InputError(
                f"drawing: {name}.{terminal} is on {net}, the pen on {self.net}; "
                "correct the drawing"
            )
        self.drawn.add((name, terminal))

    def flag(self, side: str = "right", text: str = "") -> None:
        """Name the pen's net, for a wire that goes on elsewhere on the sheet."""
        across: dict[str, Align] = {
            "right": "left",
            "left": "right",
            "up": "center",
            "down": "center",
        }
        shift = {"right": (0.2, -0.2), "left": (-0.3, -0.2), "up": (0.0, 0.14), "down": (0, -0.5)}
        self.drawing.add(elm.Dot(open=True, radius=0.07).at(self.point))
        dx, dy = shift[side]
        self.text(
            (self.point[0] + dx, self.point[1] + dy),
            text or self.net,
            align=across.get(side, "center"),
            color="#003a75",
        )

    def ground(self) -> None:
        """End the pen's wire at 0 V."""
        if self.net != "gnd":
            raise InputError(f"drawing: {self.net} is not 0 V; correct the drawing")
        self.drawing.add(elm.GroundSignal().at(self.point).scale(0.7))

    def text(
        self,
        at: Point,
        text: str,
        size: float = 0,
        color: str = INK,
        align: Align = "center",
        base: Base = "bottom",
    ) -> None:
        """Write text that is no part of the circuit."""
        self.drawing.add(
            elm.Label()
            .at(at)
            .theta(0)
            .label(text, fontsize=size or self.font_size, halign=align, valign=base, ofst=0)
            .color(color)
        )

    def frame(self, low: Point, high: Point, title: str, color: str = QUIET) -> None:
        """A dashed box with a title in its upper left corner."""
        width, height = high[0] - low[0], high[1] - low[1]
        self.drawing.add(
            elm.Rect(corner1=(0, 0), corner2=(width, height))
            .at(low)
            .theta(0)
            .linestyle("--")
            .color(color)
        )
        self.text((low[0] + 0.15, high[1] + 0.08), title, color=color, align="left")

    def box(self, low: Point, high: Point, text: str) -> None:
        """A solid box with text in the middle: a part with many terminals."""
        width, height = high[0] - low[0], high[1] - low[1]
        self.drawing.add(elm.Rect(corner1=(0, 0), corner2=(width, height)).at(low).theta(0))
        self.text((low[0] + width / 2, low[1] + height / 2), text, base="center")

    def dashed(self, a: Point, b: Point) -> None:
        """A mechanical link between contacts that move together."""
        self.drawing.add(elm.Line().at(a).to(b).linestyle("--").color(QUIET))

    def svg(self) -> str:
        """The sheet as SVG text, on white so that it reads on a dark screen too."""
        self.drawing.draw(show=False)
        head, rest = self.drawing.get_imagedata("svg").decode().split(">", 1)
        white = '<rect x="-99999" y="-99999" width="199999" height="199999" fill="white"/>'
        return f"{head}>{white}{rest}\n"
