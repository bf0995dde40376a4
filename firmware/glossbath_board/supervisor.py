"""The cut-offs: readings and what is asked become what is allowed.

One table. Each row says when it watches, how long its condition may last, and the condition, which
is written so that a missing value counts as bad. The supervisor only takes away: it allows at most
what control asks. A row that trips is latched until a person clears it.
"""

from . import cycle, limits
from .control import Control
from .output import Allowed
from .reading import OK, Reading

_ALWAYS = cycle.STATES
_HEATING = cycle.HEATING
_LIVE = (cycle.TESTING,) + cycle.HEATING  # the relay may be closed
_UNPOWERED_MS = 1_500  # the outlet's sense line follows the switch within this time


class Facts:
    """What the cut-offs look at, renewed by the loop before every pass of the supervisor.

    Times in ms, temperatures in m°C; None means unknown and counts as bad.
    """

    def __init__(self, chocolate: Reading, bath: Reading, body: Reading) -> None:
        self.chocolate = chocolate
        self.bath = bath
        self.body = body
        self.now_ms = 0
        self.state = cycle.IDLE
        self.max_mc = limits.CHOCOLATE_CEILING_MC
        self.lease_age_ms: int | None = None
        self.phase_ms = 0
        self.phase_timeout_ms: int | None = None
        self.run_ms = 0
        self.overruns_in_row = 0
        self.heat_on: bool | None = None
        self.load_on: bool | None = None
        self.stop_ready: bool | None = None


def _hot(reading: Reading, ceiling_mc: int) -> bool:
    # A faulty reading is the business of the probe rows; they trip when it lasts.
    return reading.fault == OK and not (reading.milli is not None and reading.milli <= ceiling_mc)


def _dead(reading: Reading, now_ms: int) -> bool:
    return not (
        reading.fault == OK
        and reading.milli is not None
        and reading.milli >= limits.PROBE_FLOOR_MC
        and reading.age_ms(now_ms) <= limits.STALE_MS
    )


def _over(value: int | None, limit: int | None) -> bool:
    return not (value is not None and limit is not None and value <= limit)


class Cutoff:
    """One row: code, the states in which it watches, how long its condition may last, condition."""

    def __init__(self, code, states, allowed_ms, bad) -> None:  # type: ignore[no-untyped-def]
        self.code = code
        self.states = states
        self.allowed_ms = allowed_ms
        self.bad = bad


CUTOFFS = (
    Cutoff("chocolate-hot", _LIVE, 0, lambda f: _hot(f.chocolate, f.max_mc)),
    Cutoff("bath-hot", _LIVE, 0, lambda f: _hot(f.bath, limits.BATH_CEILING_MC)),
    Cutoff("body-hot", _LIVE, 0, lambda f: _hot(f.body, limits.BODY_CEILING_MC)),
    Cutoff("probe-chocolate", _LIVE, limits.FAULT_MS, lambda f: _dead(f.chocolate, f.now_ms)),
    Cutoff("probe-bath", _LIVE, limits.FAULT_MS, lambda f: _dead(f.bath, f.now_ms)),
    Cutoff("probe-body", _LIVE, limits.FAULT_MS, lambda f: _dead(f.body, f.now_ms)),
    Cutoff("lease", _LIVE, 0, lambda f: _over(f.lease_age_ms, limits.LEASE_MS)),
    Cutoff("phase-time", _HEATING, 0, lambda f: _over(f.phase_ms, f.phase_timeout_ms)),
    Cutoff("run-time", _HEATING, 0, lambda f: _over(f.run_ms, limits.RUN_CEILING_MS)),
    Cutoff("overrun", _HEATING, 0, lambda f: _over(f.overruns_in_row, limits.OVERRUNS_IN_ROW)),
    Cutoff("stop-button", _LIVE, 0, lambda f: f.stop_ready is not True),
    Cutoff(
        "unasked-heat",
        _ALWAYS,
        _UNPOWERED_MS,
        lambda f: f.heat_on is not True and f.load_on is not False,
    ),
    Cutoff(
        "no-power",
        _HEATING,
        _UNPOWERED_MS,
        lambda f: f.heat_on is not False and f.load_on is not True,
    ),
)


class Supervisor:
    """Has the last word. trip is the latched code, or '' when nothing is latched."""

    def __init__(self, facts: Facts, cutoffs: tuple = CUTOFFS) -> None:
        self.facts = facts
        self.trip = ""
        self.detail = ""
        self._cutoffs = cutoffs
        self._bad_ms = [0] * len(cutoffs)

    def latch(self, code: str, detail: str = "") -> None:
        """Latch a trip; the first one stays, since it is the cause."""
        if not self.trip:
            self.trip = code
            self.detail = detail

    def check(self, dt_ms: int) -> bool:
        """Look at every row; True if a trip has just been latched."""
        facts = self.facts
        before = self.trip
        for at, row in enumerate(self._cutoffs):
            if facts.state in row.states and row.bad(facts):
                self._bad_ms[at] += dt_ms
                if self._bad_ms[at] >= row.allowed_ms:
                    self.latch(row.code, self._explain(row.code))
            else:
                self._bad_ms[at] = 0
        return self.trip != before

    def allow(self, control: Control, allowed: Allowed) -> None:
        """Write into allowed at most what control asks."""
        facts = self.facts
        if self.trip or facts.state not in _HEATING:
            allowed.none()
            return
        allowed.relay = True
        allowed.stir_permille = control.stir_permille
        allowed.chill_permille = control.chill_permille
        believed = (
            facts.chocolate.fault == OK and facts.bath.fault == OK and facts.body.fault == OK
        )
        allowed.heat_permille = control.heat_permille if believed else 0

    def clear(self) -> bool:
        """Forget the trip if its cause is gone; says whether it did."""
        for at, row in enumerate(self._cutoffs):
            if row.code == self.trip and row.states is _ALWAYS and self._bad_ms[at]:
                return False
        self.trip = ""
        self.detail = ""
        return True

    def objection(self) -> str:
        """Why a cycle may not start now, as a cut-off's code, or ''."""
        facts = self.facts
        if self.trip:
            return self.trip
        for code, reading in (
            ("probe-chocolate", facts.chocolate),
            ("probe-bath", facts.bath),
            ("probe-body", facts.body),
        ):
            if _dead(reading, facts.now_ms):
                return code
        if facts.stop_ready is not True:
            return "stop-button"
        if facts.load_on is not False:
            return "unasked-heat"
        if _hot(facts.chocolate, facts.max_mc):
            return "chocolate-hot"
        return ""

    def _explain(self, code: str) -> str:
        facts = self.facts
        for name in ("chocolate", "bath", "body"):
            if code == "probe-" + name:
                reading = getattr(facts, name)
                return reading.fault or "stale"
            if code == name + "-hot":
                return str(getattr(facts, name).milli)
        return ""
