"""The start: every rig of this computer, and what can be done without one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from textual import work
from textual.app import ComposeResult
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from glossbath.client.paths import begun_rigs
from glossbath.errors import GlossbathError
from glossbath.record import default_folder, list_cycles
from glossbath.view.overview import Overview, RigRow
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .key_bar import KeyBar
from .keys import letter
from .theme import content
from .view_screen import Look, Panel, ViewScreen

LOOK_EVERY_S = 1.0
NO_RIG = "No rig answers on this computer: v starts the virtual one, which needs no hardware."
DOINGS = {
    "virtual": "v   Try it: the real firmware on a virtual rig, at 60× time",
    "board": "f   Connect: find a board that is plugged in",
    "cycles": "l   Cycles: past ones, their verdicts and reports",
    "recipes": "r   Recipes: look at them, change them",
    "desk": "k   Desk: sums and judgements of the trade",
}
BUILD = "To build one: hardware/build.md, glossbath install, glossbath commission."
RIG = "rig "

Starter = Callable[[], str] | None
"""Brings a rig's keeper up and gives the rig's name; None where there is none to bring up."""


def first_steps(cycles: Path, rigs: Sequence[str]) -> list[str]:
    """The ways on for who has no rig that answers, and what has been done so far."""
    made = len(list_cycles(cycles))
    ran = (
        f"{made} {'cycle is' if made == 1 else 'cycles are'} recorded" if made else "no cycle yet"
    )
    known = f"commissioned: {', '.join(rigs)}" if rigs else "no rig is commissioned"
    return [BUILD, f"So far: {ran}; {known}."]


class StartScreen(ViewScreen):
    """Lists rigs and doings; `open_rig` shows a rig."""

    HELP = (
        "Every rig of this computer, and what can be done without one. Enter opens the marked\n"
        "line; s stops the marked rig. Three ways on: try the virtual rig, which needs nothing;\n"
        "plan and build a rig with hardware/build.md, then install and commission it; or\n"
        "connect a board that has its firmware."
    )
    BINDINGS = [
        letter("v", "begin('virtual')", "Virtual rig", "starts one; it needs no hardware"),
        letter("f", "begin('board')", "Find a board", "starts the keeper of the board plugged in"),
    ]

    def __init__(
        self,
        look: Look,
        open_rig: Callable[[str], None],
        starters: Mapping[str, Starter],
    ) -> None:
        super().__init__(look)
        self._open_rig = open_rig
        self._starters = starters
        self._overview = Overview()
        self._rows: list[RigRow] = []
        self._starting = False
        self._begun = first_steps(default_folder(), begun_rigs())

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="start-head")
        yield OptionList(id="start-list", markup=False)
        yield Panel(id="answer")
        yield KeyBar()

    def on_mount(self) -> None:
        """Look at the rigs now and then every second."""
        self.look_around()
        self.set_interval(LOOK_EVERY_S, self.look_around)

    def on_unmount(self) -> None:
        """Look no more."""
        self._overview.close()

    def look_around(self) -> None:
        """See what every rig does now, and show it."""
        if self.is_current:
            self._rows = self._overview.look(self._look()[1])
            self.refresh_view()

    # --- what is seen ---------------------------------------------------------------------

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        answering = sum(row.answers for row in self._rows)
        words = "1 rig answers" if answering == 1 else f"{answering} rigs answer"
        gap = " " * max(1, self.size.width - len(" Glossbath") - len(words) - 1)
        self.put("header", [(" Glossbath", "strong"), (gap + words, "dim")])
        if answering:
            self.put("start-head", [("Rigs on this computer", "dim")])
        else:
            self.put("start-head", [(NO_RIG, "")], *([(line, "dim")] for line in self._begun))
        self._show_list(view)
        self.put_answer(self.said or answer)

    def _show_list(self, view: RigView) -> None:
        box = self.query_one("#start-list", OptionList)
        rigs = {RIG + row.rig: content([row.line(view.degrees)]) for row in self._rows}
        doings = {name: words for name, words in DOINGS.items() if self._can(name)}
        wanted = [*rigs, *doings]
        if [option.id for option in box.options if option.id] == wanted:
            for rig, prompt in rigs.items():
                box.replace_option_prompt(rig, prompt)
            return
        marked = box.highlighted_option.id if box.highlighted_option else None
        options: list[Option | None] = [Option(prompt, id=rig) for rig, prompt in rigs.items()]
        options += [None] if rigs else []
        options += [Option(words, id=name) for name, words in doings.items()]
        box.set_options(options)
        box.highlighted = wanted.index(marked) if marked in wanted else 0

    def _can(self, name: str) -> bool:
        return name not in ("virtual", "board") or self._starters.get(name) is not None

    # --- what a person does ---------------------------------------------------------------

    def stop_marked(self) -> None:
        """Send STOP to the marked rig; it is the one a person looks at."""
        marked = self.query_one("#start-list", OptionList).highlighted_option
        if marked is None or not str(marked.id).startswith(RIG):
            self.say("Mark the rig to stop, then press s again, or use its stop button.")
            return
        said = self._overview.stop(str(marked.id).removeprefix(RIG))
        self.say(said, "strong" if said.startswith("stop was sent") else "high")

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open a rig, or do what the line says."""
        chosen = str(event.option_id)
        if chosen.startswith(RIG):
            self._open_rig(chosen.removeprefix(RIG))
        elif chosen in ("virtual", "board"):
            self.action_begin(chosen)
        else:
            self.call_later(self.app.run_action, f"app.{chosen}")

    def action_begin(self, which: str) -> None:
        """Bring up a rig, then show it."""
        starter = self._starters.get(which)
        if starter is None or self._starting:
            return
        self._starting = True
        self.say("Starting the virtual rig …" if which == "virtual" else "Looking for a board …")
        self._bring_up(starter)

    @work(thread=True, exit_on_error=False)
    def _bring_up(self, starter: Callable[[], str]) -> None:
        # Two processes have to come up, which takes seconds.
        try:
            rig, refused = starter(), ""
        except GlossbathError as error:
            rig, refused = "", str(error)
        self.app.call_from_thread(self._brought_up, rig, refused)

    def _brought_up(self, rig: str, refused: str) -> None:
        self._starting = False
        self.say(refused, "high")
        if rig:
            self._open_rig(rig)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer only what this machine can bring up."""
        return self._can(str(parameters[0])) if action == "begin" else True
