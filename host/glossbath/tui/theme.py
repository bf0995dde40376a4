"""Grey when all is well: the colours of the screens, and which weight of text gets which style.

After the idea of ISA-101: colour is kept for what needs a person, and every coloured sign has a
word beside it, so a screen without colour says the same.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from textual.app import App
from textual.content import Content
from textual.theme import Theme

from glossbath.words import Line

_DARK = {"dim": "#8a8f94", "faint": "#6f757a", "bright": "#f0f1f2", "field": "#3a3e43"}
_LIGHT = {"dim": "#565b60", "faint": "#7d8287", "bright": "#101214", "field": "#ffffff"}

DARK = Theme(
    name="glossbath",
    dark=True,
    primary="#8a8f94",
    secondary="#6f757a",
    accent="#b9bdc1",
    foreground="#c9cccf",
    background="#1b1d1f",
    surface="#222528",
    panel="#2a2d31",
    success="#8a8f94",
    warning="#e0b030",
    error="#e5484d",
    variables=_DARK,
)
LIGHT = Theme(
    name="glossbath-light",
    dark=False,
    primary="#565b60",
    secondary="#7d8287",
    accent="#3a3e43",
    foreground="#24272a",
    background="#f1f1ef",
    surface="#e6e7e6",
    panel="#d9dbdb",
    success="#565b60",
    warning="#e0b030",
    error="#b3261e",
    variables=_LIGHT,
)

WEIGHTS = {
    "dim": "$dim",
    "faint": "$faint",
    "strong": "bold $bright",
    "virtual": "bold reverse",
    "high": "bold #ffffff on #b3261e",
    "medium": "bold #1b1d1f on #e0b030",
    "low": "bold #1b1d1f on #7fb2d9",
}

Result = TypeVar("Result")


def content(lines: Iterable[Line]) -> Content:
    """Lines of (text, weight) as something a widget shows; no text is taken as markup."""
    rows = [Content.assemble(*((t, WEIGHTS.get(w, "")) for t, w in line)) for line in lines]
    return Content("\n").join(rows)


class GreyApp(App[Result]):
    """An app in these colours, dark or light."""

    def __init__(self, light: bool = False) -> None:
        super().__init__()
        for theme in (DARK, LIGHT):
            self.register_theme(theme)
        self.theme = (LIGHT if light else DARK).name

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """The style sheets are read before a theme is set."""
        return _DARK
