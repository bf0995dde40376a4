"""Grey when all is well: the colours of the screens, and which weight of text gets which style.

After the idea of ISA-101: colour is kept for what needs a person, and every coloured sign has a
word beside it, so a screen without colour says the same.
"""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content
from textual.theme import Theme

from glossbath.words import Line

GREY = Theme(
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
)

WEIGHTS = {
    "dim": "#8a8f94",
    "strong": "bold #f0f1f2",
    "virtual": "bold reverse",
    "high": "bold #ffffff on #b3261e",
    "medium": "bold #1b1d1f on #e0b030",
    "low": "bold #1b1d1f on #7fb2d9",
}


def content(lines: Iterable[Line]) -> Content:
    """Lines of (text, weight) as something a widget shows; no text is taken as markup."""
    rows = [Content.assemble(*((t, WEIGHTS.get(w, "")) for t, w in line)) for line in lines]
    return Content("\n").join(rows)
