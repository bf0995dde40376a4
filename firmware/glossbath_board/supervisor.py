"""Has the last word: facts and what is asked become what is allowed.

It looks at every row of the table in every pass. It only takes away: it allows at most what
control asks, and what it does not understand it does not allow. A trip is latched until a person
clears it.
"""

from . import cycle
from .control import Control
from .cutoff_inputs import UNDECIDED
from .cutoffs import CUTOFFS, GONE, HEAT, SLOW, START, STIR, UNDER, Cutoff
from .facts import Facts
from .output import Allowed
from .port import const

_HEATING = cycle.HEATING
_GOOD = const(-1)  # in place of how long a row has been bad
_LONGEST_MS = const(1 << 29)  # keeps a count within the board's 30-bit integers
_DETAIL_CHARS = const(40)


class Supervisor:
    """trip is the latched code, or '' when nothing is latched; withheld what interlocks withhold.

    lowered are limits from the rig's settings by code; a limit is never looser than its row's.
    """

    def __init__(
        self, facts: Facts, lowered: dict | None = None, cutoffs: tuple = CUTOFFS
    ) -> None:
        self.facts = facts
        self.trip = ""
        self.detail = ""
        self.withheld = 0
        self._cutoffs = cutoffs
        self._bad_ms = [_GOOD] * len(cutoffs)
        self._state = ""
        self._watching: list = []
        self.use(lowered or {})

    def use(self, lowered: dict) -> None:
        """Hold the rows to other limits from the rig's settings, from now on."""
        self._ceilings = [_tighter(row, lowered.get(row.code)) for row in self._cutoffs]
        self._limits = list(self._ceilings)

    def lower(self, code: str, limit: int) -> None:
        """Hold a row to limit from now on, where that is tighter than firmware and settings."""
        for at, row in enumerate(self._cutoffs):
            if row.code == code:
                ceiling = self._ceilings[at]
                self._limits[at] = max(ceiling, limit) if row.does & UNDER else min(ceiling, limit)

    def limit(self, code: str) -> int | None:
        """The limit that holds now."""
        for at, row in enumerate(self._cutoffs):
            if row.code == code:
                return self._limits[at]
        return None

    def check(self, dt_ms: int) -> "Cutoff | None":
        """Look at every row, dt_ms after the last time; the first row that has had its time, or
        None. The caller switches off before it latches or reports."""
        facts = self.facts
        if facts.state != self._state:
            self._watch(facts.state)
        limits = self._limits
        bad_ms = self._bad_ms
        cutoffs = self._cutoffs
        withheld = 0
        found = None
        for at in self._watching:
            row = cutoffs[at]
            value = row.value(facts)
            # As Cutoff.bad, without the call: this loop is a third of the work of a pass.
            if isinstance(value, int):
                if value >= limits[at] if row.does & UNDER else value <= limits[at]:
                    if bad_ms[at] != _GOOD:
                        bad_ms[at] = _forgiven(row, bad_ms[at], dt_ms)
                    continue
            elif value is UNDECIDED:
                continue
            withheld |= row.does
            so_far = bad_ms[at]
            bad_ms[at] = so_far = 0 if so_far < 0 else min(so_far + dt_ms, _LONGEST_MS)
            if found is None and so_far >= row.allowed_ms:
                found = row
        self.withheld = withheld
        return found

    def _watch(self, state: str) -> None:
        """Look at the rows of another state from now on; those of the last one start over."""
        self._state = state
        self._watching = []
        for at, row in enumerate(self._cutoffs):
            if state in row.states:
                self._watching.append(at)
            else:
                self._bad_ms[at] = _GOOD

    def latch(self, code: str, detail: str = "") -> None:
        """Latch a trip; the first one stays, since it is the cause."""
        if not self.trip:
            self.trip = code
            self.detail = detail[:_DETAIL_CHARS]

    def allow(self, control: Control, allowed: Allowed) -> None:
        """Write into allowed at most what control asks."""
        if self.trip or self.facts.state not in _HEATING:
            allowed.none()
            return
        allowed.relay = True
        allowed.heat_permille = 0 if self.withheld & HEAT else _share(control.heat_permille)
        allowed.chill_permille = _share(control.chill_permille)
        allowed.stir_permille = 0 if self.withheld & STIR else _share(control.stir_permille)

    def stands(self) -> bool:
        """Whether the cause of the trip is seen still, so that nobody may clear it."""
        for at, row in enumerate(self._cutoffs):
            if row.code == self.trip and row.does & GONE and self._is_bad(at, row):
                return True
        return False

    def clear(self) -> None:
        """Forget the trip: a person has said so."""
        if not self.stands():
            self.trip = ""
            self.detail = ""

    def objection(self) -> tuple:
        """Why no cycle may start now, as a code and its detail, or two times ''."""
        if self.trip:
            return self.trip, self.detail
        for at, row in enumerate(self._cutoffs):
            if row.does & START and self._is_bad(at, row):
                return row.code, row.detail(self.facts)[:_DETAIL_CHARS]
        return "", ""

    def _is_bad(self, at: int, row: Cutoff) -> bool:
        value = row.value(self.facts) if row.value else None
        return value is not UNDECIDED and row.bad(value, self._limits[at])


def _forgiven(row: Cutoff, bad_ms: int, dt_ms: int) -> int:
    """What is left of a row's count after a good look of dt_ms."""
    return max(bad_ms - dt_ms // 4, 0) if row.does & SLOW else _GOOD


def _share(permille: object) -> int:
    """An asked share if it is one, else nothing."""
    if isinstance(permille, int) and 0 <= permille <= 1000:
        return permille
    return 0


def _tighter(row: Cutoff, limit: int | None) -> int:
    if limit is None:
        return row.limit
    return max(row.limit, limit) if row.does & UNDER else min(row.limit, limit)
