"""The terminal app: its pages, from the overview of all rigs to one past cycle, and leaving it."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from glossbath.chocolate.diptest import DipTest
from glossbath.client.client import KeeperClient
from glossbath.client.launch import connect as connect_to
from glossbath.client.messages import Reply
from glossbath.desk import live
from glossbath.editing import Draft
from glossbath.editing.batch import BatchForm
from glossbath.errors import KeeperError
from glossbath.forms.form import Forms
from glossbath.recipe import Recipe
from glossbath.record import default_folder
from glossbath.view.choices import Choices

from .compare_screen import CompareScreen
from .cycle_screen import CycleScreen
from .cycles_screen import CyclesScreen
from .desk_screen import DeskScreen
from .details_screen import DetailsScreen
from .dialogs import Answer, Choice
from .dip_screen import DipScreen
from .edit_screen import EditScreen
from .events_screen import EventsScreen
from .help_screen import HelpScreen
from .keys import KEYS
from .kitchen import Kitchen
from .kitchen_app import KitchenApp
from .kitchen_screen import KitchenScreen
from .main_screen import MainScreen
from .palette import Actions, open_palette
from .recipe_screen import RecipeScreen
from .recipes_screen import RecipesScreen
from .start_screen import Starter, StartScreen
from .view_screen import ViewScreen

START_PATIENCE_S = 60.0
ELSEWHERE = (CompareScreen, CycleScreen, CyclesScreen, RecipesScreen, RecipeScreen, EditScreen)
PAGES = ("recipes", "cycles", "rigs", "desk", "details", "events", "dip", "kitchen")
WITHOUT_A_RIG = (
    *("recipes", "cycles", "desk", "unit", "light", "quit", "stop", "help"),
    "command_palette",
)


class GlossbathApp(KitchenApp):
    """Shows one rig, or all of them while `connect` is None; run() returns how the person left:
    "left", "stopped", "ended" or "lost".

    starters bring up a rig that is not there yet, by name: virtual, board. own_rig is the rig
    that ends with this program, empty for none; kitchen is what hands can do at it.
    """

    CSS_PATH = ["glossbath.tcss", "desk.tcss", "pages.tcss"]
    TITLE = "Glossbath"
    COMMANDS = {Actions}
    BINDINGS = [*KEYS]

    def __init__(
        self,
        connect: Callable[[], KeeperClient] | None = None,
        *,
        choices: Choices | None = None,
        clock: Callable[[], float] = time.monotonic,
        starters: Mapping[str, Starter] | None = None,
        own_rig: str = "",
        kitchen: Kitchen | None = None,
    ) -> None:
        super().__init__(connect, choices=choices, clock=clock, kitchen=kitchen)
        self.forms = Forms(lambda: live.values(self.view.snapshot, self.view.reading))
        self.dip_test = DipTest()
        self.own_rig = own_rig
        self._starters = starters or {}
        self._batch_form = BatchForm()
        self._drafts: dict[str, Draft] = {}

    def on_mount(self) -> None:
        """Without a rig the overview comes first."""
        if self._connect_keeper is None:
            self.action_rigs()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer pages where there is room for them, and orders where one rig is meant."""
        # A question or the palette may lie over the screen that is meant.
        front = next((s for s in reversed(self.screen_stack) if isinstance(s, ViewScreen)), None)
        if action == "back":
            deeper = self.screen is front and len(self.screen_stack) > 1
            return deeper and (self._has_rig or not isinstance(front, StartScreen))
        if isinstance(front, StartScreen):
            return action in WITHOUT_A_RIG
        if action in ("note", "ice") and isinstance(front, ELSEWHERE):
            return False  # it would go into the record of another cycle than the one looked at
        if action == "zoom":
            return isinstance(front, MainScreen)
        if action == "this_cycle":
            return isinstance(front, MainScreen | KitchenScreen) and bool(self.view.result)
        if action in ("practise", "new_bowl"):
            return isinstance(front, MainScreen | EventsScreen) and self.in_kitchen(action)
        if action in PAGES:
            wide = isinstance(front, MainScreen | DetailsScreen | EventsScreen | KitchenScreen)
            return wide and super().check_action(action, parameters)
        return super().check_action(action, parameters)

    @property
    def _has_rig(self) -> bool:
        return self._connect_keeper is not None

    def action_stop(self) -> None:
        """Send STOP to the rig in front of the person: the one that is open, or the marked one."""
        start = next((s for s in self.screen_stack if isinstance(s, StartScreen)), None)
        if start is None or (self._has_rig and self.screen is not start):
            super().action_stop()
            return
        while self.screen is not start:
            self.pop_screen()
        start.stop_marked()

    def action_command_palette(self) -> None:
        """Show every action that makes sense now."""
        open_palette(self)

    def action_help(self) -> None:
        """Say what the screen in front is for and what its keys do, or leave that."""
        if isinstance(self.screen, HelpScreen):
            self.pop_screen()
        else:
            self.push_screen(HelpScreen(self.screen))

    # --- rigs ----------------------------------------------------------------------------

    def action_rigs(self) -> None:
        """Show every rig of this computer."""
        self.push_screen(StartScreen(self._look, self.open_rig, self._starters))

    def open_rig(self, rig: str) -> None:
        """Show a rig, and steer it unless somebody does."""
        self._connect_keeper = lambda: connect_to(rig, steer=True)
        self.action_reconnect()
        self._to_main()

    def _to_main(self) -> None:
        while len(self.screen_stack) > 1:
            self.pop_screen()
        self.redraw()

    # --- recipes and the start of a cycle ---------------------------------------------------

    def action_recipes(self) -> None:
        """Show the recipes."""
        self.push_screen(RecipesScreen(self._look, self._show_recipe))

    def _show_recipe(self, source: str, recipe: Recipe) -> None:
        self.push_screen(
            RecipeScreen(
                self._look,
                source,
                recipe,
                self._batch_form,
                self._start,
                self._change_recipe,
                self._started,
            )
        )

    def _change_recipe(self, source: str, recipe: Recipe) -> None:
        # What was typed is still there when the page is opened again.
        draft = self._drafts.setdefault(recipe.checksum(), Draft(recipe))
        draft.show_in(self.choices.fahrenheit)
        self.push_screen(EditScreen(self._look, draft, self._saved))

    def _saved(self, name: str, recipe: Recipe) -> None:
        self._drafts = {key: draft for key, draft in self._drafts.items() if draft.changed}
        self.pop_screen()
        if isinstance(self.screen, RecipeScreen):
            self.screen.show_version(name, recipe, f"Saved as {name}; F2 starts it.")

    def _start(self, recipe: Recipe, order: dict[str, Any]) -> Reply:
        """Start a cycle and wait for the board's answer, in a thread of its own. In the virtual
        kitchen the bowl is filled first with what the recipe and the batch ask for."""
        self.fill_bowl(recipe.chocolate, float(order["batch_kg"]))
        if self.client is None:
            raise KeeperError("No rig is open.")
        return self.client.request("start", timeout_s=START_PATIENCE_S, **order)

    def _started(self) -> None:
        # They belong to the cycle that has begun, not to the next one.
        self._batch_form.forget_cycle()
        self._to_main()

    # --- past cycles -----------------------------------------------------------------------

    def action_this_cycle(self) -> None:
        """Show the verdict of the cycle that has ended."""
        if self.view.snapshot is not None and self.view.snapshot.folder:
            self._show_cycle(Path(self.view.snapshot.folder))

    def action_cycles(self) -> None:
        """Show past cycles: those beside the rig's own record, else those of this computer."""
        folder = self.view.snapshot.folder if self.view.snapshot else ""
        cycles = Path(folder).parent if folder else default_folder()
        self.push_screen(CyclesScreen(self._look, cycles, self._show_cycle, self._compare))

    def _compare(self, two: list[Path], others: list[Path]) -> None:
        self.push_screen(CompareScreen(self._look, two, others))

    def _show_cycle(self, folder: Path) -> None:
        self.push_screen(CycleScreen(self._look, folder))

    # --- pages of the rig --------------------------------------------------------------------

    def action_zoom(self) -> None:
        """Show another span of the trend."""
        if isinstance(self.screen, MainScreen):
            self.screen.zoom()

    def action_kitchen(self) -> None:
        """Show the digits as large as the terminal, or leave them."""
        self._turn_to(KitchenScreen, lambda: KitchenScreen(self._look))

    def action_details(self) -> None:
        """Show the page of details, or leave it."""
        self._turn_to(DetailsScreen, lambda: DetailsScreen(self._look))

    def action_events(self) -> None:
        """Show the events, or leave them."""
        self._turn_to(EventsScreen, lambda: EventsScreen(self._look, self._acknowledge))

    def action_desk(self) -> None:
        """Show the desk."""
        if not isinstance(self.screen, DeskScreen):
            self.push_screen(DeskScreen(self._look, self.forms, self._post))

    def action_dip(self) -> None:
        """Show the dip test, under way or not."""
        if not isinstance(self.screen, DipScreen):
            self.push_screen(DipScreen(self._look, self.dip_test, self._post))

    def _acknowledge(self, code: str) -> None:
        self._post("acknowledge", code=code)

    def _turn_to(self, kind: type[ViewScreen], made: Callable[[], ViewScreen]) -> None:
        here = isinstance(self.screen, kind)
        if len(self.screen_stack) > 1:
            self.pop_screen()
        if not here:
            self.push_screen(made())

    async def action_quit(self) -> None:
        """Leave; ask first while a cycle is under way."""
        if isinstance(self.screen, Choice):
            return
        if self.view.lost or not self.view.active:
            self.exit("lost" if self.view.lost else "ended" if self.view.result else "left")
            return
        answers = [
            Answer("esc", "stay", "Stay here"),
            Answer("l", "leave", self._leaving),
            Answer("x", "stop", "Stop the cycle, then quit"),
        ]
        self.push_screen(Choice("A cycle is under way. Quit?", answers), self._leave)

    @property
    def _leaving(self) -> str:
        rig = self.view.snapshot.rig if self.view.snapshot else ""
        if rig and rig == self.own_rig:
            return "Leave; the virtual rig ends with this program"
        return "Leave; the cycle goes on without this screen"

    def _leave(self, answer: str | None) -> None:
        if answer == "leave":
            self.exit("left")
        elif answer == "stop":
            self.desk.post_stop_and_leave(self.client, self._clock())
            self.redraw()
