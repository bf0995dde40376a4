"""A phase that cannot be reached: what a person is told, and where the rig waits meanwhile.

A melt or soak is held where it is. A cooling goes back to the phase that melts before it and is
held there, since chocolate that is stirred for hours where it sets grows thick (common practice,
no source): once a person has had time to mend it, or when its own time is over. Nothing goes on by
itself.
"""

from __future__ import annotations

from collections.abc import Callable

from glossbath.checks.alarms import Annunciator
from glossbath.chocolate.phase import MELTING, PhasePlan, kept_before
from glossbath.client.messages import Reading
from glossbath.recipe import Recipe

CODE = "out-of-reach"
AGAIN = "in-reach"
MEND_S = 600.0
"""For somebody who has ice at hand; too short for chocolate to grow thick. Engineering choice."""
LAST_S = 60.0
"""Before a phase's time is over: late enough to try to the end, early enough for a busy line."""
_PRIORITY = "medium"
_GOES_ON = "The rig goes on trying, within its limits, until the phase's time is over."
_GOES_ON_DO = "Do one of these, or stop the cycle and melt the chocolate again."
_REFUSED_DO = "Put in ice if it lacks, or stop the cycle and melt the chocolate again."
_HELD_DO = (
    "Do one of these and resume the recipe once the temperature moves, or stop the cycle. Nothing "
    "goes on by itself."
)
_BACK_DO = (
    "Do one of these, say how much ice went in (key i, or glossbath ice), then resume the recipe: "
    "it begins that phase again, cools anew and asks for seed where it has any. Nothing goes "
    "on by itself."
)
_MEND_DO = (
    "Do one of these now, say how much ice went in (key i, or glossbath ice): the cooling goes "
    "on. Or do it later and resume the recipe then: it begins that phase again and cools anew. "
    "Nothing goes on by itself."
)
_LATE_HELPS = (
    "What would help: more ice, the pump running and its hoses free, a smaller batch, a cooler "
    "room or a longer time for this phase."
)
_REACHED = (
    "What could not be reached can be reached again.",
    "The rig still holds: its time waits, nothing goes on by itself.",
    "Resume the recipe when you are there.",
)


def _held(phase: PhasePlan) -> str:
    return (
        f"The rig holds the recipe in its phase {phase.name}: its time waits, it stirs and heats "
        f"on as well as it can, never above {phase.window.high_c:g} °C. All limits hold as ever."
    )


def _back(phase: PhasePlan) -> str:
    window = phase.window
    return (
        f"goes back to the phase {phase.name} and holds the recipe there, at {window.low_c:g} to "
        f"{window.high_c:g} °C, where the chocolate keeps. All limits hold as ever."
    )


class OutOfReach:
    """Follows one cycle. hold orders the board to hold the recipe where it is, back to go back to
    the phase of that number and hold there."""

    def __init__(
        self,
        recipe: Recipe,
        alarms: Annunciator,
        hold: Callable[[], None],
        back: Callable[[int], None],
    ) -> None:
        self._phases = recipe.phases
        self._alarms = alarms
        self._hold = hold
        self._back = back
        self._told_s: float | None = None
        """When it was told, while it stands."""
        self._went_back = False

    def look(self, reading: Reading, problem: str) -> None:
        """Take in a reading. problem: why its phase cannot be reached, empty while it can."""
        index, running = reading.phase_index, reading.state == "running"
        if not (running or reading.state == "held") or not 0 <= index < len(self._phases):
            return
        phase = self._phases[index]
        if self._went_back and (not running or phase.name == "cool"):
            return  # it waits there, or is on its way
        if self._went_back:
            self._alarms.over(CODE)
            self._went_back = False
        kept = kept_before(self._phases, index)
        due = running and (self._waited(reading, problem) or _late(reading, phase))
        if kept is not None and due:
            why = f"The cooling is given up for now. {problem}" if problem else _missed(phase)
            self._go_back(why, index, kept)
            return
        if problem and self._told_s is None:
            self._told_s = reading.time_s
            self._tell(problem, phase, kept, running)
        elif self._told_s is not None and not problem:
            self._settle(running)
        if running:
            self._alarms.over(AGAIN)

    def mended(self) -> None:
        """A person has done something about it: what is told is judged anew, and has its time
        again. A recipe that went back waits on."""
        self._told_s = None
        if not self._went_back:
            self._alarms.over(CODE)

    def refused(self, why: str) -> None:
        """The board did not go back; why, as a sentence."""
        happened = f"The rig was to go back to where the chocolate is melted, and did not. {why}"
        self._alarms.over(CODE)
        self._alarms.call(CODE, _PRIORITY, (happened, _GOES_ON, _REFUSED_DO))

    def end(self) -> None:
        """The cycle is over."""
        self._alarms.over(CODE)
        self._alarms.over(AGAIN)
        self._told_s, self._went_back = None, False

    def _settle(self, running: bool) -> None:
        self._told_s = None
        self._alarms.over(CODE)
        if not running:
            self._alarms.call(AGAIN, "low", _REACHED)

    def _waited(self, reading: Reading, problem: str) -> bool:
        """Whether a person has had time to mend it, and nothing has changed."""
        told_s = self._told_s
        return bool(problem) and told_s is not None and reading.time_s - told_s >= MEND_S

    def _go_back(self, why: str, index: int, to: PhasePlan) -> None:
        self._alarms.over(CODE)  # what stands may say that it goes on
        self._alarms.call(CODE, _PRIORITY, (why, f"The rig {_back(to)}", _BACK_DO))
        self._told_s, self._went_back = None, True
        self._back(index - 1)

    def _tell(self, problem: str, phase: PhasePlan, kept: PhasePlan | None, running: bool) -> None:
        self._alarms.over(AGAIN)
        waits = phase.name in MELTING
        did, do = _GOES_ON, _GOES_ON_DO
        if waits:
            did, do = _held(phase), _HELD_DO
        elif kept is not None:
            minutes = f"{MEND_S / 60:.0f} min"
            did = f"The rig cools on. Unless that changes within {minutes} it {_back(kept)}"
            do = _MEND_DO
        self._alarms.call(CODE, _PRIORITY, (problem, did, do))
        if waits and running:
            self._hold()


def _late(reading: Reading, phase: PhasePlan) -> bool:
    """Whether the phase's time is as good as over and its dwell cannot be finished in it."""
    left_s = phase.timeout_s - reading.phase_elapsed_s
    return left_s < LAST_S and phase.dwell_s - (reading.dwell_s or 0.0) > left_s


def _missed(phase: PhasePlan) -> str:
    return (
        f"The cooling has not come to {phase.window.high_c:g} °C and stayed there in its "
        f"{phase.timeout_s / 60:.0f} min. {_LATE_HELPS}"
    )
