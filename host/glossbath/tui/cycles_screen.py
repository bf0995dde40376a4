"""Past cycles: a list that words narrow, newest first."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from glossbath.errors import LogError
from glossbath.record import list_cycles
from glossbath.report.past import Entry, matching, row
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .key_bar import KeyBar
from .theme import content
from .view_screen import Panel, ViewScreen, head

EXAMPLE = "words to find: recipe, result, lot, date"
SHOWN = 300
"""Rows of the list; a search that finds more asks for another word."""


class CyclesScreen(ViewScreen):
    """Lists the cycles in a folder; `choose` opens one."""

    AUTO_FOCUS = "#words"
    BINDINGS = [
        Binding("up", "move('up')", "Up", show=False),
        Binding("down", "move('down')", "Down", show=False),
        Binding("pageup", "move('page_up')", "Page up", show=False),
        Binding("pagedown", "move('page_down')", "Page down", show=False),
        Binding("enter", "open", "Open", key_display="enter"),
    ]

    def __init__(
        self,
        look: Callable[[], tuple[RigView, float, Line]],
        folder: Path,
        choose: Callable[[Path], None],
    ) -> None:
        super().__init__(look)
        self._folder = folder
        self._choose = choose
        self._cycles: list[Entry] = []
        self._said = "Looking for cycles …"

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="page-title")
        yield Input(placeholder=EXAMPLE, compact=True, id="words")
        yield OptionList(id="cycles", markup=False)
        yield KeyBar()

    def on_mount(self) -> None:
        """Read the folder."""
        self.query_one("#cycles").can_focus = False
        self._read()

    @work(thread=True, exclusive=True, exit_on_error=False)
    def _read(self) -> None:
        # A thousand cycles take a while on a slow disk.
        try:
            cycles, refused = list_cycles(self._folder), ""
        except LogError as error:
            cycles, refused = [], str(error)
        self.app.call_from_thread(self._take, cycles, refused)

    def _take(self, cycles: list[Entry], refused: str) -> None:
        if not self.is_mounted:
            return
        self._cycles, self._said = cycles, refused
        self._fill()

    def _fill(self) -> None:
        words = self.query_one("#words", Input).value
        found = matching(self._cycles, words)
        box = self.query_one("#cycles", OptionList)
        box.set_options(Option(content([row(it)]), id=it["folder"]) for it in found[:SHOWN])
        box.highlighted = 0 if found else None
        if self._cycles or not self._said:
            self._said = self._counted(len(found))
        self.refresh_view()

    def _counted(self, found: int) -> str:
        if not self._cycles:
            return f"There are no cycles in {self._folder} yet."
        more = f"; the newest {SHOWN} are shown" if found > SHOWN else ""
        return f"{found} of {len(self._cycles)} cycles{more}"

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.query_one("#header", Panel).put([head(view, self.size.width, "Cycles")])
        self.query_one("#page-title", Panel).put([[(self._said, "dim")]])

    def on_input_changed(self) -> None:
        """Narrow the list as words are typed."""
        self._fill()

    def on_input_submitted(self) -> None:
        """Open the marked cycle."""
        self.action_open()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A cycle was touched."""
        self._choose(Path(str(event.option_id)))

    def action_move(self, how: str) -> None:
        """Move the mark while words stay where they are typed."""
        box = self.query_one("#cycles", OptionList)
        if how == "up":
            box.action_cursor_up()
        elif how == "down":
            box.action_cursor_down()
        elif how == "page_up":
            box.action_page_up()  # type: ignore[no-untyped-call]
        else:
            box.action_page_down()  # type: ignore[no-untyped-call]

    def action_open(self) -> None:
        """Open the marked cycle."""
        marked = self.query_one("#cycles", OptionList).highlighted_option
        if marked is not None:
            self._choose(Path(str(marked.id)))
