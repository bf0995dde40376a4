"""The states of the rig and the phases of a cycle.

Everything that changes the state is in this file, and every change is a row of TRANSITIONS. An
event that has no row raises and changes nothing. Words after IEC 61512.
"""

from .errors import OrderError
from .program import MELTING, Program

if False:  # for the type checker alone
    from typing import Any

IDLE = "idle"
WAITING = "waiting"  # for a hand on the arm button
TESTING = "testing"  # relay and switch prove that each can open
RUNNING = "running"
HELD = "held"  # temperature and stirring go on, the recipe does not
COMPLETE = "complete"
STOPPED = "stopped"
TRIPPED = "tripped"

STATES = (IDLE, WAITING, TESTING, RUNNING, HELD, COMPLETE, STOPPED, TRIPPED)
READY = (IDLE, COMPLETE, STOPPED)  # a cycle may be started
RESTING = (IDLE, COMPLETE, STOPPED, TRIPPED)  # nothing heats or moves
HEATING = (RUNNING, HELD)  # the only states in which heat may be asked for

TRANSITIONS = {
    (IDLE, "start"): WAITING,
    (COMPLETE, "start"): WAITING,
    (STOPPED, "start"): WAITING,
    (WAITING, "armed"): TESTING,
    (TESTING, "proven"): RUNNING,
    (RUNNING, "hold"): HELD,
    (HELD, "resume"): RUNNING,
    (RUNNING, "back"): HELD,
    (HELD, "back"): HELD,
    (RUNNING, "complete"): COMPLETE,
    (WAITING, "stop"): STOPPED,
    (TESTING, "stop"): STOPPED,
    (RUNNING, "stop"): STOPPED,
    (HELD, "stop"): STOPPED,
    (TRIPPED, "clear"): IDLE,
}
for _state in STATES:
    TRANSITIONS[(_state, "trip")] = TRIPPED
for _state in RESTING:
    TRANSITIONS[(_state, "stop")] = _state  # stop is always welcome


class Cycle:
    """One run of a Program: which state, which phase, for how long.

    Times are milliseconds. dwell_ms counts while the chocolate is inside the phase's window; in
    the hold phase it goes on counting once the window has been reached, since a hold that left
    its window for a moment is not begun again.
    """

    def __init__(self) -> None:
        self.state = IDLE
        self.program: Program | None = None
        self.number = ""  # the host's name for this cycle
        self._rest()

    def _rest(self) -> None:
        self.index = 0
        self.phase_ms = 0
        self.dwell_ms = 0
        self.run_ms = 0
        self.alone_ms = 0  # for how long a hold may go on without a host

    def handle(self, event: str) -> bool:
        """Follow the table; True if the state changed. Raises OrderError where there is no row."""
        after = TRANSITIONS.get((self.state, event))
        if after is None:
            raise OrderError("state", self.state)
        changed = after != self.state
        self.state = after
        if event == "start":
            self._rest()
        return changed

    @property
    def phase(self) -> "Any":
        """The phase that sets the target now, or None."""
        if self.program is None or self.state not in HEATING:
            return None
        return self.program.phases[self.index]

    @property
    def in_hold(self) -> bool:
        """Whether the hold phase sets the target now."""
        phase = self.phase
        return phase is not None and phase.name == "hold"

    @property
    def next_phase(self) -> "Any":
        """The phase that follows by itself when this one's dwell is over, or None."""
        if self.state != RUNNING or self.program is None or self.index + 1 >= self.program.count:
            return None
        return self.program.phases[self.index + 1]

    def step(self, dt_ms: int, chocolate_mc: int | None) -> str:
        """Let dt_ms pass; returns 'phase' or 'complete' when that ended something, else ''."""
        if self.state not in HEATING:
            return ""
        self.run_ms += dt_ms
        if self.state == HELD:
            return ""
        phase = self.phase
        self.phase_ms += dt_ms
        inside = chocolate_mc is not None and phase.low_mc <= chocolate_mc <= phase.high_mc
        counting = inside or (phase.name == "hold" and self.dwell_ms > 0)
        if counting:
            self.dwell_ms += dt_ms
        elif chocolate_mc is not None:
            self.dwell_ms = 0
        if not (counting and self.dwell_ms >= phase.dwell_ms):
            return ""
        return self.advance()

    def advance(self) -> str:
        """Go to the next phase, or complete after the last; returns which."""
        if self.state != RUNNING or self.program is None:
            raise OrderError("state", self.state)
        if self.index + 1 >= self.program.count:
            self.handle("complete")
            return "complete"
        self._begin(self.index + 1)
        return "phase"

    def back(self) -> None:
        """Go back to the phase before and hold there. Only to one that melts: chocolate keeps
        there for hours, which it does not where it sets."""
        if self.program is None or self.phase is None or self.index == 0:
            raise OrderError("state", self.state)
        before = self.program.phases[self.index - 1].name
        if before not in MELTING:
            raise OrderError("order", before)
        self.handle("back")
        self._begin(self.index - 1)

    def _begin(self, index: int) -> None:
        self.index = index
        self.phase_ms = 0
        self.dwell_ms = 0
