"""Past cycles side by side: two curves over each other with the settings that differ, or the
holds of a recipe."""

from __future__ import annotations

from pathlib import Path

from textual import work
from textual.app import ComposeResult
from textual.containers import VerticalScroll

from glossbath.errors import GlossbathError
from glossbath.report.past import holds_lines
from glossbath.view.overlay import Overlay, overlay
from glossbath.view.plot import plot
from glossbath.view.rig_view import RigView
from glossbath.words import Degrees, Line

from .key_bar import KeyBar
from .keys import letter
from .opening import open_file
from .view_screen import Look, Panel, ViewScreen

LEAST_ROWS, MOST_ROWS = 8, 20


class CompareScreen(ViewScreen):
    """Lays two cycles over each other; with more of one recipe it tells of their holds."""

    NAME = "Compare"
    HELP = (
        "Two cycles over each other, both from their start: the first is the solid line, the\n"
        "second the dotted one. Below stand the settings that differ, then what the holds of\n"
        "this recipe say together. The page can be printed."
    )
    BINDINGS = [letter("w", "report", "Report", "write the page, and open it where it can be")]

    def __init__(self, look: Look, folders: list[Path], others: list[Path]) -> None:
        super().__init__(look)
        self._folders, self._others = folders, others
        self._overlay: Overlay | None = None
        self._lines: list[Line] = [[("Reading the records …", "dim")]]
        self._unit = ""

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        with VerticalScroll(classes="page"):
            yield Panel(id="curves")
            yield Panel(id="facts")
        yield Panel(id="answer")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.put_header(view)
        rows = min(MOST_ROWS, max(LEAST_ROWS, self.size.height // 2))
        if self._overlay is not None:
            self.put("curves", *plot(self._overlay.chart, self.size.width - 4, rows))
        self.put("facts", *self._lines)
        self.put_answer(self.said)
        if self._unit != view.degrees.sign:
            self._unit = view.degrees.sign
            self._read(Degrees(view.degrees.fahrenheit))

    @work(thread=True, exclusive=True, group="read", exit_on_error=False)
    def _read(self, degrees: Degrees) -> None:
        found: Overlay | None = None
        try:
            found = overlay(self._folders[0], self._folders[1], degrees)
            lines = [*found.lines, [], *holds_lines(self._others)]
        except GlossbathError as error:
            lines = [[(str(error), "high")]]
        self.app.call_from_thread(self._show_found, found, lines)

    def _show_found(self, found: Overlay | None, lines: list[Line]) -> None:
        self._overlay, self._lines = found, lines
        self.refresh_view()

    def action_report(self) -> None:
        """Write the page of the two cycles, and open it."""
        self.say("Writing the page …")
        self._write(Degrees(self._look()[0].degrees.fahrenheit))

    @work(thread=True, exclusive=True, group="report", exit_on_error=False)
    def _write(self, degrees: Degrees) -> None:
        from glossbath.report.compare import write_overlay

        try:
            path, weight = write_overlay(self._folders[0], self._folders[1], degrees), "strong"
            said = f"The page is {path}" + ("; it opens now." if open_file(path) else "")
        except GlossbathError as error:
            said, weight = str(error), "high"
        self.app.call_from_thread(self.say, said, weight)
