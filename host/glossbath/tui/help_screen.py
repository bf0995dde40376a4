"""What the screen in front is for and what each of its keys does, in words."""

from __future__ import annotations

import textwrap

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen, Screen
from textual.widgets import Static

from glossbath.words import Line

from .theme import content
from .view_screen import ViewScreen

WIDEST, FRAME = 92, 9
"""Cells of the page, and of those that its border, padding and scroll bar take."""
KEY_CELLS, NAME_CELLS = 6, 15


def help_lines(screen: Screen[object], width: int) -> list[Line]:
    """The screen's own sentences, then each key that does something now, in lines of at most
    `width` cells."""
    words = " ".join(screen.HELP.split()) if isinstance(screen, ViewScreen) else ""
    lines: list[Line] = [[(line, "")] for line in textwrap.wrap(words, width)]
    lines.append([])
    shown: dict[str, Binding] = {}
    for _, binding, enabled, _ in screen.active_bindings.values():
        if enabled and binding.description and (binding.show or binding.action == "stop"):
            shown.setdefault(f"{binding.action} {binding.description}", binding)
    for binding in shown.values():
        key = screen.app.get_key_display(binding)
        why = textwrap.wrap(binding.tooltip, max(20, width - KEY_CELLS - NAME_CELLS)) or [""]
        first: Line = [(f"{key:<{KEY_CELLS}}", "strong")]
        first.append((f"{binding.description:<{NAME_CELLS}}", ""))
        lines.append([*first, (why[0], "dim")])
        lines += [[(" " * (KEY_CELLS + NAME_CELLS) + line, "dim")] for line in why[1:]]
    return lines


class HelpScreen(ModalScreen[None]):
    """Lies over the screen it speaks of."""

    BINDINGS = [
        Binding("escape,enter,question_mark,f1", "dismiss", "Close", key_display="esc"),
    ]

    def __init__(self, screen: Screen[object]) -> None:
        super().__init__()
        self._of = screen

    def compose(self) -> ComposeResult:
        width = min(WIDEST, self.app.size.width * 95 // 100) - FRAME
        lines = help_lines(self._of, width)
        with Vertical(classes="dialog -page"):
            with VerticalScroll():
                yield Static(content(lines), markup=False)
            yield Static("esc closes this page", classes="hint")
