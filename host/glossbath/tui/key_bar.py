"""The keys that do something now, in as many rows as they need; where the screen is low, those of
other pages give way, and the help has them.

A key can be touched or clicked as well as pressed.
"""

from __future__ import annotations

from textual import events
from textual.binding import Binding
from textual.content import Content
from textual.screen import Screen
from textual.style import Style
from textual.widgets import Static

from .keys import PAGES

GAP = "  "
LEAST_ROWS_A_ROW = 6
"""A row of keys for so many rows of the screen, at most."""
STOP = "stop"


def rows(keys: list[tuple[str, str, str]], width: int) -> list[list[tuple[str, str, str]]]:
    """Keys (as shown, words, as pressed) in rows of at most width cells, in their order."""
    filled: list[list[tuple[str, str, str]]] = [[]]
    used = 0
    for key in keys:
        cells = len(key[0]) + 1 + len(key[1])
        if filled[-1] and used + len(GAP) + cells > width:
            filled.append([])
            used = 0
        used += cells + (len(GAP) if filled[-1] else 0)
        filled[-1].append(key)
    return filled


def _spare(keys: list[tuple[str, str, str, str]]) -> tuple[str, str, str, str] | None:
    """The key that is missed least, of those that lead to another page."""
    return next((key for name in PAGES for key in keys if key[3] == name), None)


class KeyBar(Static):
    """Shows the screen's keys at its foot; STOP comes first and looks like nothing else."""

    def __init__(self) -> None:
        super().__init__("", markup=False)
        self._shown: list[list[tuple[str, str, str]]] = []

    def on_mount(self) -> None:
        """Follow what the screen offers."""
        self.screen.bindings_updated_signal.subscribe(self, self._changed)

    def on_unmount(self) -> None:
        """Nothing more to follow."""
        self.screen.bindings_updated_signal.unsubscribe(self)

    def on_resize(self, _event: events.Resize) -> None:
        """Rows are made to measure."""
        self._draw()

    def _changed(self, screen: Screen[object]) -> None:
        if self.is_attached and screen is self.screen:
            self.call_after_refresh(self._draw)

    def _draw(self) -> None:
        if not self.is_attached or self.size.width < 1:
            return
        keys = self._keys()
        wanted = rows([key[:3] for key in keys], self.size.width)
        most = max(2, self.screen.size.height // LEAST_ROWS_A_ROW)
        while len(wanted) > most and (spare := _spare(keys)):
            keys.remove(spare)
            wanted = rows([key[:3] for key in keys], self.size.width)
        if wanted != self._shown:
            self._shown = wanted
            # Set, since an automatic height may be that of the keys before.
            self.styles.height = len(wanted)
            self.update(Content("\n").join(self._row(row) for row in wanted))

    def _keys(self) -> list[tuple[str, str, str, str]]:
        offered: dict[str, Binding] = {}
        for _, binding, enabled, _ in self.screen.active_bindings.values():
            # STOP has a second key, which is shown only where text takes the first.
            stop = binding.action == STOP and STOP not in offered
            if enabled and (binding.show or stop):
                offered.setdefault(binding.action, binding)
        first = sorted(offered.values(), key=lambda binding: binding.action != STOP)
        return [(self.app.get_key_display(it), it.description, it.key, it.action) for it in first]

    def _row(self, row: list[tuple[str, str, str]]) -> Content:
        parts: list[Content | str] = []
        for shown, words, key in row:
            click = Style.from_meta({"@click": f"app.simulate_key('{key}')"})
            stop = words == "STOP"
            entry = Content.assemble(
                (shown, "bold reverse" if stop else "bold $bright"),
                (f" {words}", "bold reverse" if stop else ""),
            )
            parts += [entry.stylize(click), GAP]
        return Content.assemble(*parts[:-1])
