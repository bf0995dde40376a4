"""Before a cycle: one recipe, how much chocolate, what the kitchen has, the plan, the start."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Input

from glossbath.client.messages import Reply
from glossbath.editing.batch import BatchForm
from glossbath.editing.kitchen import NAMES, kitchen_fields, told
from glossbath.errors import GlossbathError, InputError
from glossbath.recipe import Recipe
from glossbath.thermal.forecast import Plan
from glossbath.view.recipes import kitchen_lines, recipe_lines
from glossbath.view.rig_view import RigView
from glossbath.words import Line, one_line

from .form_screen import FieldRow
from .key_bar import KeyBar
from .view_screen import Look, Panel, ViewScreen

PLAN_AFTER_S = 0.4
"""Of typing: a plan takes a moment of the computer, so not every letter begins one."""
Start = Callable[[Recipe, dict[str, Any]], Reply]
"""Orders a start and waits for the board's answer; raises GlossbathError."""


class RecipeScreen(ViewScreen):
    """Shows a recipe found as `source`. `edit` opens it to be changed; `started` is called once
    the board has taken it."""

    NAME = "Recipe"
    HELP = (
        "One recipe: its phases with their windows and where its numbers come from.\n"
        "Type how much chocolate there is, and what the kitchen has: the plan says what will not\n"
        "be reached in it, and what would help. F2 starts the cycle."
    )
    AUTO_FOCUS = "Input"
    BINDINGS = [
        Binding(
            "f2",
            "start",
            "Start the cycle",
            key_display="F2",
            tooltip="send the recipe to the board; a real rig then waits for the arm button",
        ),
        Binding(
            "f4",
            "edit",
            "Change the recipe",
            key_display="F4",
            tooltip="every number with its limits; saved as a new version",
        ),
        # Before the list of fields, which would take these keys to scroll.
        Binding("up", "app.focus_previous", "Field before", show=False, priority=True),
        Binding("down", "app.focus_next", "Next field", show=False, priority=True),
    ]

    def __init__(
        self,
        look: Look,
        source: str,
        recipe: Recipe,
        form: BatchForm,
        start: Start,
        edit: Callable[[str, Recipe], None],
        started: Callable[[], None],
    ) -> None:
        super().__init__(look)
        self.source = source
        self._recipe = recipe
        self._form = form
        self._start = start
        self._edit = edit
        self._started = started
        self._under_way = False
        self._plan: Plan | None = None
        self._planned: object = None
        """What the plan was made for."""
        self._rig_has_said = False
        self._warned: object = None
        """For what a person knows that it will not be reached."""

    def show_version(self, source: str, recipe: Recipe, said: str) -> None:
        """Show another version of the recipe, and what was done to it."""
        self.source, self._recipe = source, recipe
        self.say(said, "strong")
        self._make_plan()

    # --- what is seen ---------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="page-title")
        yield Panel(id="recipe-table")
        with VerticalScroll(id="form-fields", can_focus=False):
            yield from self._rows()
            yield Panel(id="recipe-sources")
        yield Panel(id="answer")
        yield KeyBar()

    def _rows(self) -> Iterator[Widget]:
        """The fields, with the plan below those it depends on."""
        view = self._look()[0]
        if view.snapshot is not None:
            fahrenheit = view.degrees.fahrenheit
            self._form.ask(kitchen_fields(view.snapshot.rig, view.reading, fahrenheit))
        planned = ("batch_kg", *NAMES)
        rows = [FieldRow(field, self._form.typed[field.name]) for field in self._form.fields]
        yield from (row for row in rows if row.field.name in planned)
        yield Panel(id="recipe-plan")
        yield from (row for row in rows if row.field.name not in planned)

    def on_mount(self) -> None:
        """Say what stands beside the fields from the start, and what is to be expected."""
        self._say_beside()
        self._make_plan()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        if self._rig_has_said is not (view.reading is not None):
            self._rig_has_said = view.reading is not None
            self._make_plan()
        self.put_header(view)
        recipe = self._recipe
        title: Line = [(f"{one_line(recipe.name)}, version {recipe.version}", "strong")]
        self.put("page-title", [*title, (f"   {self.source}", "dim")])
        damp = kitchen_lines(recipe, view.reading, view.degrees)
        self.put("recipe-table", *recipe_lines(recipe, view.degrees, self.size.width), *damp)
        sources: list[Line] = [[("Where the numbers come from:", "dim")]]
        sources += [[(one_line(sentence), "dim")] for sentence in recipe.sources]
        self.put("recipe-sources", *sources)
        plan = self._plan
        lines = told(plan, view.degrees) if plan is not None else []
        missed = plan is not None and bool(plan.missed)
        self.put("recipe-plan", *([(line, "medium" if missed else "dim")] for line in lines))
        objection = self.objection()
        known: Line = [(" ".join(lines[:2]), "medium")] if missed and not objection else []
        self.put_answer(self.said or known or [(objection, "dim")])

    def objection(self) -> str:
        """Why no cycle can be started now, in one sentence; empty when one can."""
        view = self._look()[0]
        if view.lost or view.snapshot is None:
            return (
                "No rig is open: choose one on the first screen, or start the virtual one there."
            )
        if view.active:
            return "A cycle is under way on this rig: stop it before another one is started."
        if not view.steering:
            return "Another screen steers this rig: take over with v on its main screen."
        return ""

    def _say_beside(self) -> None:
        for row in self.query(FieldRow):
            words, wrong = self._form.beside(row.field)
            row.query_one(Panel).put([[(words, "strong" if wrong else "dim")]])
            row.set_class(wrong, "-wrong")

    # --- what a person does ---------------------------------------------------------------

    def on_input_changed(self, event: Input.Changed) -> None:
        """Keep what is typed, and look at it at once."""
        name = (event.input.id or "").removeprefix("field-")
        if event.value == self._form.typed[name]:
            return  # the screen was opened
        self._form.type(name, event.value)
        self._say_beside()
        self.say("")
        if name in ("batch_kg", *NAMES):
            self.set_timer(PLAN_AFTER_S, self._make_plan)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A cycle is started where there is a rig to start it on."""
        return self._look()[0].snapshot is not None if action == "start" else True

    def action_edit(self) -> None:
        """Change the recipe."""
        self._edit(self.source, self._recipe)

    def action_start(self) -> None:
        """Start the cycle, if nothing typed stands in the way."""
        if self._under_way:
            return
        objection = self.objection()
        try:
            order = self._form.order(self._recipe, self.source)
        except InputError as error:
            objection = objection or str(error)
        if objection:
            self.say(objection, "high")
            return
        self._under_way = True
        self.say("Sending the recipe to the board …", "strong")
        self._wait_for_board(order, self._wanted())

    # --- the plan -------------------------------------------------------------------------

    def _wanted(self) -> object:
        """What a plan is for. One that was made before the rig had said anything is none for a
        rig that has."""
        return self._recipe, self._form.planned_for, self._look()[0].reading is not None

    def _make_plan(self) -> None:
        """Make a plan of what is typed, unless it is there."""
        if self._wanted() != self._planned and self._look()[0].snapshot is not None:
            self._plan_ahead(self._wanted())

    @work(thread=True, exclusive=True, group="plan", exit_on_error=False)
    def _plan_ahead(self, wanted: object) -> None:
        if wanted == self._wanted():
            self.app.call_from_thread(self._show_plan, wanted, self._plan_now())

    def _plan_now(self) -> Plan | None:
        view = self._look()[0]
        rig = view.snapshot.rig if view.snapshot is not None else ""
        return self._form.plan(self._recipe, rig, view.reading)

    def _show_plan(self, wanted: object, plan: Plan | None) -> None:
        if wanted == self._wanted():
            self._plan, self._planned = plan, wanted
            self.refresh_view()

    def _warn(self, wanted: object, plan: Plan) -> None:
        """Say once that this will not be reached, before anything is started."""
        self._under_way = False
        self._warned = wanted
        self._show_plan(wanted, plan)
        first = told(plan, self._look()[0].degrees)[0]
        self.say(f"{first} F2 once more starts it all the same.", "high")

    # --- the start ------------------------------------------------------------------------

    @work(thread=True, exit_on_error=False)
    def _wait_for_board(self, order: dict[str, Any], wanted: object) -> None:
        plan = self._plan if wanted == self._planned else self._plan_now()
        if plan is not None and plan.missed and wanted != self._warned:
            self.app.call_from_thread(self._warn, wanted, plan)
            return
        # The board takes the recipe phase by phase: keys and STOP go before.
        try:
            reply = self._start(self._recipe, order)
            taken, text = reply.ok, reply.text
        except GlossbathError as error:
            taken, text = False, str(error)
        self.app.call_from_thread(self._show_reply, taken, text)

    def _show_reply(self, taken: bool, text: str) -> None:
        self._under_way = False
        if taken:
            self._started()
        else:
            self.say(f"Not started. {one_line(text)}", "high")
