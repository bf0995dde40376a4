"""The desk alone, without a rig: `glossbath desk` on a terminal."""

from __future__ import annotations

from textual.binding import Binding

from glossbath.forms.form import Forms
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .desk_screen import DeskScreen
from .theme import GreyApp


class DeskApp(GreyApp[None]):
    """Shows the desk until the person leaves."""

    CSS_PATH = ["glossbath.tcss", "desk.tcss"]  # a screen at the bottom brings none of its own
    TITLE = "Glossbath desk"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS = [
        Binding("escape", "back", "Back", key_display="esc"),
        Binding("q,Q", "quit", "Quit", key_display="q"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._view = RigView()

    def get_default_screen(self) -> DeskScreen:
        """The list lies under all forms."""
        return DeskScreen(self._look, Forms(), None)

    def _look(self) -> tuple[RigView, float, Line]:
        return self._view, 0.0, []

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is something to go back to only over the list."""
        return len(self.screen_stack) > 1 if action == "back" else True
