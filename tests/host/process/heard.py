"""Alarms as somebody beside the rig hears them."""

from __future__ import annotations


class Heard:
    """The alarms that stand, each with its priority and its three sentences."""

    def __init__(self, *before: str) -> None:
        """before are codes that stand already."""
        self.standing: dict[str, tuple[str, tuple[str, str, str]]] = {}
        for code in before:
            self.standing[code] = "low", ("before", "", "")

    def call(self, code: str, priority: str, words: tuple[str, str, str]) -> None:
        self.standing[code] = priority, words

    def over(self, code: str) -> None:
        self.standing.pop(code, None)

    def happened(self, code: str) -> str:
        """The first sentence of an alarm that stands."""
        return self.standing[code][1][0]
