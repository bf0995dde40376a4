"""All recipes: built in, own, or any file; each opens with its phases and windows."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from glossbath.errors import GlossbathError, RecipeError
from glossbath.recipe import Recipe, builtin_names, copy, load, own_names, rename
from glossbath.recipe.own import own_files
from glossbath.view.recipes import recipe_row
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .dialogs import Ask
from .key_bar import KeyBar
from .keys import letter
from .theme import content
from .view_screen import Look, Panel, ViewScreen

BUILT_IN = "This recipe comes with the program: c copies it under a name of yours."


class RecipesScreen(ViewScreen):
    """Lists recipes; `choose` opens one by the name or path under which it is found."""

    NAME = "Recipes"
    AUTO_FOCUS = "#recipes"
    HELP = (
        "Recipes that come with the program and your own; Enter opens one to be looked at,\n"
        "changed and started. A built-in one is never written over: copy it under a name of yours."
    )
    BINDINGS = [
        Binding("tab", "app.focus_next", "Another file", tooltip="type the path of a file"),
        letter("c", "copy", "Copy", "an own recipe with the same numbers and another name"),
        letter("y", "rename", "Rename", "give an own recipe another name"),
        letter("w", "where", "Where", "where the file of this recipe lies"),
    ]

    def __init__(
        self,
        look: Look,
        choose: Callable[[str, Recipe], None],
    ) -> None:
        super().__init__(look)
        self._choose = choose
        self._shown = ("", 0)

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="page-title")
        yield OptionList(id="recipes", markup=False)
        yield Input(
            placeholder="or the path of a recipe file, then Enter", compact=True, id="file"
        )
        yield Panel(id="answer")
        yield KeyBar()

    def on_mount(self) -> None:
        """Read the recipes."""
        self.read()

    def on_screen_resume(self) -> None:
        """A recipe may have been changed meanwhile."""
        self.read()

    def read(self) -> None:
        """Show every recipe there is now."""
        box = self.query_one("#recipes", OptionList)
        marked = box.highlighted
        own = own_names()
        names = [name for name in builtin_names() if name not in own]
        box.set_options(
            Option(content([self._row(name, name in own)]), id=name) for name in (*names, *own)
        )
        box.highlighted = min(marked or 0, box.option_count - 1)

    def _row(self, name: str, own: bool) -> Line:
        try:
            recipe: Recipe | None = load(name)
        except RecipeError:
            recipe = None
        return recipe_row(name, own, recipe, self._look()[0].degrees, self.size.width)

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.put_header(view)
        if self._shown != (view.degrees.sign, self.size.width):
            self._shown = (view.degrees.sign, self.size.width)
            self.read()
        title = "Choose a recipe with Enter: its phases, changing it, starting it."
        self.put("page-title", [(title, "dim")])
        self.put_answer(self.said or answer)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open the marked recipe."""
        self._open(str(event.option_id))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Open a file."""
        if event.value.strip():
            self._open(event.value.strip())

    def _marked(self) -> str:
        marked = self.query_one("#recipes", OptionList).highlighted_option
        return str(marked.id) if marked is not None else ""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only an own recipe can be renamed."""
        return self._marked() in own_names() if action == "rename" else True

    def action_where(self) -> None:
        """Say where the file lies."""
        path = own_files().get(self._marked())
        self.say(f"{self._marked()} is {path}" if path else BUILT_IN)

    def action_copy(self) -> None:
        """Ask for a name, and write the recipe under it."""
        self._ask_name("A copy of {}: its name", copy)

    def action_rename(self) -> None:
        """Ask for another name of an own recipe."""
        self._ask_name("Another name for {}", rename)

    def _ask_name(self, question: str, do: Callable[[str, str], Path]) -> None:
        source = self._marked()

        def obey(name: str | None) -> None:
            if not name:
                return
            try:
                self.say(f"Saved as {do(source, name)}")
            except GlossbathError as error:
                self.say(str(error), "high")
            self.read()

        if source:
            self.app.push_screen(Ask(question.format(source), "such as Kerala 70"), obey)

    def on_option_list_option_highlighted(self) -> None:
        """Other keys may fit another recipe."""
        self.refresh_bindings()

    def _open(self, source: str) -> None:
        try:
            recipe = load(source)
        except RecipeError as error:
            self.said = [(str(error), "high")]
        else:
            self.said = []
            self._choose(source, recipe)
        self.refresh_view()
