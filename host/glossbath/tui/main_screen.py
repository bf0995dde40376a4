"""The main screen: the chocolate large, what the rig does in words, what asks for a person."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from glossbath.view import panels, sentences
from glossbath.view.chart import chart
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .big_number import BigNumber
from .key_bar import KeyBar
from .trend_plot import LEGEND, TrendPlot
from .view_screen import Panel, ViewScreen

TREND_EVERY_S = 1.0
"""A plot costs some fifty milliseconds, as much as everything else together."""
LEAST_TREND_ROWS = 6
"""With its frame and labels; less shows nothing worth the place."""


class MainScreen(ViewScreen):
    """Everything at a glance."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-low"), (34, "-tall")]

    _drawn_at_s: float | None = None
    _drawn_size: tuple[int, int] = (0, 0)
    _drawn_unit = ""

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="doing")
        yield Panel(id="next")
        with Horizontal(id="numbers"):
            with Vertical(id="chocolate"):
                yield Panel(id="chocolate-label")
                yield BigNumber(id="chocolate-number")
            yield Panel(id="side")
            with Vertical(id="others"):
                yield Panel(id="bath-label")
                yield BigNumber(id="bath-number")
                yield Panel(id="body-label")
                yield BigNumber(id="body-number")
        yield Panel(id="ladder")
        with Vertical(id="trend"):
            yield TrendPlot(id="plot")
            yield Panel(id="legend")
        yield Panel(id="alarms")
        yield Panel(id="answer")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        width = self.size.width
        self._put("header", [panels.header(view, width)])
        weight = "high" if view.lost or view.tripped else "strong"
        self._put("doing", [[(sentences.doing(view), weight)]])
        self._put("next", [self._next(view)])
        self._show_numbers(view, now_s)
        self._put("ladder", [panels.ladder(view, width - 2)])
        rows = 9 if self.has_class("-tall") else 5
        self._put("alarms", panels.alarms(view, width - 2, rows, told_above=True))
        self._put("answer", [answer])
        self.query_one("#answer").display = bool(answer)
        self._show_trend(view, now_s)

    def _put(self, name: str, lines: list[Line]) -> None:
        self.query_one(f"#{name}", Panel).put(lines)

    def _next(self, view: RigView) -> Line:
        told = sentences.next_step(view)
        if told.startswith(sentences.PLEASE):
            return [(f" {told} ", "medium")]
        if not told and view.steering and not view.active and not view.lost:
            return [("A cycle starts from a recipe: press r.", "dim")]
        return [(told, "")]

    def _show_numbers(self, view: RigView, now_s: float) -> None:
        reading, number = view.reading, view.degrees.number
        self._put("chocolate-label", [panels.chocolate_label(view, now_s)])
        chocolate = self.query_one("#chocolate-number", BigNumber)
        chocolate.value = number(reading.chocolate_c if reading else None)
        chocolate.set_class(view.silent_s(now_s) is not None, "-old")
        small = not (self.has_class("-wide") and self.has_class("-tall"))
        side = self.query_one("#side", Panel)
        side.put(panels.side(view, side.content_size.width, small=small))
        if small:
            return
        for name in ("bath", "body"):
            self._put(f"{name}-label", [panels.probe_label(view, name)])
            value = getattr(reading, f"{name}_c") if reading else None
            self.query_one(f"#{name}-number", BigNumber).value = number(value)

    def _show_trend(self, view: RigView, now_s: float) -> None:
        plot = self.query_one("#plot", TrendPlot)
        size, unit = (plot.size.width, plot.size.height), view.degrees.sign
        plot.visible = size[1] >= LEAST_TREND_ROWS
        if not plot.visible:
            return
        fresh = self._drawn_at_s is not None and now_s - self._drawn_at_s < TREND_EVERY_S
        if fresh and size == self._drawn_size and unit == self._drawn_unit:
            return
        self._drawn_at_s, self._drawn_size, self._drawn_unit = now_s, size, unit
        plot.draw(chart(view, plot.cells))
        self._put("legend", [[(f"{unit} over h:mm   {LEGEND}", "dim")]])
