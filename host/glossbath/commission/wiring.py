"""Who the board is, and every wire of it alone: inputs, outputs, the relay's line, the stirrer."""

from __future__ import annotations

from typing import Any

from glossbath.errors import StepFailed
from glossbath_board.output_test import MOST_MS
from glossbath_board.version import PROTOCOL

from . import judge
from .visit import HAND_S, Passed, Visit

VARIANTS = ("ready", "box")
"""hardware/wiring.py: ready units that nobody opens, or a box by an electrician."""
AT_REST = {"arm": 0, "stop": 1, "lid": 1, "load": 0, "water": 1}
_BACK_S = 30.0
_TRIPS_S = 5.0
_LOOK_S = 3.0  # so long after its start the board has judged all that it sees at rest

# input, level while something is done to it, what to do, what to do to bring it back
_INPUT_ACTS = (
    ("arm", 1, "Press the arm button and keep it pressed.", "Let the arm button go."),
    ("stop", 0, "Press the stop button.", "Release the stop button."),
    ("lid", 0, "Take the lid off.", "Put the lid back on."),
    ("water", 0, "Push the float down under water.", "Let the float rise again."),
)

# output, what to do, what is asked, what a no means
_OUTPUT_ACTS = (
    (
        "lamp",
        "Look at the status lamp.",
        "Did the status lamp light for three seconds, and nothing else happen?",
        "The status lamp did not light alone.",
    ),
    (
        "chill",
        "Listen to the ice-water pump.",
        "Did the pump run for three seconds, and nothing else happen?",
        "The pump did not run alone.",
    ),
    (
        "stir",
        "Guard on, hands away from the stirrer.",
        "Did the stirrer turn, in the direction in which its paddle lifts from the wall?",
        "The stirrer did not turn the right way: swap its two wires, or look at its plug.",
    ),
    (
        "relay",
        "Listen to the master relay and look at the outlet's lamp H1.",
        "Did the relay click in at once and click out within six seconds, with H1 dark all along?",
        "The master relay did not answer its line alone.",
    ),
    (
        "heat",
        "Look at the heat switch's own light and at the outlet's lamp H1.",
        "Did the heat switch's light come on, with no click and H1 dark all along?",
        "The heat switch did not answer its line alone.",
    ),
)


def identity(visit: Visit) -> Passed:
    """The board, its firmware, the rig's name; a rig that begins anew heats nothing until it is
    allowed to again."""
    session = visit.session
    hello = session.hello
    if hello.get("v") != PROTOCOL:
        raise StepFailed(
            f"The board's firmware speaks version {hello.get('v')} of the line, this program "
            f"version {PROTOCOL}: put the matching firmware on it with glossbath install."
        )
    session.wait(_LOOK_S)
    visit.clear_trip()
    variant = visit.choose(
        "variant",
        "Is the mains side made of ready units that nobody opens, or a box by an electrician?",
        VARIANTS,
    )
    session.put("level", 0)
    session.put("rig", visit.rig)
    return Passed(
        f"Board {hello.get('id')}, firmware {hello.get('fw')} on {hello.get('eng')}.",
        {
            "name": visit.rig,
            "variant": variant,
            "board": hello.get("id"),
            "kind": hello.get("brd"),
            "firmware": hello.get("fw"),
            "engine": hello.get("eng"),
        },
    )


def inputs(visit: Visit) -> Passed:
    """Each input alone changes when it should, and no other with it."""
    visit.act(
        "bench",
        "Mains plug out. 12 V from a bench supply or 12 V adapter in place of PSU1, limited to "
        "1 A; an LED with 1 k may stand in place of the relay's coil and one of the heat switch's "
        "input. Lid on, float up, stop button out.",
    )
    rest = visit.need_inputs(AT_REST)
    why = judge.supply(rest["supply_mv"])
    if why:
        raise StepFailed(why)
    for name, level, there, back in _INPUT_ACTS:
        visit.act(f"input-{name}", there)
        now = visit.until_inputs({name: level}, HAND_S)
        why = judge.alone(rest, now, name)
        if why:
            raise StepFailed(why)
        if name == "stop":
            visit.expect(
                "motor-volts",
                "With the stop button pressed, does a meter show less than 1 V from contact 1 of "
                "X1 to 0 V?",
                "The stop button's motor contact is bridged: pump and stirrer keep their 12 V. Do "
                "not use the rig before it is mended.",
            )
        visit.act(f"input-{name}-back", back)
        visit.need_inputs(AT_REST, HAND_S)
    _jumper(visit)
    return Passed(
        "Arm, stop, lid, water and load sense each alone; voltage that nobody asked for trips.",
        {"supply_v": rest["supply_mv"] / 1000},
    )


