"""What all screens that show a RigView have in common."""

from __future__ import annotations

from collections.abc import Callable

from textual import events
from textual.screen import Screen
from textual.widgets import Static

from glossbath.view import panels
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .theme import content


def head(view: RigView, width: int, title: str) -> Line:
    """The rig in one row, or the screen's title where none is open."""
    if view.snapshot is None and not view.lost:
        return [(f" {title} · no rig is open", "strong")]
    return panels.header(view, width)


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
    """A screen that shows the rig; `look` gives it the view, the time to show it for, and the
    line that says what came of the last order."""

    def __init__(self, look: Callable[[], tuple[RigView, float, Line]]) -> None:
        super().__init__()
        self._look = look

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        """Bring every widget up to date."""
        raise NotImplementedError

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
