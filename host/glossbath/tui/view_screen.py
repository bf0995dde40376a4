"""What all screens that show a RigView have in common."""

from __future__ import annotations

from collections.abc import Callable

from textual import events
from textual.screen import Screen
from textual.widgets import Static

from glossbath.view import panels, sentences
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .theme import content

Look = Callable[[], tuple[RigView, float, Line]]
"""Gives the view, the time to show it for, and the line that says what came of the last order."""


class Panel(Static):
    """Shows lines of (text, weight) pieces and redraws only what has changed."""

    def __init__(self, id: str | None = None, classes: str | None = None) -> None:
        super().__init__("", id=id, classes=classes, markup=False)
        self._lines: list[Line] = []

    def put(self, lines: list[Line]) -> None:
        """Show these lines."""
        if lines == self._lines:
            return
        self._lines = lines
        self.update(content(lines), layout=self.styles.is_auto_height)


class ViewScreen(Screen[None]):
    """A screen that shows the rig as `look` gives it."""

    NAME = "Glossbath"
    """What stands at the top while no rig is open."""
    HELP = ""
    """What the screen is for, in lines."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.said: Line = []
        """What came of the last thing a person asked of this screen."""

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        """Bring every widget up to date."""
        raise NotImplementedError

    def put(self, name: str, *lines: Line) -> None:
        """Show lines in the panel of that name."""
        self.query_one(f"#{name}", Panel).put(list(lines))

    def put_header(self, view: RigView) -> None:
        """The rig in one row, or the screen's name where none is open."""
        if view.snapshot is None and not view.lost:
            self.put("header", [(f" {self.NAME} · {view.opening or 'no rig is open'}", "strong")])
        else:
            self.put("header", panels.header(view, self.size.width))

    def put_head(self, view: RigView) -> None:
        """The rig, and what it does."""
        self.put_header(view)
        self.put_doing(view)

    def put_doing(self, view: RigView) -> None:
        """What the rig does, in one sentence."""
        weight = "high" if view.lost or view.tripped else "strong"
        self.put("doing", [(sentences.doing(view), weight)])

    def put_answer(self, line: Line) -> None:
        """What came of an order; its row is there only when there is something to say."""
        self.put("answer", line)
        self.query_one("#answer").display = any(text for text, _ in line)

    def say(self, words: str, weight: str = "strong") -> None:
        """Show what came of the last thing asked for; no words take it away."""
        self.said = [(words, weight)] if words else []
        self.refresh_view()

    def refresh_view(self) -> None:
        """Show what there is to see now."""
        # A screen that is being left or an app that is closing has lost its widgets already.
        if self.app.is_running and self.is_mounted and self in self.app.screen_stack:
            self.show(*self._look())

    def on_mount(self) -> None:
        """Sizes are known only after the first layout."""
        self.call_after_refresh(self.refresh_view)

    def on_resize(self, _event: events.Resize) -> None:
        """Lines are made to measure."""
        self.call_after_refresh(self.refresh_view)

    def on_screen_resume(self) -> None:
        """Another screen was in front."""
        self.call_after_refresh(self.refresh_view)
