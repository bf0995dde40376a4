"""All recipes: built in, own, or any file; each opens with its phases and windows."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from glossbath.errors import RecipeError
from glossbath.recipe import Recipe, builtin_names, load, own_names
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .key_bar import KeyBar
from .theme import content
from .view_screen import Panel, ViewScreen, head


class RecipesScreen(ViewScreen):
    """Lists recipes; `choose` opens one by the name or path under which it is found."""

    AUTO_FOCUS = "#recipes"
    BINDINGS = [Binding("tab", "app.focus_next", "Another file")]

    def __init__(
        self,
        look: Callable[[], tuple[RigView, float, Line]],
        choose: Callable[[str, Recipe], None],
    ) -> None:
        super().__init__(look)
        self._choose = choose
        self._said: Line = []

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
            Option(content([_row(name, name in own)]), id=name) for name in (*names, *own)
        )
        box.highlighted = min(marked or 0, box.option_count - 1)

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.query_one("#header", Panel).put([head(view, self.size.width, "Recipes")])
        title = "Choose a recipe with Enter: its phases, changing it, starting it."
        self.query_one("#page-title", Panel).put([[(title, "dim")]])
        self.query_one("#answer", Panel).put([self._said or answer])
        self.query_one("#answer").display = bool(self._said or answer)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open the marked recipe."""
        self._open(str(event.option_id))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Open a file."""
        if event.value.strip():
            self._open(event.value.strip())

    def _open(self, source: str) -> None:
        try:
            recipe = load(source)
        except RecipeError as error:
            self._said = [(str(error), "high")]
        else:
            self._said = []
            self._choose(source, recipe)
        self.refresh_view()


def _row(name: str, own: bool) -> Line:
    kind = "own     " if own else "built in"
    line: Line = [(f"{name:<20}", "strong"), (f"{kind}  ", "dim")]
    try:
        recipe = load(name)
    except RecipeError:
        return [*line, ("cannot be used: Enter says why", "medium")]
    melt, _, cool, _, hold = recipe.phases
    steps = " → ".join(f"{p.window.low_c:g}–{p.window.high_c:g}" for p in (melt, cool, hold))
    return [*line, (f"version {recipe.version:<3} {recipe.chocolate:<6}", ""), (f"{steps} °C", "")]
