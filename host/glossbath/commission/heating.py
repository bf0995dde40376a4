"""A short cycle on water, so that proof, stop and trips are tried on a rig that really heats."""

from __future__ import annotations

import contextlib
import secrets
from collections.abc import Iterator
from typing import Any

from glossbath.board.orders import start_orders
from glossbath.checks.trips import meaning
from glossbath.errors import StepFailed
from glossbath_board import limits
from glossbath_board.program import Phase, Program

from .visit import HAND_S, Visit
from .words import refused

WATER_G = 1_000
_TARGET_MC = 45_000
_PROOF_S = 30.0
_HEAT_S = 10.0
_LEASE_S = 2.0
_SENSE = {False: "OK1, R20, R21", True: "PT1, its sleeve over H1"}
"""What senses the voltage, in a box and with ready units."""


def program() -> Program:
    """Water towards 45 °C for as long as the step takes; the longest is half an hour."""
    made = Program(1, limits.CHOCOLATE_CEILING_MC, WATER_G, water=1)
    values = [_TARGET_MC, 15_000, _TARGET_MC + 1_000, 1_700_000, 1_800_000, 500, 15_000, 50_000]
    made.put(0, Phase("hold", values))
    return made


def order_start(visit: Visit) -> dict[str, Any]:
    """Lease, load and order the start; the board's answer to the last order."""
    session = visit.session
    session.leasing = True
    session.wait(_LEASE_S)
    answer: dict[str, Any] = {}
    for order in start_orders(program(), f"commission-{secrets.token_hex(4)}"):
        values = {key: value for key, value in order.items() if key != "k"}
        answer = session.ask(order["k"], **values)
        if not answer.get("ok"):
            break
    return answer


@contextlib.contextmanager
def heated(visit: Visit) -> Iterator[int]:
    """A cycle on water that heats, with a person's press of the arm button; stops it afterwards.

    Gives the number of events before the start. Raises StepFailed when the board refuses or trips.
    """
    session = visit.session
    mark = len(session.events)
    try:
        answer = order_start(visit)
        if not answer.get("ok"):
            raise StepFailed(refused(answer))
        arm(visit, mark)
        reading = session.until(lambda: _heats(visit), _HEAT_S)
        if not reading:
            raise StepFailed("The cycle runs but asks for no heat: is the water below 40 °C?")
        yield mark
    finally:
        session.leasing = False
        if session.state not in ("idle", "complete", "stopped", "tripped"):
            session.order("stop")


def _heats(visit: Visit) -> bool:
    reading = visit.session.reading
    return visit.session.state == "running" and reading is not None and reading.heat_share > 0


def arm(visit: Visit, mark: int) -> None:
    """Have the arm button pressed once and the proof passed; raises StepFailed with the trip."""
    session = visit.session
    visit.act("arm-tap", "Press the arm button once: the board proves both heat switches.")
    session.until(lambda: session.state in ("testing", "running", "tripped"), HAND_S)
    visit.act("arm-tapped", "Let the arm button go.")
    session.until(lambda: session.state in ("running", "tripped"), _PROOF_S)
    if session.state == "running":
        return
    tripped = session.since(mark, "trip")
    if tripped:
        raise StepFailed(told(tripped[0]) + _after_proof(visit, str(tripped[0]["tr"])))
    raise StepFailed("The arm button was not pressed, or the board did not see it.")


def _after_proof(visit: Visit, code: str) -> str:
    """What to look at after a proof that failed, told apart by the outlet's lamp."""
    if code in ("proof-switch", "proof-off"):
        return (
            " If the cooker is not plugged in or off at its own knob, leakage of a good switch "
            "may look like this: plug it in, knob at HIGH, and try again."
        )
    if code != "proof-power":
        return ""
    lit = visit.confirm("lamp-flash", "Did the outlet's lamp H1 light for a second meanwhile?")
    if lit:
        return (
            " The voltage was there and the board did not see it for sure: the load sense is dead "
            f"or too weak. Have {_SENSE[visit.ready_units]}, C5 and the wire of `load` looked at."
        )
    if visit.ready_units:
        return (
            " The way to the cooker is open: look at the plugs from the wall on, at the units' "
            "own fuses by their papers, at X5, and that their lights follow the board's trials."
        )
    return (
        " The way to the outlet is open. From the wall, plug out: RCD, isolator, fuse F1, the "
        "first thermostat's knob, the second thermostat's knob inside the box, the relay's "
        "contact, the heat switch. Only a licensed electrician opens the box, and a thermostat "
        "that opened did so because something was too hot."
    )


def told(event: dict[str, Any]) -> str:
    """A trip in words."""
    return f"The board tripped ({event['tr']}): {meaning(str(event['tr']), str(event['d']))[0]}"
