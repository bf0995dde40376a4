"""Alarms to be acknowledged one by one, then what happened, newest first."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from glossbath.view import facts, panels
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .key_bar import KeyBar
from .theme import content
from .view_screen import Look, Panel, ViewScreen

HEAD = "Alarms: Enter acknowledges the marked one"


class EventsScreen(ViewScreen):
    """All alarms in full as a list, then the events; `acknowledge` is called with a code."""

    AUTO_FOCUS = "#alarm-list"

    def __init__(
        self,
        look: Look,
        acknowledge: Callable[[str], None],
    ) -> None:
        super().__init__(look)
        self._acknowledge = acknowledge
        self._listed: list[tuple[str, list[Line]]] = []

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="doing")
        yield Panel(id="alarm-head")
        yield OptionList(id="alarm-list", markup=False)
        with VerticalScroll(classes="page"):
            yield Panel(id="events")
        yield Panel(id="answer")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        width = self.size.width
        self.put_head(view)
        self._show_alarms(view, width)
        lines: list[Line] = [[("Events, newest first", "strong")]]
        for event in reversed(view.events):
            lines += [[(line, "")] for line in facts.event_lines(event, width - 4)]
        if not view.events:
            lines.append([("Nothing has happened since this screen opened.", "dim")])
        self.put("events", *lines)
        self.put_answer(answer)

    def _show_alarms(self, view: RigView, width: int) -> None:
        known = [] if view.lost else view.alarms
        none = panels.alarms(view, width, 1)[0] if not known else [(HEAD, "strong")]
        self.put("alarm-head", none)
        listed = [(alarm.code, panels.alarm_lines(alarm, width - 4)) for alarm in known]
        if listed == self._listed:
            return
        box = self.query_one("#alarm-list", OptionList)
        marked = box.highlighted_option.id if box.highlighted_option else None
        self._listed = listed
        box.set_options(Option(content(lines), id=code) for code, lines in listed)
        box.display = bool(listed)
        codes = [code for code, _ in listed]
        box.highlighted = codes.index(marked) if marked in codes else (0 if codes else None)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A person has seen this alarm."""
        self._acknowledge(str(event.option_id))
