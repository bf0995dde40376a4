"""One past cycle: what it was, the verdict, its phases, tests and alarms, and its report."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from textual import work
from textual.app import ComposeResult
from textual.containers import VerticalScroll

from glossbath.errors import GlossbathError
from glossbath.report.past import told
from glossbath.view.rig_view import RigView
from glossbath.words import Degrees, Line

from .key_bar import KeyBar
from .keys import letter
from .view_screen import Panel, ViewScreen, head


class CycleScreen(ViewScreen):
    """Tells of the cycle in a folder."""

    BINDINGS = [letter("w", "report", "Write the report")]

    def __init__(self, look: Callable[[], tuple[RigView, float, Line]], folder: Path) -> None:
        super().__init__(look)
        self._folder = folder
        self._lines: list[Line] = [[("Reading the record …", "dim")]]
        self._unit = ""
        self._said: Line = []

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        with VerticalScroll(classes="page"):
            yield Panel(id="facts")
        yield Panel(id="answer")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.query_one("#header", Panel).put([head(view, self.size.width, "Cycle")])
        self.query_one("#facts", Panel).put(self._lines)
        self.query_one("#answer", Panel).put([self._said])
        self.query_one("#answer").display = bool(self._said)
        if self._unit != view.degrees.sign:
            self._unit = view.degrees.sign
            self._read(Degrees(view.degrees.fahrenheit))

    @work(thread=True, exclusive=True, group="read", exit_on_error=False)
    def _read(self, degrees: Degrees) -> None:
        # A day's record takes seconds to judge.
        try:
            lines = told(self._folder, degrees)
        except GlossbathError as error:
            lines = [[(str(error), "high")]]
        self.app.call_from_thread(self._take, lines)

    def _take(self, lines: list[Line]) -> None:
        self._lines = lines
        self.refresh_view()

    def action_report(self) -> None:
        """Write the report and say where it is."""
        self._say("Writing the report …", "strong")
        self._write()

    @work(thread=True, exclusive=True, group="report", exit_on_error=False)
    def _write(self) -> None:
        from glossbath.report import write_report

        try:
            said, weight = f"The report is {write_report(self._folder)}", "strong"
        except GlossbathError as error:
            said, weight = str(error), "high"
        self.app.call_from_thread(self._say, said, weight)

    def _say(self, words: str, weight: str) -> None:
        self._said = [(words, weight)]
        self.refresh_view()
