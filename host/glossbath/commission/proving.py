"""What keeps people from harm, tried on purpose: cut-out, proof of the switches, stop, trips."""

from __future__ import annotations

from typing import Any

from glossbath.errors import StepFailed
from glossbath_board import limits
from glossbath_board.settings import PROBES, WATER_ONLY

from .heating import heated, order_start, told
from .visit import HAND_S, Passed, Visit
from .words import refused

CUTOUT_C = (84.0, 92.0)
"""hardware/wiring.toml: printed 90 °C, 6 below and 2 above, drift included."""
_WATCH_S = 10.0
_PROBE_S = (limits.STALE_MS + limits.FAULT_MS) / 1000 + 10.0
_LEASE_S = limits.LEASE_MS / 1000 + 5.0
_STOP_S = 3.0


def cutout(visit: Visit) -> Passed:
    """A person confirms that cut-out and RCD have been tried, and gives the reading."""
    visit.say(
        "The cut-out and the RCD are what protects when all else fails. Mains work is for a "
        "licensed electrician under your local codes; the tests are PT-1, PT-3 and PT-5 of "
        "hardware/care.md."
    )
    visit.expect(
        "rcd", "Has the RCD been tried, and did it trip at once?", "The RCD has to trip first."
    )
    celsius = visit.number(
        "cutout-opens", "At how many °C did the limit thermostat open (PT-3)?", 0.0, 300.0, "°C"
    )
    low, high = CUTOUT_C
    if not low <= celsius <= high:
        raise StepFailed(
            f"The thermostat opened at {celsius:g} °C; it has to open between {low:g} and "
            f"{high:g} °C. Have it set or replaced before anything heats."
        )
    visit.expect(
        "cutout-stays",
        "Did it stay open when it cooled, until its knob was pressed?",
        "A cut-out that closes by itself does not protect: have it replaced.",
    )
    visit.expect(
        "earth",
        "Has an electrician measured earth and insulation (PT-5)?",
        "Earth and insulation have to be measured before the cooker is plugged in.",
    )
    by = visit.line("electrician", "Who tried and measured it?")
    return Passed(
        f"The limit thermostat opens at {celsius:g} °C and stays open; tried by {by}.",
        {"opens_c": celsius, "by": by},
    )


def proof(visit: Visit) -> Passed:
    """The board allows heat on water by a hand's press only, once both switches are proven."""
    session = visit.session
    visit.say("Water in crock and bowl, lid on, cooker in the box's outlet, knob at HIGH.")
    visit.hold_arm()
    session.put("level", WATER_ONLY)
    visit.say("The rig may heat water now, and nothing but water.")
    answer = order_start(visit)
    if not answer.get("ok"):
        raise StepFailed(refused(answer))
    if session.until(lambda: session.state not in ("idle", "waiting"), _WATCH_S):
        session.order("stop")
        raise StepFailed("A button that was held down all along armed the rig: do not use it.")
    visit.release_arm()
    if session.until(lambda: session.state != "waiting", _WATCH_S):
        session.order("stop")
        raise StepFailed("The rig armed itself without a press: do not use it.")
    session.order("stop")
    with heated(visit):
        visit.expect(
            "outlet-lamp",
            "Does the outlet's lamp H1 light now and then?",
            "The board sees voltage at the outlet and H1 does not show it: look at H1.",
        )
    visit.need_inputs({"load": 0}, _STOP_S)
    return Passed("Relay and heat switch each open alone; heat begins with a press only.")


def stop(visit: Visit) -> Passed:
    """The stop button keeps heat from beginning, ends it, and nothing begins again by itself."""
    session = visit.session
    visit.act("stop-press", "Press the stop button and leave it pressed.")
    visit.need_inputs({"stop": 0})
    answer = order_start(visit)
    session.leasing = False
    if answer.get("ok"):
        session.order("stop")
        raise StepFailed("The rig would have started with the stop button pressed: do not use it.")
    if answer.get("at") != "stop-button":
        raise StepFailed(refused(answer))
    visit.act("stop-release", "Release the stop button.")
    visit.need_inputs({"stop": 1})
    seconds = _provoke(visit, "stop-button", "stop-press", "Press the stop button now.", 60.0)
    visit.need_inputs({"load": 0}, _STOP_S)
    visit.expect(
        "stands-still",
        "Do stirrer and pump stand still, and is H1 dark?",
        "Something went on with the stop button pressed: unplug and look at its circuit.",
    )
    if session.ask("clear").get("ok"):
        raise StepFailed("The trip could be cleared with the stop button pressed: do not use it.")
    visit.act("stop-release", "Release the stop button.")
    visit.need_inputs({"stop": 1})
    if session.until(lambda: session.state != "tripped", _WATCH_S):
        raise StepFailed("Something began again when the stop button was released: do not use it.")
    session.order("clear")
    return Passed(
        "Stop keeps heat from beginning and ends it; nothing begins again by itself.",
        {"stopped_after_s": round(seconds, 1)},
    )


def trips(visit: Visit) -> Passed:
    """Every probe pulled, and the computer silenced: each trips with its own code."""
    found: dict[str, Any] = {}
    for name in PROBES:
        seconds = _provoke(
            visit,
            f"probe-{name}",
            f"pull-{name}",
            f"Pull the {name} probe's plug now.",
            HAND_S + _PROBE_S,
        )
        visit.act(f"plug-{name}", f"Plug the {name} probe in again.")
        _clear(visit)
        found[f"probe-{name}"] = round(seconds, 1)
    visit.say("This program falls silent now, as a computer that crashed would.")
    found["lease"] = round(_provoke(visit, "lease", "", "", _LEASE_S), 1)
    _clear(visit)
    return Passed(
        "Each pulled probe and a silent computer trips with its own code.", {"after_s": found}
    )


def _provoke(visit: Visit, code: str, act: str, line: str, within_s: float) -> float:
    """Heat, do something that must trip, and see that it does; the seconds it took."""
    session = visit.session
    with heated(visit) as mark:
        session.wait(2.0)
        begun_ms = session.now_ms
        if act:
            visit.act(act, line)
        else:
            session.leasing = False
        session.until(lambda: bool(session.since(mark, "trip")), within_s)
        found = session.since(mark, "trip")
        if not found:
            raise StepFailed(f"Nothing tripped within {within_s:g} s, expected was {code}.")
        if found[0]["tr"] != code:
            raise StepFailed(f"Expected was {code}. {told(found[0])}")
    visit.need_inputs({"load": 0}, _STOP_S)
    return float(found[0]["at_ms"] - begun_ms) / 1000


def _clear(visit: Visit) -> None:
    """Clear the trip as soon as its cause has gone."""
    session = visit.session
    end_ms = session.now_ms + round(1000 * HAND_S)
    while not session.ask("clear").get("ok"):
        if session.now_ms >= end_ms:
            raise StepFailed("The trip's cause is still there: mend it, then go on.")
        session.wait(1.0)
