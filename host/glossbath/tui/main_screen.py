"""The main screen: the chocolate large, what the rig does in words, what asks for a person."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from glossbath.view import panels
from glossbath.view.chart import SPANS, chart, what_matters
from glossbath.view.plot import GUTTER, LEGEND, plot
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .big_number import BigNumber
from .key_bar import KeyBar
from .view_screen import Look, Panel, ViewScreen

TREND_EVERY_S = 1.0
"""Nothing in it is to be seen sooner."""


class MainScreen(ViewScreen):
    """Everything at a glance."""

    HELP = (
        "The rig at a glance: what it does and why, what comes next, the chocolate large,\n"
        "where it stands against its window, the phases, the trend, alarms with what to do.\n"
        "Grey means that nothing needs you. Leaving this screen stops nothing."
    )
    HORIZONTAL_BREAKPOINTS = [(0, "-small"), (72, "-narrow"), (110, "-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-flat"), (22, "-low"), (34, "-tall")]

    def __init__(self, look: Look) -> None:
        super().__init__(look)
        self.span = "now"
        self._drawn: tuple[object, ...] = ()
        self._drawn_at_s = 0.0

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
            yield Panel(id="plot")
            yield Panel(id="legend")
        yield Panel(id="alarms")
        yield Panel(id="answer")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        width = self.size.width
        self.put_head(view)
        self.put("next", panels.next_line(view))
        self._show_numbers(view, now_s)
        self.put("ladder", panels.ladder(view, width - 2))
        rows = 9 if self.has_class("-tall") else 5 if self.has_class("-low") else 2
        self.put("alarms", *panels.alarms(view, width - 2, rows, told_above=True))
        self.put_answer(answer)
        self._show_trend(view, now_s)

    def _show_numbers(self, view: RigView, now_s: float) -> None:
        reading, number = view.reading, view.degrees.number
        self.put("chocolate-label", panels.chocolate_label(view, now_s))
        chocolate = self.query_one("#chocolate-number", BigNumber)
        chocolate.value = number(reading.chocolate_c if reading else None)
        chocolate.set_class(view.silent_s(now_s) is not None, "-old")
        small = not (self.has_class("-wide") and self.has_class("-tall"))
        side = self.query_one("#side", Panel)
        rows = panels.side(view, side.content_size.width, small=small)
        # Where there is no room for all of it the strip gives way: the words above it say as much.
        self.put("side", *(rows[:2] + rows[3:] if self.has_class("-flat") else rows))
        if small:
            return
        for name in ("bath", "body"):
            self.put(f"{name}-label", panels.probe_label(view, name))
            value = getattr(reading, f"{name}_c") if reading else None
            self.query_one(f"#{name}-number", BigNumber).value = number(value)

    def _show_trend(self, view: RigView, now_s: float) -> None:
        size = self.query_one("#plot", Panel).size
        wanted = (size, view.degrees.sign, self.span, view)
        if wanted == self._drawn and 0 <= now_s - self._drawn_at_s < TREND_EVERY_S:
            return
        self._drawn, self._drawn_at_s = wanted, now_s
        drawn = chart(view, max(1, size.width - GUTTER), self.span)
        self.put("plot", *plot(drawn, size.width, size.height))
        self.put("legend", [(f"{view.degrees.sign}, {SPANS[drawn.span]} (z)  {LEGEND}", "dim")])

    def zoom(self) -> None:
        """Show the next span of the trend."""
        view, now_s, _ = self._look()
        # What matters now is one of the others: a key that showed the same again would seem dead.
        names = [name for name in SPANS if name != what_matters(view)]
        at = names.index(self.span) if self.span in names else 0
        self.span = names[(at + 1) % len(names)]
        self._show_trend(view, now_s)
