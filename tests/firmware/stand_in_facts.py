"""Facts of a sound rig, a supervisor that looks at them, and ways to spoil one of them.

`Watched` makes passes without a loop; a spoiler such as `fresh("bath", 60_001)` is called with it.
"""

from stand_in_rig import PASS_MS

from glossbath_board.cycle import RUNNING
from glossbath_board.facts import Facts
from glossbath_board.reading import Reading
from glossbath_board.supervisor import CUTOFFS, Supervisor

CLEAN = ""


class Asked:
    """What control asks for."""

    heat_permille = 700
    chill_permille = 0
    stir_permille = 500


class Watched:
    """Facts of a sound rig that heats, and a supervisor that looks at them."""

    def __init__(self, lowered=None):
        names = ("chocolate", "bath", "body", "stir_current", "supply")
        self.facts = facts = Facts(*[Reading(name) for name in names])
        self.fresh = {
            "chocolate": 40_000,
            "bath": 45_000,
            "body": 50_000,
            "stir_current": 200,
            "supply": 12_000,
        }
        self.ages_ms = {}
        facts.state = RUNNING
        facts.lease_age_ms = 1_000
        facts.heat_on_ms = facts.stir_on_ms = 10_000
        facts.load_on = facts.stop_ready = facts.lid_on = facts.water_ok = True
        facts.settings_fault = facts.files_fault = CLEAN
        self.supervisor = Supervisor(facts, lowered)
        self.step()
        facts.dt_ms = PASS_MS

    def step(self):
        """One pass; the row that has had its time, or None."""
        self.facts.now_ms += PASS_MS
        for name, value in self.fresh.items():
            reading = getattr(self.facts, name)
            if isinstance(value, str):
                reading.bad(value)
            else:
                reading.good(value, self.facts.now_ms - self.ages_ms.get(name, 0))
        return self.supervisor.check(PASS_MS)

    def found_after_ms(self, within_ms):
        """Code of what is found, and how long the condition had then lasted."""
        for at in range(within_ms // PASS_MS + 2):
            row = self.step()
            if row is not None:
                return row.code, at * PASS_MS
        return "", None


def fresh(name, value):
    def put(watched):
        watched.fresh[name] = value

    return put


def fact(name, value):
    def put(watched):
        setattr(watched.facts, name, value)

    return put


def seen(name, value):
    def put(watched):
        setattr(watched.facts.plausibility, name, value)

    return put


def track(probe, name, value):
    def put(watched):
        setattr(getattr(watched.facts.plausibility, probe), name, value)

    return put


def stale(name, age_ms):
    """A reading that is as old as that in every pass."""

    def put(watched):
        watched.ages_ms[name] = age_ms

    return put


def both(first, second):
    def put(watched):
        first(watched)
        second(watched)

    return put


def heat_off(load_on):
    def put(watched):
        watched.facts.heat_on_ms = 0
        watched.facts.heat_off_ms = 10_000
        watched.facts.load_on = load_on

    return put


def stir_off(milliampere):
    def put(watched):
        watched.facts.stir_on_ms = 0
        watched.facts.stir_off_ms = 10_000
        watched.fresh["stir_current"] = milliampere

    return put


# code, on the limit, past it, ms allowed


def row(code):
    return next(r for r in CUTOFFS if r.code == code)


def alone(code):
    """A supervisor that has this row and no other, and the facts of a sound rig."""
    watched = Watched()
    watched.supervisor = Supervisor(watched.facts, None, (row(code),))
    return watched
