"""A chart as rows of text: braille dots, two across and four down a cell.

Every line is drawn to a quarter of a row, and a label stands exactly where its temperature is: the
scale is made so that one row is a round part of the step between two labels.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from glossbath.words import Line

from .chart import Chart, Points, tick_label, time_ticks

ACROSS, DOWN = 2, 4
GUTTER = 7
"""Cells for the label of a row and the axis."""
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
LEGEND = "⠤⠤ chocolate  ⠠⠄ bath  ⠶⠆ target  ⠄⠠ window"
LEAST_ROWS = 4
"""With the row of times; less shows nothing worth the place."""
_BLANK = 0x2800
_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))  # Unicode 15, braille patterns


@dataclass(frozen=True)
class Scale:
    """Rows counted from the bottom: `low` in the middle of row 0, a label in every `every`-th."""

    low: float
    a_row: float
    every: int
    first: int
    """The lowest row with a label."""

    def label(self, row: int) -> str:
        """What stands beside a row; empty for most."""
        if (row - self.first) % self.every:
            return ""
        return f"{self.low + row * self.a_row:.1f}"


def scale(values: tuple[float, float], rows: int) -> Scale:
    """The finest scale on which all values fit into so many rows."""
    low, high = values
    spans = sorted(
        (step / every, every)
        for step in STEPS
        for every in range(1 if rows < LEAST_ROWS else 2, max(1, min(6, rows // 2)) + 1)
    )
    fitting = (
        Scale(number * a_row, a_row, every, -number % every)
        for a_row, every in spans
        # The lowest value lies in row 0.
        if ((number := math.floor(low / a_row + 0.5)) + rows - 0.5) * a_row >= high
    )
    return next(fitting, Scale(low, STEPS[-1], 1, 0))


class _Dots:
    """Dots on a grid; a point outside is not drawn."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self.cells: dict[tuple[int, int], int] = {}
        """The bits of each cell, by column and row, that has any."""

    def put(self, across: int, up: int) -> None:
        if 0 <= across < self.width * ACROSS and 0 <= up < self.height * DOWN:
            place = across // ACROSS, up // DOWN
            bit = _BITS[DOWN - 1 - up % DOWN][across % ACROSS]
            self.cells[place] = self.cells.get(place, 0) | bit


_Cells = dict[tuple[int, int], tuple[int, str]]
_NOTHING = (0, "")
"""Bits and weight of a cell without dots."""

# The lines differ in how their dots follow each other, so that they are told apart without colour.
# A layer further down in this list lies over those before it.
# What a recipe asks for jumps between phases: its points are joined on one level only.
_Lines = list[tuple[str, Callable[[Chart], list[Points]], Callable[[int], bool], bool]]
_LAYERS: _Lines = [
    ("faint", lambda chart: chart.window, lambda at: at % 4 == 0, False),
    ("faint", lambda chart: [chart.forecast], lambda at: at % 4 == 0, True),
    ("dim", lambda chart: chart.bath, lambda at: at % 2 == 0, True),
    ("", lambda chart: [chart.target], lambda at: at % 8 < 5, False),
    ("strong", lambda chart: chart.chocolate, lambda at: True, True),
]


def plot(chart: Chart, width: int, height: int) -> list[Line]:
    """The picture in `height` rows of `width` cells; nothing where that is too small."""
    cells, rows = width - GUTTER, height - 1
    if rows < LEAST_ROWS - 1 or cells < 2 * GUTTER:
        return []
    measure = scale(chart.values, rows)
    drawn: _Cells = {}
    for weight, lines, shown, joined in _LAYERS:
        dots = _Dots(cells, rows)
        for points in lines(chart):
            for across, up in _path(points, chart.times_s, measure, cells, joined):
                if shown(across):
                    dots.put(across, up)
        for place, found in dots.cells.items():
            # The chocolate alone: dots of others beside it would make its line look thick.
            under = 0 if weight == "strong" else drawn.get(place, _NOTHING)[0]
            drawn[place] = under | found, weight
    picture = [_row(drawn, measure, row, cells) for row in reversed(range(rows))]
    return [*picture, [(_times(chart.times_s, cells), "dim")]]


def _path(
    points: Points, times_s: tuple[float, float], measure: Scale, cells: int, joined: bool
) -> Iterator[tuple[int, int]]:
    """The dots of a line: every column between two points, and every step of a steep line."""
    begin_s, end_s = times_s
    a_dot_s = max(1e-9, (end_s - begin_s) / (cells * ACROSS - 1))
    bottom = measure.low - measure.a_row / 2
    before: tuple[int, int] | None = None
    for time_s, value in points:
        at = round((time_s - begin_s) / a_dot_s)
        up = math.floor((value - bottom) / measure.a_row * DOWN)
        if before is not None and (joined or up == before[1]):
            long, tall = at - before[0], up - before[1]
            steps = max(abs(long), abs(tall), 1)
            for step in range(1, steps):
                yield before[0] + long * step // steps, before[1] + round(tall * step / steps)
        yield at, up
        before = at, up


def _row(drawn: _Cells, measure: Scale, row: int, cells: int) -> Line:
    label = measure.label(row)
    line: Line = [(f"{label:>{GUTTER - 2}} {'┤' if label else '│'}", "dim")]
    for column in range(cells):
        bits, weight = drawn.get((column, row), _NOTHING)
        character = chr(_BLANK + bits) if bits else " "
        if line[-1][1] == weight and len(line) > 1:
            line[-1] = (line[-1][0] + character, weight)
        else:
            line.append((character, weight))
    return line


def _times(times_s: tuple[float, float], cells: int) -> str:
    """The row under the picture: each moment centred under its place."""
    row = [" "] * (cells + GUTTER)
    begin_s, end_s = times_s
    for tick in time_ticks(times_s, cells):
        label = tick_label(tick)
        at = GUTTER + round((tick - begin_s) / (end_s - begin_s) * (cells - 1)) - len(label) // 2
        row[at : at + len(label)] = label
    return "".join(row)[: cells + GUTTER]
