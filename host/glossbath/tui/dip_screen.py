"""The dip test with its clock: when to look, what to answer, and the judgement into the record."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll

from glossbath.chocolate.diptest import DipTest
from glossbath.view import panels
from glossbath.view.rig_view import RigView
from glossbath.words import Line, clock

from .big_number import BigNumber
from .key_bar import KeyBar
from .view_screen import Panel, ViewScreen

USUAL_ROOM_C = 20.0


class DipScreen(ViewScreen):
    """Follows one dip test. `test` goes on when the screen is left, and is there again after."""

    CSS_PATH = "desk.tcss"
    BINDINGS = [
        Binding("enter", "answer('')", "Dipped, set", key_display="enter", priority=True),
        Binding("y,Y", "answer('y')", "Yes", key_display="y"),
        Binding("n,N", "answer('n')", "No", key_display="n"),
        Binding("f5", "again", "Another test", key_display="F5"),
    ]

    def __init__(
        self,
        look: Callable[[], tuple[RigView, float, Line]],
        test: DipTest,
        post: Callable[..., None],
    ) -> None:
        super().__init__(look)
        self._test = test
        self._post = post

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="desk-title")
        yield BigNumber(id="dip-clock")
        yield Panel(id="dip-prompt")
        with VerticalScroll(id="dip-lines", can_focus=False):
            yield Panel(id="dip-said")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        test, now_s = self._test, _rig_s(view, now_s)
        self.query_one("#header", Panel).put([panels.header(view, self.size.width)])
        title: Line = [("Dip test", "strong"), (f"   room {test.room_c:g} °C", "dim")]
        self.query_one("#desk-title", Panel).put([title, answer] if answer else [title])
        if test.due(now_s):
            self.app.bell()
        minutes, seconds = divmod(int(test.elapsed_s(now_s)), 60)
        self.query_one("#dip-clock", BigNumber).value = f"{minutes}.{seconds:02d}"
        self.query_one("#dip-prompt", Panel).put([[(test.prompt, "strong")]])
        self.query_one("#dip-said", Panel).put(
            [[(f"{clock(at_s)}  ", "dim"), (line, "")] for at_s, line in test.said]
        )

    def action_answer(self, word: str) -> None:
        """Dipped, set, yes or no, whichever is asked for; a judgement goes into the record."""
        view, screen_s, _ = self._look()
        now_s = _rig_s(view, screen_s)
        if self._test.stage == "ready":
            room_c = view.reading.room_c if view.reading else None
            self._test.begin(USUAL_ROOM_C if room_c is None else room_c)
        was = self._test.stage
        self._test.take(word, now_s)
        if self._test.stage == "done" and was != "done":
            self._post("test", **self._test.values())
        self.refresh_view()

    def action_again(self) -> None:
        """Wait for another dip."""
        self._test.begin(USUAL_ROOM_C)
        self.refresh_view()


def _rig_s(view: RigView, now_s: float) -> float:
    """The screen's clock at the pace of the rig's: chocolate on a virtual rig sets as much sooner
    as everything else there."""
    pace = view.snapshot.speed if view.snapshot else 1.0
    return now_s * (pace if pace > 0 else 1.0)
