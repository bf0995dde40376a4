"""The list of events and alarms, newest first."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from glossbath import facts, panels, sentences
from glossbath.panels import Line
from glossbath.tui.key_bar import KeyBar
from glossbath.tui.view_screen import Panel, ViewScreen
from glossbath.view import RigView


class EventsScreen(ViewScreen):
    """All alarms in full, then what happened."""

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="doing")
        with VerticalScroll(classes="page"):
            yield Panel(id="all-alarms")
            yield Panel(id="events")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        width = self.size.width
        self.query_one("#header", Panel).put([panels.header(view, width)])
        weight = "high" if view.lost or view.tripped else "strong"
        self.query_one("#doing", Panel).put([[(sentences.doing(view), weight)]])
        self.query_one("#all-alarms", Panel).put(panels.alarms(view, width - 4, 1000))
        lines: list[Line] = [[("Events, newest first", "strong")]]
        lines += [[(facts.event_line(event), "")] for event in reversed(view.events)]
        if not view.events:
            lines.append([("Nothing has happened since this screen opened.", "dim")])
        self.query_one("#events", Panel).put(lines)
