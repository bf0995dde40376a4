"""What the rig is doing and what comes next, each as one sentence for a person."""

from __future__ import annotations

from glossbath.client.messages import Alarm, Reading, Reply
from glossbath.words import between, between_short, clock, duration, one_line

from .rig_view import RigView

PLEASE = "Please: "
"""How a sentence begins that asks a person for something."""

PHASE_VERBS = {
    "melt": "Melting the chocolate, up to",
    "soak": "Keeping the melted chocolate at",
    "cool": "Cooling the chocolate to",
    "reheat": "Warming the chocolate to",
    "hold": "Holding the chocolate at",
}

STATE_SENTENCES = {
    "idle": "The rig is idle: heat, chill and stirrer are off.",
    "waiting": "The rig waits for the arm button at the rig.",
    "testing": "The board is testing its switches and probes before it heats.",
    "running": "The board has begun the recipe.",
    "complete": "The cycle is complete: heat is off.",
    "stopped": "The cycle was stopped: heat is off.",
    "tripped": "TRIPPED: the board took the heat away and will not heat again by itself.",
}


def doing(view: RigView) -> str:
    """The state sentence."""
    if view.lost:
        return lost(view)
    if view.snapshot is None:
        return "Waiting for the keeper to say what the rig is doing."
    if view.tripped:
        return _tripped(view)
    if not view.health.connected:
        return "The board does not answer; it goes on by its own limits, unseen."
    if view.state == "held" and waits_for_hand(view):
        return "Waiting for your hand: the temperature is kept and the stirrer runs."
    if view.state == "held":
        return f"Held by hand: the recipe waits where it is.{alone(view)}"
    if view.active and view.reading is not None and view.plan is not None:
        return _running(view, view.reading)
    return STATE_SENTENCES.get(view.state, f"The rig says it is {view.state}.")


def waits_for_hand(view: RigView) -> bool:
    """Whether the person is asked for something in the middle of a recipe: the seed."""
    asked = view.snapshot is not None and bool(view.snapshot.request)
    return asked and view.plan is not None and view.plan.name == "cool"


def lost(view: RigView) -> str:
    """What a person must know once the keeper has gone."""
    return (
        "This screen sees nothing any more. To stop the rig use its stop button; the board goes "
        f"on by its own limits. {view.lost}"
    )


def _tripped(view: RigView) -> str:
    alarm = cause(view)
    if alarm is None:
        return STATE_SENTENCES["tripped"]
    return f"TRIPPED: {one_line(alarm.happened)} {one_line(alarm.rig_did)}"


def cause(view: RigView) -> Alarm | None:
    """The alarm that tells of a trip: the first latched one, else the first high one."""
    high = (alarm for alarm in view.alarms if alarm.priority == "high")
    return view.to_clear or next(high, None)


def _running(view: RigView, reading: Reading) -> str:
    verb = PHASE_VERBS.get(reading.phase, f"Phase {reading.phase}: chocolate to")
    sentence = f"{verb} {view.degrees.text(reading.target_c)}; {position(view)}"
    left = phase_left(reading)
    if left:
        sentence += f"; {left} left"
    return f"{sentence}.{why_unknown(reading)}{alone(view)}"


def phase_left(reading: Reading, *, short: bool = False) -> str:
    """How long the phase still takes: '8 to 12 min', or 'about 8 min' where it goes by the clock;
    empty where nothing can be said."""
    return _left(reading.phase_left_s, reading.phase_range_s, short)


def cycle_left(reading: Reading, *, short: bool = False) -> str:
    """The same of the whole cycle."""
    return _left(reading.cycle_left_s, reading.cycle_range_s, short)


def _left(left_s: float | None, range_s: tuple[float, float] | None, short: bool) -> str:
    if left_s is None:
        return ""
    if range_s is None:
        return f"about {duration(left_s)}"
    return between_short(*range_s) if short else between(*range_s)


def why_unknown(reading: Reading) -> str:
    """A sentence that says why the time left is blank, with a space before it; else empty."""
    if not reading.left_unknown or reading.phase_left_s is not None:
        return ""
    return f" The time left is not known: {one_line(reading.left_unknown)}."


def alone(view: RigView) -> str:
    """That a person let the hold go on without this computer, and for how long; else empty."""
    minutes = view.snapshot.alone_min if view.snapshot is not None else 0
    if not minutes:
        return ""
    return f" The hold may go on without the computer for {duration(minutes * 60)}."


def position(view: RigView) -> str:
    """Where the chocolate stands against the window, in words."""
    place = view.position
    if place.where == "":
        return "no chocolate reading" if view.plan else "no window yet"
    if place.where == "in":
        return "in the window"
    # A tenth is what the screen shows; less than that must not read as '0.0 above'.
    by = "just" if place.by_k < 0.05 else view.degrees.span(place.by_k)
    return f"{by} {place.where} the window"


def next_step(view: RigView) -> str:
    """What a person should do, or what comes by itself."""
    if view.lost or view.snapshot is None:
        return ""
    if view.snapshot.request:
        return f"{PLEASE}{one_line(view.snapshot.request)}"
    if view.tripped:
        alarm = cause(view)
        return f"{PLEASE}{one_line(alarm.do_now)}" if alarm else f"{PLEASE}look at the rig."
    if view.active and view.plan is not None:
        return _after(view)
    return ""


def _after(view: RigView) -> str:
    coming, plan = view.next_plan, view.plan
    if plan is None or coming is None:
        return "Last phase: press b when the bowl is emptied; else it ends with its time."
    into = f"Next: {coming.name}, to {view.degrees.text(coming.target_c)}"
    if plan.dwell_s > 0:
        return f"{into}, after {duration(plan.dwell_s)} inside the window."
    return f"{into}, once inside the window."


def ended(view: RigView) -> str:
    """How the cycle ended, for the last line of a screen or log; empty while it runs."""
    if not view.result:
        return ""
    sentence = STATE_SENTENCES.get(view.result, f"The cycle ended: {view.result}.")
    if view.result == "tripped":
        sentence = _tripped(view)
    if view.reading is not None:
        sentence += f" It took {clock(view.reading.time_s)}."
    if view.snapshot is not None and view.snapshot.folder:
        sentence += f" Its record: {view.snapshot.folder}"
    return sentence


def answered(op: str, reply: Reply) -> tuple[str, bool]:
    """The keeper's answer to an order, and whether a person must look at it."""
    said = one_line(reply.text)
    if reply.ok:
        return said or f"{op.capitalize()}: done.", False
    return f"{op.upper()} REFUSED: {said or 'no reason given.'}", True
