"""Heat begins with a hand only, once both switches are proven; and the stop button ends it."""

from __future__ import annotations

from glossbath.errors import StepFailed
from glossbath_board.settings import WATER_ONLY

from .heating import heated, order_start, told
from .provoking import provoke
from .visit import Passed, Visit
from .wiring import AT_REST
from .words import refused

_WATCH_S = 10.0
_STOP_S = 3.0
_WARMS_C = 1.5
_WARMS_S = 240.0


def proof(visit: Visit) -> Passed:
    """The board allows heat on water by a hand's press only, once both switches are proven."""
    session = visit.session
    outlet = "second unit's socket" if visit.ready_units else "box's outlet"
    visit.act(
        "mains-on",
        f"Bench supply off, everything closed, water in crock and bowl, lid on, cooker in the "
        f"{outlet}, its knob at HIGH, then the mains plug in.",
    )
    visit.expect(
        "cooker-in",
        f"Is the cooker plugged into the {outlet} and its knob at HIGH?",
        "The switches are proven with the cooker in: without it the leakage of a good switch "
        "looks like voltage.",
    )
    visit.need_inputs(AT_REST)
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
        _warms(visit)
    visit.need_inputs({"load": 0}, _STOP_S)
    return Passed(
        "Dead with either switch open, live with both closed, as the board saw it: a welded relay "
        "or a shorted switch would have shown. Heat begins with a press only and warms the crock."
    )


def _warms(visit: Visit) -> None:
    """The crock becomes warmer: the cooker is in the outlet and on. Raises StepFailed."""
    session = visit.session
    begun_c = session.reading.body_c if session.reading else None

    def warmer() -> bool:
        now_c = session.reading.body_c if session.reading else None
        return begun_c is not None and now_c is not None and now_c - begun_c >= _WARMS_C

    if session.until(lambda: warmer() or session.state != "running", _WARMS_S) and warmer():
        return
    if session.state == "tripped":
        trip = session.since(0, "trip")[-1]
        raise StepFailed(told(trip))
    raise StepFailed(
        f"The outlet is live and the guard probe did not become warmer by {_WARMS_C:g} °C in "
        f"{_WARMS_S:g} s: is the cooker plugged in, its knob at HIGH, its own cut-out closed, and "
        "the guard probe under the crock's band?"
    )


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
    seconds = provoke(visit, ("stop-button",), "stop-press", "Press the stop button now.", 60.0)
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
