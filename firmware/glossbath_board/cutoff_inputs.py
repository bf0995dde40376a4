"""What each cut-off looks at: facts become one value to compare with a limit.

A value is an integer in the row's unit, or a word for what is wrong, which is bad whatever the
limit, or None for what is not known, which is bad as well, or UNDECIDED.
"""

from .facts import Facts
from .limits import BODY_APART_MC, BODY_WARM_MC, PROBE_FLOOR_MC
from .port import const
from .reading import HIGH, OK, Reading

UNDECIDED = "undecided"  # shows nothing now: the row neither counts on nor starts over

_COLDEST_MC = const(-273_150)
_SETTLE_MS = const(500)  # two passes: the sense line has followed the switch
_STIR_SETTLE_MS = const(1_000)
_MOST = const(100_000)  # mA or mV: what a converter at its end may stand for


def celsius(reading: Reading) -> int | str | None:
    """A temperature; a faulty reading is the business of the probe rows."""
    return reading.milli if reading.fault == OK else _COLDEST_MC


def age(reading: Reading, now_ms: int) -> int | str | None:
    """How old a good reading is, or what is wrong with it."""
    if reading.fault != OK:
        return reading.fault
    milli = reading.milli
    if milli is None:
        return None
    return reading.age_ms(now_ms) if milli >= PROBE_FLOOR_MC else "too cold"


def body_over_bath(f: Facts) -> int | str | None:
    """The body's temperature above the bath's, or above that which any bath may have beside a
    body that is too warm; over the limit until it has come back. Faulty readings are left to the
    probe rows."""
    if f.body.fault != OK or f.bath.fault != OK:
        return 0
    if f.body.milli is None or f.bath.milli is None:
        return None
    over_mc = f.body.milli - min(f.bath.milli, BODY_WARM_MC - BODY_APART_MC)
    return max(over_mc, BODY_APART_MC + 1) if f.plausibility.body_far else over_mc


def _converted(reading: Reading) -> int | str | None:
    if reading.fault == HIGH:
        return _MOST
    return reading.milli if reading.fault == OK else reading.fault


def turning_ma(f: Facts) -> int | str | None:
    """The stirrer's current while it should turn."""
    return _converted(f.stir_current) if f.stir_on_ms >= _STIR_SETTLE_MS else UNDECIDED


def resting_ma(f: Facts) -> int | str | None:
    """The stirrer's current while it should stand."""
    return _converted(f.stir_current) if f.stir_off_ms >= _STIR_SETTLE_MS else UNDECIDED


def live_outlet(f: Facts) -> int | str | None:
    """1 if the outlet may be live although no heat is on."""
    if f.heat_off_ms < _SETTLE_MS:
        return UNDECIDED
    return 0 if f.load_on is False else 1


def dead_outlet(f: Facts) -> int | str | None:
    """1 if the outlet may be dead although heat is on."""
    if f.heat_on_ms < _SETTLE_MS:
        return UNDECIDED
    return 0 if f.load_on is True else 1


def lease_age(f: Facts) -> int | str | None:
    """How old the lease is beyond what the phase may go on alone."""
    return None if f.lease_age_ms is None else f.lease_age_ms - f.alone_ms


def supply(f: Facts) -> int | str | None:
    """The 12 V supply."""
    return _converted(f.supply)


def pass_ms(f: Facts) -> int | str | None:
    """The time since the pass before; a clock that stands or runs back is no clock."""
    return f.dt_ms if f.dt_ms > 0 else None


def absent(truth: bool | None) -> int:
    """0 where something is known to be true, else 1."""
    return 0 if truth is True else 1


def fault(word: str | None) -> int | str | None:
    """0 where a check found nothing, else its word."""
    return 0 if word == "" else word
