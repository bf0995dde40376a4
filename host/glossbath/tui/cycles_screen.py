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
from .view_screen import Look, Panel, ViewScreen

EXAMPLE = "words to find: recipe, result, lot, date"
MARK = "▪ "
WIDE = 80
"""Cells that a whole row and its frame take."""
SHOWN = 300
"""Rows of the list; a search that finds more asks for another word."""


class CyclesScreen(ViewScreen):
    """Lists the cycles in a folder; `choose` opens one, `compare` two, beside all of a recipe."""

    NAME = "Cycles"
    HELP = (
        "Every cycle of this computer, newest first. Words that you type narrow the list:\n"
        "recipe, result, lot, date. Enter opens one; F3 marks two and F4 compares them."
    )
    AUTO_FOCUS = "#words"
    BINDINGS = [
        Binding("up", "move('up')", "Up", show=False),
        Binding("down", "move('down')", "Down", show=False),
        Binding("pageup", "move('page_up')", "Page up", show=False),
        Binding("pagedown", "move('page_down')", "Page down", show=False),
        Binding("enter", "open", "Open", key_display="enter", tooltip="the marked cycle"),
        Binding("f3", "mark", "Mark", key_display="F3", tooltip="mark a cycle to compare it"),
        Binding(
            "f4",
            "compare",
            "Compare",
            key_display="F4",
            tooltip="the two marked cycles over each other, and the holds of their recipe",
        ),
    ]

    def __init__(
        self,
        look: Look,
        folder: Path,
        choose: Callable[[Path], None],
        compare: Callable[[list[Path], list[Path]], None],
    ) -> None:
        super().__init__(look)
        self._compare = compare
        self._marked: list[str] = []
        self._folder = folder
        self._choose = choose
        self._cycles: list[Entry] = []
        self._counts = "Looking for cycles …"

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
        self.app.call_from_thread(self._show_found, cycles, refused)

    def _show_found(self, cycles: list[Entry], refused: str) -> None:
        if not self.is_mounted:
            return
        self._cycles, self._counts = cycles, refused
        self._fill()

    def _fill(self) -> None:
        words = self.query_one("#words", Input).value
        found = matching(self._cycles, words)
        box = self.query_one("#cycles", OptionList)
        was = box.highlighted_option.id if box.highlighted_option else None
        shown = found[:SHOWN]
        box.set_options(Option(content([self._row(it)]), id=it["folder"]) for it in shown)
        places = [it["folder"] for it in shown]
        box.highlighted = places.index(was) if was in places else 0 if found else None
        if self._cycles or not self._counts:
            self._counts = self._counted(len(found))
        self.refresh_view()

    def _row(self, entry: Entry) -> Line:
        return [
            (MARK if entry["folder"] in self._marked else "  ", "strong"),
            *row(entry, narrow=self.size.width < WIDE),
        ]

    def _counted(self, found: int) -> str:
        if not self._cycles:
            return f"There are no cycles in {self._folder} yet."
        more = f"; the newest {SHOWN} are shown" if found > SHOWN else ""
        return f"{found} of {len(self._cycles)} cycles{more}"

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.put_header(view)
        self.put("page-title", [(self._counts, "dim")])

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

    def action_mark(self) -> None:
        """Mark a cycle to be compared, or take its mark away; the third takes the first's."""
        marked = self.query_one("#cycles", OptionList).highlighted_option
        if marked is None:
            return
        folder = str(marked.id)
        if folder in self._marked:
            self._marked.remove(folder)
        else:
            self._marked = [*self._marked[-1:], folder]
        self._fill()

    def action_compare(self) -> None:
        """Lay the marked cycle over the one that was marked before; without marks, over the one
        of the same recipe before it."""
        marked = self.query_one("#cycles", OptionList).highlighted_option
        if len(self._marked) < 2 and marked is not None and str(marked.id) not in self._marked:
            self._marked = [*self._marked, str(marked.id)]
        recipe = {it["folder"]: it["recipe"] for it in self._cycles}
        if len(self._marked) == 1:
            one = self._marked[0]
            older = [it["folder"] for it in self._cycles if it["recipe"] == recipe.get(one)]
            later = older[older.index(one) + 1 :] if one in older else []
            self._marked += later[:1]
        if len(self._marked) < 2:
            self._counts = "Mark two cycles with F3, then press F4."
            self.refresh_view()
            return
        same = [Path(f) for f, name in recipe.items() if name == recipe.get(self._marked[0])]
        self._compare([Path(folder) for folder in self._marked], same)
        self._fill()

    def action_open(self) -> None:
        """Open the marked cycle."""
        marked = self.query_one("#cycles", OptionList).highlighted_option
        if marked is not None:
            self._choose(Path(str(marked.id)))
