"""The probes: which chip is which, and how far each is off."""

from __future__ import annotations

from collections import deque
from typing import Any

from glossbath.board.state import Raw
from glossbath.errors import LinkError, StepFailed
from glossbath_board.sensors.ds18b20 import suspect_clone
from glossbath_board.settings import NTC, PROBES

from . import calibration, judge
from .calibration import Correction, Point, Reference, Steady
from .calibration.boiling import station_hpa
from .calibration.correction import WORKING_C
from .visit import Passed, Visit

_WARM_S = 240.0
_SETTLE_S = 1_800.0
_SCAN_S = 10.0
_SILENT_S = 10.0
_KEPT_READINGS = 120  # one a second: more than the time they have to stand still for
_KITCHEN_MC = (5_000, 45_000)
_METHODS = ("ice", "thermometer", "gallium", "boiling", "done")


def naming(visit: Visit) -> Passed:
    """Each chip gets its name by being warmed in a hand."""
    session = visit.session
    for name in PROBES:
        session.put(f"probe.{name}", None)
    chips = scan(visit)
    elsewhere = _elsewhere(visit) if len(chips) == 2 else {}
    wired = [name for name in PROBES if name not in elsewhere]
    if len(chips) != len(wired):
        raise StepFailed(
            f"{len(chips)} probes answer on the wire and there should be {len(wired)}: look at "
            "plugs, cables and the pull-up."
        )
    bound: dict[str, str] = {}
    for name in wired:
        rom = _warmed(visit, name, bound)
        bound[name] = session.put(f"probe.{name}", rom)
        if suspect_clone(bytes.fromhex(rom)):
            visit.say(
                f"The {name} probe's number is not that of a genuine chip: a clone may be off by "
                "more than 0.5 °C, so compare it with care."
            )
    for name, kind in elsewhere.items():
        bound[name] = session.put(f"probe.{name}", kind)
    _all_read(_fresh(visit, 3))
    return Passed("Every probe was told from the others by warming it.", {"probes": bound})


def _elsewhere(visit: Visit) -> dict[str, str]:
    """The one probe that is not on the 1-Wire, and what the board is to be told of it."""
    if visit.confirm(
        "body-is-ntc", "Two chips answer. Is the body's probe the thermistor on its own two wires?"
    ):
        return {"body": NTC}
    if not visit.confirm(
        "chocolate-is-platinum", "Is the chocolate's probe a platinum one at a MAX31865?"
    ):
        return {}
    ohm = visit.choose(
        "platinum-ohm",
        "Which one is it? The chip's own resistor has 430 ohm for Pt100, 4300 ohm for Pt1000.",
        ("pt100", "pt1000"),
    )
    wires = visit.choose("platinum-wires", "How many wires has it?", ("2", "3", "4"))
    mains = visit.choose("mains-hz", "How many Hz has your mains?", ("50", "60"))
    return {"chocolate": f"{ohm}-{wires}-{mains}"}


def scan(visit: Visit) -> dict[str, Any]:
    """Every chip on the wire: ROM code to m°C or a fault word."""
    session = visit.session
    mark = len(session.events)
    count = session.order("scan")
    session.until(lambda: len(session.since(mark, "rom")) >= count, _SCAN_S)
    return {event["rom"]: event["mc"] for event in session.since(mark, "rom")}


def _warmed(visit: Visit, name: str, bound: dict[str, str]) -> str:
    before = scan(visit)
    visit.act(
        f"warm-{name}",
        f"Warm the {name} probe alone in your hand, or in warm water, until I say so.",
    )
    end_ms = visit.session.now_ms + round(1000 * _WARM_S)
    rom, why = "", ""
    while not rom and visit.session.now_ms < end_ms:
        rom, why = judge.warmed(before, scan(visit))
    visit.act(f"warm-{name}-back", f"Thank you: that is the {name} probe. Put it back.")
    if not rom:
        raise StepFailed(why)
    for other, taken in bound.items():
        if taken == rom:
            raise StepFailed(f"That is the probe that was named {other}: warm the {name} probe.")
    return rom


def _fresh(visit: Visit, count: int) -> Raw:
    """The newest reading once so many more have come; raises LinkError where they do not."""
    session = visit.session
    mark = session.readings
    came = session.until(lambda: session.readings >= mark + count, _SILENT_S)
    if not came or session.reading is None:
        raise LinkError("The board gives no more readings: check the cable, then go on.")
    return session.reading


def _all_read(reading: Raw) -> None:
    """Every named probe gives what a kitchen can have."""
    low, high = (value / 1000 for value in _KITCHEN_MC)
    for name in PROBES:
        celsius = getattr(reading, f"{name}_c")
        if celsius is None:
            fault = reading.faults.get(name, "")
            raise StepFailed(f"The {name} probe gives no value ({fault}): look at its plug.")
        if not low <= celsius <= high:
            raise StepFailed(
                f"The {name} probe says {celsius:.1f} °C, which no kitchen has: look at its "
                "resistor or its chip."
            )


