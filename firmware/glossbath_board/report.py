"""What the board tells the host: hello, a reading each second, what happened, how it fares.

Temperatures in m°C, shares in permille, times in ms. A faulty reading is sent as its fault word
in place of the number.
"""

from .control import Control
from .cycle import Cycle
from .output import Allowed
from .port import const
from .supervisor import Facts, Supervisor

READING_MS = const(1_000)
HEALTH_MS = const(10_000)


def reading(facts: Facts, cycle: Cycle, control: Control, allowed: Allowed, trip: str) -> dict:
    """The regular report of temperatures, outputs and progress."""
    message = {
        "k": "r",
        "t": facts.now_ms,
        "c": _word(facts.chocolate),
        "w": _word(facts.bath),
        "y": _word(facts.body),
        "u": control.bath_target_mc,
        "h": allowed.heat_permille,
        "x": allowed.chill_permille,
        "s": allowed.stir_permille,
        "st": cycle.state,
        "ph": cycle.index,
        "pt": cycle.phase_ms,
        "d": cycle.dwell_ms,
    }
    if trip:
        message["tr"] = trip
    return message


def _word(reading):  # type: ignore[no-untyped-def]
    return reading.milli if reading.milli is not None else reading.fault


def state(cycle: Cycle) -> dict:
    """The cycle has another state or phase."""
    return {"k": "e", "e": "state", "st": cycle.state, "ph": cycle.index, "cy": cycle.number}


def trip(supervisor: Supervisor, now_ms: int) -> dict:
    """A cut-off has tripped."""
    return {"k": "e", "e": "trip", "tr": supervisor.trip, "d": supervisor.detail, "t": now_ms}


def health(passes: int, overruns: int, dropped: int, bad: int, free: int, longest_ms: int) -> dict:
    """Counters since boot, free heap in bytes, longest pass in ms."""
    return {
        "k": "s",
        "p": passes,
        "o": overruns,
        "dr": dropped,
        "bf": bad,
        "hf": free,
        "lp": longest_ms,
    }
