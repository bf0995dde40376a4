"""For a terminal across the room: the chocolate's temperature filling it, and what to do."""

from __future__ import annotations

from textual.app import ComposeResult

from glossbath.view import panels
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .big_number import BigNumber
from .key_bar import KeyBar
from .view_screen import Panel, ViewScreen

MOST_ALARM_LINES = 6


class KitchenScreen(ViewScreen):
    """The digits take every cell that the words do not need."""

    HELP = "The chocolate as large as the terminal allows, for a tablet across the room."

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="chocolate-label")
        yield BigNumber(id="kitchen-number")
        yield Panel(id="kitchen-window")
        yield Panel(id="doing")
        yield Panel(id="next")
        yield Panel(id="alarms")
        yield Panel(id="answer")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.put_header(view)
        self.put("chocolate-label", panels.chocolate_label(view, now_s))
        number = self.query_one("#kitchen-number", BigNumber)
        number.value = view.degrees.number(view.reading.chocolate_c if view.reading else None)
        number.set_class(view.silent_s(now_s) is not None, "-old")
        self.put("kitchen-window", *panels.side(view, self.size.width - 2, small=False)[:3])
        self.put_doing(view)
        self.put("next", panels.next_line(view))
        self.put("alarms", *panels.alarms(view, self.size.width - 2, MOST_ALARM_LINES))
        self.put_answer(answer)
