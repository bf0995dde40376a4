"""Every key of a rig's screens in the order in which they are shown."""

from __future__ import annotations

from textual.binding import Binding


def letter(key: str, action: str, words: str, *, priority: bool = False) -> Binding:
    """A letter key, which works just as well while caps lock is on."""
    return Binding(f"{key},{key.upper()}", action, words, priority=priority, key_display=key)


KEYS = [
    letter("s", "stop", "STOP", priority=True),
    # A text field takes every letter, so STOP has a second key that no text needs.
    Binding("f9", "stop", "STOP", priority=True, show=False, key_display="F9"),
    letter("h", "hold", "Hold"),
    letter("h", "resume", "Resume"),
    letter("f", "done", "Done"),
    letter("p", "next_phase", "Next phase"),
    letter("a", "acknowledge", "Ack"),
    letter("c", "clear", "Clear trip"),
    letter("v", "steer", "Steer"),
    letter("r", "reconnect", "Reconnect"),
    letter("n", "note", "Note"),
    letter("t", "dip", "Dip test"),
    letter("r", "recipes", "Recipes"),
    letter("l", "cycles", "Cycles"),
    letter("o", "rigs", "Rigs"),
    letter("k", "desk", "Desk"),
    letter("d", "details", "Details"),
    letter("e", "events", "Events"),
    letter("u", "unit", "°C/°F"),
    Binding("escape", "back", "Back", key_display="esc"),
    Binding("ctrl+p", "command_palette", "All actions", priority=True, key_display="^p"),
    letter("q", "quit", "Quit"),
]
