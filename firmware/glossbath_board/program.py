"""A recipe as the board sees it: phases in integers, and the refusal of a bad one.

The host uses the same file to compute the checksum with which it starts what it has loaded.
"""

from . import limits
from .errors import OrderError
from .frame import checksum

NAMES = ("melt", "soak", "cool", "reheat", "hold")
MELTING = NAMES[:2]  # where no crystal lasts

# field, lowest, highest; a value that is not an integer in between is refused
PHASE_RANGES = (
    ("target_mc", 15_000, limits.CHOCOLATE_CEILING_MC),
    ("low_mc", 15_000, limits.CHOCOLATE_CEILING_MC),
    ("high_mc", 15_000, limits.CHOCOLATE_CEILING_MC),
    ("dwell_ms", 0, limits.PHASE_CEILING_MS),
    ("timeout_ms", 1_000, limits.PHASE_CEILING_MS),
    ("stir_permille", 0, 1_000),
    ("bath_low_mc", 5_000, limits.BATH_CEILING_MC),
    ("bath_high_mc", 5_000, limits.BATH_CEILING_MC),
)


def whole(value: object, field: str, low: int, high: int) -> int:
    """value if it is an integer from low to high; raises OrderError otherwise."""
    if not isinstance(value, int) or isinstance(value, bool) or not (low <= value <= high):
        raise OrderError("range", field, low, high)
    return value


class Phase:
    """One phase: bring the chocolate into [low, high], keep it there for the dwell.

    name is one of NAMES, values the eight integers in the order of PHASE_RANGES.
    Raises OrderError where a value is out of its range or the values contradict each other.
    """

    def __init__(self, name: object, values: object) -> None:
        if not isinstance(name, str) or name not in NAMES:
            raise OrderError("unknown phase", "name")
        if not isinstance(values, (list, tuple)) or len(values) != len(PHASE_RANGES):
            raise OrderError("count", "values", len(PHASE_RANGES), len(PHASE_RANGES))
        checked = []
        for (field, low, high), value in zip(PHASE_RANGES, values):
            checked.append(whole(value, field, low, high))
        self.name = name
        self.target_mc, self.low_mc, self.high_mc = checked[0], checked[1], checked[2]
        self.dwell_ms, self.timeout_ms, self.stir_permille = checked[3], checked[4], checked[5]
        self.bath_low_mc, self.bath_high_mc = checked[6], checked[7]
        self.values = tuple(checked)
        if not self.low_mc <= self.target_mc <= self.high_mc:
            raise OrderError("range", "target_mc", self.low_mc, self.high_mc)
        if not self.bath_low_mc < self.bath_high_mc:
            raise OrderError("range", "bath_low_mc", None, self.bath_high_mc)
        if not self.dwell_ms < self.timeout_ms:
            raise OrderError("range", "dwell_ms", 0, self.timeout_ms)


class Program:
    """The phases of one cycle, loaded one at a time in any order and as often as wanted.

    max_mc is the chocolate temperature above which the run trips, batch_g the chocolate's mass.
    water is 1 where there is water in the bowl in place of chocolate, else 0.
    """

    def __init__(self, count: object, max_mc: object, batch_g: object, water: object = 0) -> None:
        self.count = whole(count, "count", 1, limits.MAX_PHASES)
        self.max_mc = whole(max_mc, "max_mc", 20_000, limits.CHOCOLATE_CEILING_MC)
        self.batch_g = whole(batch_g, "batch_g", 50, limits.BATCH_CEILING_G)
        self.water = whole(water, "w", 0, 1)
        self.phases: list = [None] * self.count

    def put(self, at: object, phase: Phase) -> None:
        """Set phase number at (0 first); raises OrderError if it does not belong there."""
        place = whole(at, "at", 0, self.count - 1)
        if not phase.high_mc <= self.max_mc:
            raise OrderError("range", "high_mc", None, self.max_mc)
        self.phases[place] = phase

    def check(self) -> None:
        """Raises OrderError unless every phase is there, in the order of NAMES."""
        before = -1
        for at, phase in enumerate(self.phases):
            if phase is None:
                raise OrderError("missing phase", "at", at, at)
            place = NAMES.index(phase.name)
            if not place > before:
                raise OrderError("order", "name", at, at)
            before = place

    def checksum(self) -> str:
        """Eight hex digits that differ between any two programs that differ in any number."""
        parts = [str(self.count), str(self.max_mc), str(self.batch_g)]
        if self.water:
            parts.append("water")
        for phase in self.phases:
            parts.append(phase.name)
            parts.extend(str(value) for value in phase.values)
        return checksum(",".join(parts).encode()).decode()
