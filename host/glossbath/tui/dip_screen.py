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
from .view_screen import Look, Panel, ViewScreen

USUAL_ROOM_C = 20.0
WORKED = ("reheat", "hold")
"""Phases in which the chocolate may be in temper."""
TOO_EARLY = (
    "The recipe is in {phase}: temper cannot be judged before the chocolate is worked. "
    "A test now says something of this moment only."
)


class DipScreen(ViewScreen):
    """Follows one dip test. `test` goes on when the screen is left, and is there again after."""

    CSS_PATH = "desk.tcss"
    HELP = (
        "A dip test by the clock: dip a clean, dry knife, press Enter, lay it down.\n"
        "Press Enter again when it has set; then say whether it shows streaks and is dull.\n"
        "The judgement goes into the record of the cycle."
    )
    BINDINGS = [
        Binding("enter", "answer('')", "Dipped, set", key_display="enter", priority=True),
        Binding("y,Y", "answer('y')", "Yes", key_display="y"),
        Binding("n,N", "answer('n')", "No", key_display="n"),
        Binding("f5", "again", "Another test", key_display="F5"),
    ]

    def __init__(self, look: Look, test: DipTest, post: Callable[..., None]) -> None:
        super().__init__(look)
        self._test = test
        self._post = post

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="desk-title")
        yield Panel(id="chocolate-label")
        yield BigNumber(id="dip-clock")
        yield Panel(id="dip-prompt")
        with VerticalScroll(id="dip-lines", can_focus=False):
            yield Panel(id="dip-said")
        yield Panel(id="answer")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        test, screen_s = self._test, now_s
        now_s = _rig_s(view, screen_s)
        if test.stage == "ready":
            self._measure_room(view)
        self.put_header(view)
        self.put("desk-title", self._title(view))
        self.put("chocolate-label", [("SINCE THE DIP, MIN:S", "dim")])
        self.put_answer(answer)
        if test.due(now_s):
            self.app.bell()
        minutes, seconds = divmod(int(test.elapsed_s(now_s)), 60)
        self.query_one("#dip-clock", BigNumber).value = f"{minutes}:{seconds:02d}"
        prompt: list[Line] = [[(test.prompt, "strong")]] if test.prompt else []
        phase = view.reading.phase if view.reading else ""
        if phase and phase not in WORKED and test.stage != "done":
            prompt.append([(f" {TOO_EARLY.format(phase=phase)} ", "medium")])
        self.put("dip-prompt", *prompt)
        self.put("dip-said", *([(f"{clock(at_s)}  ", "dim"), (it, "")] for at_s, it in test.said))

    def _title(self, view: RigView) -> Line:
        reading, text = view.reading, view.degrees.text
        title: Line = [("Dip test", "strong")]
        if reading is not None:
            title += [("   chocolate ", "dim"), (text(reading.chocolate_c), "strong")]
            title.append((f" {panels.position_word(view)}", "dim"))
        measured = reading is not None and reading.room_c is not None
        room = text(self._test.room_c) + ("" if measured else ", not measured")
        return [*title, ("   room ", "dim"), (room, "strong")]

    def _measure_room(self, view: RigView) -> None:
        room_c = view.reading.room_c if view.reading else None
        self._test.begin(USUAL_ROOM_C if room_c is None else round(room_c, 1))

    def action_answer(self, word: str) -> None:
        """Dipped, set, yes or no, whichever is asked for; a judgement goes into the record."""
        view, screen_s, _ = self._look()
        was = self._test.stage
        if was == "ready":
            self._measure_room(view)
        self._test.take(word, _rig_s(view, screen_s))
        if self._test.stage == "done" and was != "done":
            reading = view.reading
            phase = {"phase": reading.phase} if reading and reading.phase else {}
            self._post("test", **self._test.values(), **phase)
        self.refresh_view()

    def action_again(self) -> None:
        """Wait for another dip."""
        self._measure_room(self._look()[0])
        self.refresh_view()


def _rig_s(view: RigView, now_s: float) -> float:
    """The screen's clock at the pace of the rig's: chocolate on a virtual rig sets as much sooner
    as everything else there."""
    pace = view.snapshot.speed if view.snapshot else 1.0
    return now_s * (pace if pace > 0 else 1.0)
