"""The palette: every action that makes sense now, to be found by its words."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from functools import partial
from typing import Any

from textual.app import App
from textual.binding import Binding
from textual.command import CommandPalette, DiscoveryHit, Hit, Hits, Provider
from textual.dom import DOMNode
from textual.screen import Screen

STOP = "stop"
OWN = ("command_palette",)
"""What opens the palette does not stand in it."""


def open_palette(app: App[Any]) -> None:
    """Put the palette over the screen, unless it is there."""
    if not CommandPalette.is_open(app):
        ask = "What is to be done? Type a part of it"
        app.push_screen(CommandPalette(placeholder=ask, id="--command-palette"))


class Actions(Provider):
    """Offers the keys of the app and of the screen in front, each with its key beside it."""

    def _offered(self) -> list[tuple[str, str, str, DOMNode]]:
        """Words, key with what it does, action, and whose action it is."""
        found: dict[str, tuple[Binding, DOMNode]] = {}
        for node, binding, enabled, _ in self.screen.active_bindings.values():
            shown = binding.show or binding.action == STOP
            mine = isinstance(node, App | Screen) and shown and binding.action not in OWN
            if mine and enabled:
                found.setdefault(binding.action, (binding, node))
        return [
            (binding.description, self._help(binding), action, node)
            for action, (binding, node) in found.items()
        ]

    def _help(self, binding: Binding) -> str:
        key = f"key {self.app.get_key_display(binding)}"
        return f"{key}: {binding.tooltip}" if binding.tooltip else key

    async def discover(self) -> Hits:
        """All of them, before anything is typed."""
        for words, key, action, node in self._offered():
            yield DiscoveryHit(words, self._run(action, node), help=key)

    async def search(self, query: str) -> Hits:
        """Those whose words fit."""
        matcher = self.matcher(query)
        for words, key, action, node in self._offered():
            score = matcher.match(words)
            if score > 0:
                shown = matcher.highlight(words)
                yield Hit(score, shown, self._run(action, node), help=key)

    def _run(self, action: str, node: DOMNode) -> Callable[[], Coroutine[Any, Any, bool]]:
        return partial(self.app.run_action, action, node)
