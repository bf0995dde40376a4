"""A recipe is changed: one page for the whole, one for each phase, its table always in sight."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Input

from glossbath.editing import PAGES, Draft, Entry
from glossbath.editing.table import table
from glossbath.errors import InputError
from glossbath.recipe import Recipe
from glossbath.view.recipes import NARROW
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .form_screen import FieldRow
from .key_bar import KeyBar
from .view_screen import Panel, ViewScreen

MELT = 1


class EditScreen(ViewScreen):
    """Changes a draft; `saved` is called with the file's name and the recipe written there. A
    draft that is left without saving is kept by whoever made it."""

    NAME = "Change a recipe"
    AUTO_FOCUS = "Input"
    BINDINGS = [
        Binding("f2", "save", "Save as a new version", key_display="F2"),
        # Before the list of fields, which would take these keys to scroll.
        Binding("pageup", "turn(-1)", "Page before", key_display="PgUp", priority=True),
        Binding("pagedown", "turn(1)", "Next page", key_display="PgDn", priority=True),
        Binding("up", "app.focus_previous", "Field before", show=False, priority=True),
        Binding("down", "app.focus_next", "Next field", show=False, priority=True),
        Binding("enter", "app.focus_next", "Next field", show=False),
    ]

    def __init__(
        self,
        look: Callable[[], tuple[RigView, float, Line]],
        draft: Draft,
        saved: Callable[[str, Recipe], None],
    ) -> None:
        super().__init__(look)
        self._draft = draft
        self._saved = saved
        self._page = MELT
        self._said: Line = []

    # --- what is seen ---------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="page-title")
        yield Panel(id="recipe-table")
        yield VerticalScroll(id="form-fields", can_focus=False)
        yield Panel(id="answer")
        yield KeyBar()

    def on_mount(self) -> None:
        """Open the first phase."""
        self.call_later(self._open_page)

    async def _open_page(self, field: str = "") -> None:
        rows = self.query_one("#form-fields")
        await rows.remove_children()
        entries = self._draft.pages[PAGES[self._page]]
        for entry in entries:
            row = FieldRow(entry, self._draft.typed[entry.name])
            row.set_class(not entry.unit and entry.key != "chocolate", "-text")
            await rows.mount(row)
        box = self.query_one(f"#field-{field or entries[0].name}", Input)
        # What stands in the way of saving is to be put right, not to be typed over.
        box.select_on_focus = not field
        box.focus()
        self._say_beside()
        self.refresh_view()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.put_header(view)
        base, page = self._draft.base, PAGES[self._page]
        title: Line = [(f"{base.name}, version {base.version}", "strong")]
        state = "changed, not saved" if self._draft.changed else "unchanged"
        self.query_one("#page-title", Panel).put([[*title, (f"   {page}, {state}", "dim")]])
        self.query_one("#recipe-table", Panel).put(
            table(self._draft, page, self.size.width >= NARROW)
        )
        self.query_one("#answer", Panel).put([self._said])
        self.query_one("#answer").display = bool(self._said)

    def _say_beside(self) -> None:
        for row in self.query(FieldRow):
            entry = row.field
            assert isinstance(entry, Entry)
            words, wrong = self._draft.beside(entry)
            row.query_one(Panel).put([[(words, "strong" if wrong else "dim")]])
            row.set_class(wrong, "-wrong")

    # --- what a person does ---------------------------------------------------------------

    def on_input_changed(self, event: Input.Changed) -> None:
        """Keep what is typed; the limits of the other fields follow it."""
        name = (event.input.id or "").removeprefix("field-")
        if event.value == self._draft.typed[name]:
            return  # a page was opened
        self._draft.type(name, event.value)
        self._said = []
        self._say_beside()
        self.refresh_view()

    def on_input_submitted(self) -> None:
        """Enter goes on to the next field."""
        self.focus_next()

    async def action_turn(self, by: int) -> None:
        """Turn to another page."""
        self._page = (self._page + by) % len(PAGES)
        await self._open_page()

    async def action_save(self) -> None:
        """Save, or show the first field that stands in the way."""
        first = self._draft.first_problem()
        if first is not None:
            entry, sentence = first
            self._page = PAGES.index(entry.page)
            self._said = [(f"Not saved. {entry.page}: {sentence}", "high")]
            await self._open_page(entry.name)
            return
        try:
            recipe, path = self._draft.save()
        except InputError as error:
            self._said = [(f"Not saved. {error}", "high")]
            self.refresh_view()
            return
        self._saved(path.stem, recipe)
