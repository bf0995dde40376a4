"""One past cycle: what it was, the verdict, its phases, tests and alarms, and its report."""

from __future__ import annotations

from pathlib import Path

from textual import work
from textual.app import ComposeResult
from textual.containers import VerticalScroll

from glossbath.errors import GlossbathError
from glossbath.report.past import cycle_lines
from glossbath.view.recipes import NARROW
from glossbath.view.rig_view import RigView
from glossbath.words import Degrees, Line

from .key_bar import KeyBar
from .keys import letter
from .opening import open_file
from .view_screen import Look, Panel, ViewScreen


class CycleScreen(ViewScreen):
    """Shows the cycle in a folder."""

    NAME = "Cycle"
    HELP = (
        "One past cycle: the verdict on the chocolate, each phase against its window,\n"
        "tests, notes and alarms. The report is a page to print; the curve is a picture to share."
    )
    BINDINGS = [
        letter("w", "report", "Report", "write the page, and open it where there is a browser"),
        letter("i", "picture", "Picture", "write the curve as curve.svg and curve.png"),
    ]

    def __init__(self, look: Look, folder: Path) -> None:
        super().__init__(look)
        self._folder = folder
        self._lines: list[Line] = [[("Reading the record …", "dim")]]
        self._shown: tuple[str, bool] | None = None

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        with VerticalScroll(classes="page"):
            yield Panel(id="facts")
        yield Panel(id="answer")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.put_header(view)
        self.put("facts", *self._lines)
        self.put_answer(self.said)
        shown = view.degrees.sign, self.size.width >= NARROW
        if self._shown != shown:
            self._shown = shown
            self._read(self._degrees, shown[1])

    @property
    def _degrees(self) -> Degrees:
        return Degrees(self._look()[0].degrees.fahrenheit)

    @work(thread=True, exclusive=True, group="read", exit_on_error=False)
    def _read(self, degrees: Degrees, wide: bool) -> None:
        # A day's record takes seconds to judge.
        try:
            lines = cycle_lines(self._folder, degrees, wide=wide)
        except GlossbathError as error:
            lines = [[(str(error), "high")]]
        self.app.call_from_thread(self._show_lines, lines)

    def _show_lines(self, lines: list[Line]) -> None:
        self._lines = lines
        self.refresh_view()

    def action_report(self) -> None:
        """Write the report, open it and say where it is."""
        self.say("Writing the report …")
        self._write(self._degrees)

    @work(thread=True, exclusive=True, group="report", exit_on_error=False)
    def _write(self, degrees: Degrees) -> None:
        from glossbath.report.page import write_report

        try:
            path, weight = write_report(self._folder, degrees=degrees), "strong"
            said = f"The report is {path}" + ("; it opens now." if open_file(path) else "")
        except GlossbathError as error:
            said, weight = str(error), "high"
        self.app.call_from_thread(self.say, said, weight)

    def action_picture(self) -> None:
        """Write the curve as a picture and say where it is."""
        self.say("Drawing the curve …")
        self._draw(self._degrees)

    @work(thread=True, exclusive=True, group="report", exit_on_error=False)
    def _draw(self, degrees: Degrees) -> None:
        from glossbath.report.picture import write_pictures

        try:
            paths, weight = write_pictures(self._folder, degrees), "strong"
            said = f"The curve is {' and '.join(str(path) for path in paths)}"
        except GlossbathError as error:
            said, weight = str(error), "high"
        self.app.call_from_thread(self.say, said, weight)
