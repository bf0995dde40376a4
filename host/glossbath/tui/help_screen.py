"""What the screen in front is for and what each of its keys does, in words."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen, Screen
from textual.widgets import Static

from glossbath.words import Line

from .theme import content
from .view_screen import ViewScreen


def help_lines(screen: Screen[object]) -> list[Line]:
    """The screen's own sentences, then a line for each key that does something now."""
    words = screen.HELP if isinstance(screen, ViewScreen) else ""
    lines: list[Line] = [[(line, "")] for line in words.splitlines()]
    shown: dict[str, Binding] = {}
    for _, binding, enabled, _ in screen.active_bindings.values():
        if enabled and binding.description and (binding.show or binding.action == "stop"):
            shown.setdefault(f"{binding.action} {binding.description}", binding)
    lines.append([])
    for binding in shown.values():
        key = screen.app.get_key_display(binding)
        why = f"  {binding.tooltip}" if binding.tooltip else ""
        lines.append([(f"{key:<6}", "strong"), (f"{binding.description:<13}", ""), (why, "dim")])
    return lines


class HelpScreen(ModalScreen[None]):
    """Lies over the screen it speaks of."""

    BINDINGS = [
        Binding("escape,enter,question_mark,f1", "dismiss", "Close", key_display="esc"),
    ]

    def __init__(self, screen: Screen[object]) -> None:
        super().__init__()
        self._lines = help_lines(screen)

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog -page"):
            with VerticalScroll():
                yield Static(content(self._lines), markup=False)
            yield Static("esc closes this page", classes="hint")