def calibrate(visit: Visit) -> Passed:
    """Every probe compared with known temperatures, and corrected."""
    session = visit.session
    before = {name: Correction(*session.order("get", key=f"cal.{name}")) for name in PROBES}
    kinds = {name: _kind(visit, name) for name in PROBES}
    visit.say(
        "Tie all probes together. Ice is the simplest point; a second one, such as a good "
        "thermometer in water near 37 °C, makes 31 °C surer. Dry the chocolate probe afterwards."
    )
    points: dict[str, list[Point]] = {name: [] for name in PROBES}
    while (method := visit.choose("calibrate", "Which point now?", _METHODS)) != "done":
        reference = _reference(visit, method)
        visit.act(f"into-{method}", f"Put all probes into it, together: {reference.how}.")
        steady = _settle(visit, before)
        for name in PROBES:
            point = calibration.compare(reference, steady[name])
            points[name].append(point)
            warning = calibration.class_warning(
                name, kinds[name], point.reference_c, point.measured_c, point.u_k
            )
            visit.say(warning or f"The {name} probe is off by {point.error_c:+.2f} °C.")
        visit.act(f"out-of-{method}", "Take the probes out.")
    found = {name: calibration.best(points[name]) for name in PROBES}
    for name, correction in found.items():
        session.put(f"cal.{name}", [correction.offset_mc, correction.gain_ppm])
    return Passed(_said(found), {"calibration": {n: _kept(c) for n, c in found.items()}})


def _kind(visit: Visit, name: str) -> str:
    bound = str(visit.session.order("get", key=f"probe.{name}"))
    if bound.startswith("pt"):
        return "iec60751-b"  # the widest class that is sold for this
    return "ntc" if bound == NTC else "ds18b20"


def _reference(visit: Visit, method: str) -> Reference:
    if method == "ice":
        return calibration.ice()
    if method == "gallium":
        return calibration.gallium()
    if method == "boiling":
        return boiling_reference(visit)
    celsius = visit.number("thermometer", "What does the thermometer show?", -5.0, 100.0, "°C")
    u_k = visit.number(
        "thermometer-uncertainty", "How good is it, plus or minus?", 0.005, 1.0, "°C"
    )
    return calibration.comparison(celsius, u_k)


def boiling_reference(visit: Visit) -> Reference:
    """Where water boils at the rig, by what the person can tell of the air pressure."""
    source = visit.choose(
        "pressure-from", "What tells the air pressure?", ("barometer", "report", "nothing")
    )
    if source == "barometer":
        hpa = visit.number("barometer", "Pressure at the rig?", 500.0, 1100.0, "hPa")
        return calibration.boiling_point(pressure_hpa=hpa)
    altitude = visit.number("altitude", "Altitude of the kitchen?", -400.0, 5000.0, "m")
    if source == "nothing":
        return calibration.boiling_point(altitude_m=altitude)
    hpa = visit.number("report", "Pressure in the weather report?", 900.0, 1100.0, "hPa")
    return calibration.boiling_point(pressure_hpa=round(station_hpa(altitude, hpa), 1))


def _settle(visit: Visit, applied: dict[str, Correction]) -> dict[str, Steady]:
    """Raw readings of every probe once all stand still; applied is what the board corrects now."""
    session = visit.session
    series: dict[str, deque[tuple[float, float]]] = {
        name: deque(maxlen=_KEPT_READINGS) for name in PROBES
    }
    end_ms = session.now_ms + round(1000 * _SETTLE_S)
    found: dict[str, Steady] = {}
    visit.say("Waiting until the readings stand still; stir.")
    while session.now_ms < end_ms:
        reading = _fresh(visit, 1)
        for name in PROBES:
            celsius = getattr(reading, f"{name}_c")
            if celsius is not None:
                raw = applied[name].undo(celsius)
                series[name].append((reading.board_ms / 1000, raw))
        found = {name: calibration.steadiness(list(series[name])) for name in PROBES}
        if all(steady.settled for steady in found.values()):
            return found
    name, why = next((name, steady.why) for name, steady in found.items() if not steady.settled)
    raise StepFailed(f"The {name} probe did not come to rest within 30 minutes. {why}")


def _said(found: dict[str, Correction]) -> str:
    words = [
        f"{name} {-correction.undo(WORKING_C) + WORKING_C:+.2f} °C (then good to "
        f"±{correction.u_k(WORKING_C):.2f})"
        for name, correction in found.items()
    ]
    return f"Corrections at {WORKING_C:g} °C: {', '.join(words)}."


def _kept(correction: Correction) -> dict[str, Any]:
    return {
        "offset_mc": correction.offset_mc,
        "gain_ppm": correction.gain_ppm,
        "u_k": round(correction.u_k(WORKING_C), 3),
        "points": [
            {
                "reference_c": round(point.reference_c, 3),
                "measured_c": round(point.measured_c, 3),
                "u_k": round(point.u_k, 3),
                "how": point.how,
            }
            for point in correction.points
        ],
    }
