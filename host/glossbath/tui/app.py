"""The terminal app: one rig, its pages, and leaving it."""

from __future__ import annotations

import time
from collections.abc import Callable

from glossbath.advice import live
from glossbath.advice.forms import Forms
from glossbath.chocolate.diptest import DipTest
from glossbath.client import KeeperClient
from glossbath.tui.desk_screen import DeskScreen
from glossbath.tui.details_screen import DetailsScreen
from glossbath.tui.dialogs import Answer, Choice
from glossbath.tui.dip_screen import DipScreen
from glossbath.tui.events_screen import EventsScreen
from glossbath.tui.keys import KEYS
from glossbath.tui.rig_app import RigApp
from glossbath.tui.view_screen import ViewScreen


class GlossbathApp(RigApp):
    """Shows one rig; run() returns how the person left: "left", "stopped", "ended" or "lost"."""

    CSS_PATH = "glossbath.tcss"
    TITLE = "Glossbath"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS = [*KEYS]

    def __init__(
        self,
        connect: Callable[[], KeeperClient],
        *,
        fahrenheit: bool = False,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(connect, fahrenheit=fahrenheit, clock=clock)
        self.forms = Forms(lambda: live.values(self.view.snapshot, self.view.reading))
        self.dip_test = DipTest()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is something to go back to only over another screen."""
        if action == "back":
            return isinstance(self.screen, ViewScreen) and len(self.screen_stack) > 1
        return super().check_action(action, parameters)

    def action_details(self) -> None:
        """Show the page of details, or leave it."""
        self._turn_to(DetailsScreen)

    def action_events(self) -> None:
        """Show the events, or leave them."""
        self._turn_to(EventsScreen)

    def action_desk(self) -> None:
        """Show the desk."""
        if not isinstance(self.screen, DeskScreen):
            self.push_screen(DeskScreen(self._look, self.forms, self._post))

    def action_dip(self) -> None:
        """Show the dip test, under way or not."""
        if not isinstance(self.screen, DipScreen):
            self.push_screen(DipScreen(self._look, self.dip_test, self._post))

    def _turn_to(self, kind: type[DetailsScreen] | type[EventsScreen]) -> None:
        here = isinstance(self.screen, kind)
        if len(self.screen_stack) > 1:
            self.pop_screen()
        if not here:
            self.push_screen(kind(self._look))

    async def action_quit(self) -> None:
        """Leave; ask first while a cycle is under way."""
        if isinstance(self.screen, Choice):
            return
        if self.view.lost or not self.view.active:
            self.exit("lost" if self.view.lost else "ended" if self.view.result else "left")
            return
        answers = [
            Answer("esc", "stay", "Stay here"),
            Answer("l", "leave", "Leave; the cycle goes on without this screen"),
            Answer("x", "stop", "Stop the cycle, then quit"),
        ]
        self.push_screen(Choice("A cycle is under way. Quit?", answers), self._leave)

    def _leave(self, answer: str | None) -> None:
        if answer == "leave":
            self.exit("left")
        elif answer == "stop":
            self.desk.post_stop_and_leave(self.client, self._clock())
            self.redraw()