def _jumper(visit: Visit) -> None:
    """The load sense's wire, with a jumper in place of the optocoupler; the board must trip."""
    session = visit.session
    visit.act("load-jumper", "Mains plug still out: join `load` to 3.3 V with a jumper.")
    visit.need_inputs({"load": 1})
    if not session.until(lambda: session.state == "tripped", _TRIPS_S):
        raise StepFailed("The board sees voltage that nobody asked for and does not trip.")
    visit.act("load-jumper-back", "Take the jumper off.")
    visit.need_inputs({"load": 0})
    reading = session.reading
    if reading is None or reading.trip != "unasked-heat":
        raise StepFailed(f"Expected was unasked-heat, not {reading.trip if reading else '?'}.")
    session.wait(1.0)
    session.order("clear")


def outputs(visit: Visit) -> Passed:
    """Each output alone does what it should, and no other."""
    visit.say("Guard on, hands away, mains plug out and 12 V from the bench, stop button out.")
    seen: dict[str, Any] = {}
    for name, look, question, otherwise in _OUTPUT_ACTS:
        visit.say(look)
        event = trial(visit, name)
        visit.expect(f"output-{name}", question, otherwise)
        if name == "stir":
            seen["stir_ma"] = event["ma"]
    return Passed("Lamp, pump, stirrer, relay and heat switch each alone.", seen)


def pulse(visit: Visit) -> Passed:
    """The relay holds on pulses only: a line that is stuck high has to let it go."""
    visit.say("The board now holds the relay's line high without pulses. Listen to the relay.")
    trial(visit, "frozen")
    visit.expect(
        "output-frozen",
        "Did the relay click out by itself within three seconds after it had clicked in?",
        "The relay stays in on a line that is stuck: the charge pump does not work. Do not use "
        "the rig before it is mended.",
    )
    return Passed("A line stuck high lets the relay go.")


def stirrer(visit: Visit) -> Passed:
    """What the motor draws turning free and held, and the limit that tells the two apart."""
    visit.act("paddle-off", "Take the paddle off the shaft.")
    visit.expect("paddle-is-off", "Is the paddle off?", "The paddle has to be off for this.")
    visit.session.put("limit.stir-stalled", None)
    free = trial(visit, "stir")["ma"]
    visit.act(
        "shaft-hold",
        "Two people now: one at the arm button, one holds the bare shaft with a glove.",
    )
    held = trial(visit, "stir")["ma"]
    visit.act("shaft-free", "Let the shaft go and put the paddle back on.")
    limit, why = judge.stall(free, held)
    if why:
        raise StepFailed(why)
    if limit is not None:
        visit.session.put("limit.stir-stalled", limit)
        visit.say(f"The board takes the stirrer for stalled from {limit} mA on.")
    return Passed(
        f"The stirrer draws {free} mA free and {held} mA held.",
        {"free_ma": free, "stall_ma": held, "limit_ma": limit},
    )


def trial(visit: Visit, name: str) -> dict[str, Any]:
    """One output alone for three seconds, with a hand on the arm button where that is needed.

    Returns the board's own account; raises StepFailed when it is not as it should be.
    """
    session = visit.session
    by_hand = name not in ("lamp", "chill")
    if by_hand:
        visit.hold_arm()
    mark = len(session.events)
    session.order("try", o=name, ms=MOST_MS)
    ended = session.until(lambda: bool(session.since(mark, "tried")), _BACK_S)
    if not ended:
        raise StepFailed(f"The board did not say how the trial of {judge.ALONE[name]} ended.")
    event = session.since(mark, "tried")[0]
    if by_hand:
        visit.release_arm()
    session.wait(4.0)  # the relay has let go by then, and the next trial may begin
    why = judge.tried(event)
    if why:
        raise StepFailed(why)
    return event
