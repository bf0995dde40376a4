"""What the board reports to the host: hello, a reading each second, what happened, how it fares.

Temperatures in m°C, shares in permille, times in ms, currents in mA. A faulty reading is sent as
its fault word in place of the number.
"""

from .control import Control
from .cycle import Cycle
from .facts import Facts
from .output import Allowed
from .port import const
from .reading import Reading
from .supervisor import Supervisor

if False:  # for the type checker alone
    from .kinds import Counts, LineCounts

READING_MS = const(1_000)
HEALTH_MS = const(10_000)
_STIR_SETTLED_MS = const(1_000)  # a motor that starts shows nothing of the chocolate


def reading(facts: Facts, cycle: Cycle, control: Control, allowed: Allowed, trip: str) -> dict:
    """The regular report of temperatures, outputs and progress.

    It fits into one frame whatever the values are: beside a fault word there is no room for the
    bath's target and the stirrer's current, beside a trip none for the times of a phase that is
    over.
    """
    message = {
        "k": "r",
        "t": facts.now_ms,
        "c": _word(facts.chocolate),
        "w": _word(facts.bath),
        "y": _word(facts.body),
        "h": allowed.heat_permille,
        "x": allowed.chill_permille,
        "s": allowed.stir_permille,
        "st": cycle.state,
        "ph": cycle.index,
        "pt": 0 if trip else cycle.phase_ms,
        "d": 0 if trip else cycle.dwell_ms,
    }
    if trip:
        message["tr"] = trip
    if not (facts.chocolate.fault or facts.bath.fault or facts.body.fault):
        if control.bath_target_mc is not None:
            message["u"] = control.bath_target_mc
        if facts.stir_on_ms >= _STIR_SETTLED_MS and facts.stir_current.milli is not None:
            message["m"] = facts.stir_current.milli
    return message


def _word(reading: Reading) -> int | str:
    return reading.milli if reading.milli is not None else reading.fault


def state(cycle: Cycle) -> dict:
    """The cycle has another state or phase."""
    return {"k": "e", "e": "state", "st": cycle.state, "ph": cycle.index, "cy": cycle.number}


def ended(code: str) -> dict:
    """A cut-off has ended the cycle without a trip."""
    return {"k": "e", "e": "ended", "tr": code}


def trip(supervisor: Supervisor, now_ms: int) -> dict:
    """A cut-off has tripped."""
    return {"k": "e", "e": "trip", "tr": supervisor.trip, "d": supervisor.detail, "t": now_ms}


def also(code: str) -> dict:
    """Another cut-off has had its time while a trip is latched."""
    return {"k": "e", "e": "also", "tr": code}


def alone(absent_ms: int) -> dict:
    """A host is back; the hold went on alone for absent_ms since the last lease."""
    return {"k": "e", "e": "alone", "ms": absent_ms}


def flash() -> dict:
    """Flash refused the record of a trip: it is latched, but would not outlive a reset."""
    return {"k": "e", "e": "flash"}


def health(loop: "Counts", link: "LineCounts", room: Reading, humidity: Reading) -> dict:
    """Counters since boot, free heap in bytes, longest pass in ms, and the room where it is known:
    m°C and m%RH."""
    message = {
        "k": "s",
        "p": loop.passes,
        "o": loop.overruns,
        "dr": link.dropped,
        "bf": link.bad,
        "hf": loop.free_bytes,
        "lp": loop.longest_ms,
    }
    if room.milli is not None and humidity.milli is not None:
        message["rt"] = room.milli
        message["rh"] = humidity.milli
    return message
