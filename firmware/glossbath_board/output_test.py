"""One output alone for a moment, so that a person can see, hear and feel that it is the right one.

It ends by itself, at the latest after MOST_MS; what heats or moves runs only while a hand holds
the arm button. Relay and switch are never on together, so nothing becomes hot: the charge pump
keeps the relay closed for LET_GO_MS after its last pulse, and for so long nothing else begins.
"""

from .errors import OrderError
from .output import Outputs
from .port import const
from .program import whole
from .reading import OK, Reading

if False:  # for the type checker alone
    from .kinds import Switches

FROZEN = "frozen"  # the relay's line held high: the charge pump has to drop the relay
NAMES = ("heat", "relay", FROZEN, "chill", "stir", "lamp")
BY_HAND = ("heat", "relay", FROZEN, "stir")
LEAST_MS = const(250)
MOST_MS = const(3_000)
LET_GO_MS = const(3_000)


class OutputTest:
    """name is the output that is on, '' for none. What was seen: load_seen, most_ma."""

    def __init__(self, outputs: Outputs, switches: "Switches", current: Reading) -> None:
        self._outputs = outputs
        self._switches = switches
        self._current = current
        self.name = ""
        self._left_ms = 0
        self._stopped = False
        self._quiet_ms = LET_GO_MS

    @property
    def quiet(self) -> bool:
        """Whether nothing is on, and the relay has had its time to open."""
        return not self.name and self._quiet_ms >= LET_GO_MS

    def begin(self, name: object, ms: object) -> list:
        """Switch an output on for ms; what was taken. Raises OrderError."""
        if not isinstance(name, str) or name not in NAMES:
            raise OrderError("unknown output", "o")
        ms = whole(ms, "ms", LEAST_MS, MOST_MS)
        if not self.quiet:
            raise OrderError("busy", "try")
        why = self._objection(name)
        if why:
            raise OrderError(why, name)
        self.name = name
        self._left_ms = ms
        self._on_ms = 0
        self._stopped = False
        self.load_seen = False
        self.most_ma = 0
        return [name, ms]

    def _objection(self, name: str) -> str:
        """Why an output may not be on now, or ''."""
        if self._switches.load.on is not False:
            return "load"
        if name != "lamp" and self._switches.stop.on is not True:
            return "stop"
        if name in BY_HAND and self._switches.arm.on is not True:
            return "arm"
        return ""

    def step(self, at_rest: bool, dt_ms: int) -> dict | None:
        """Drive for the coming pass, dt_ms after the one before; the event when it has ended."""
        if not self.name:
            # A cycle's pulses count as well as a trial's.
            closed = self._outputs.relay_on
            self._quiet_ms = 0 if closed else min(self._quiet_ms + dt_ms, LET_GO_MS)
            return None
        if self._on_ms:
            self._look()
        why = self._reason(at_rest)
        if why:
            return self._end(why)
        self._outputs.drive_alone(self.name)
        self._left_ms -= dt_ms
        self._on_ms += dt_ms
        return None

    def stop(self) -> None:
        """End with the coming pass."""
        self._stopped = True

    def _reason(self, at_rest: bool) -> str:
        """Why a trial ends now, or ''."""
        if not at_rest:
            return "state"
        if self._stopped:
            return "order"
        return "time" if self._left_ms <= 0 else self._objection(self.name)

    def _look(self) -> None:
        if self._switches.load.on is not False:
            self.load_seen = True
        if self._current.fault == OK and self._current.milli is not None:
            self.most_ma = max(self.most_ma, self._current.milli)

    def _end(self, why: str) -> dict:
        name = self.name
        self._outputs.off()
        self.name = ""
        self._quiet_ms = 0 if name in ("relay", FROZEN) else LET_GO_MS
        return {
            "k": "e",
            "e": "tried",
            "o": name,
            "ms": self._on_ms,
            "why": why,
            "ld": 1 if self.load_seen else 0,
            "ma": self.most_ma,
        }
