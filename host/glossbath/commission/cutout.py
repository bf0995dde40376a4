"""The hardware cut-out proven in its circuit: its bulb made hot while water heats, and the board
as witness of the voltage that goes."""

from __future__ import annotations

from typing import Any

from glossbath.errors import StepFailed

from . import judge
from .electrician import CUTOUT_C
from .heating import heated, order_start, told
from .probing import boiling_reference
from .provoking import clear, provoke
from .visit import HAND_S, Passed, Visit
from .words import refused

BOIL_OVER_C = 3.0
"""hardware/wiring.toml, boil_over_c: so far above its highest opening must the water boil."""
_OPENS_S = 300.0
_COOLS_S = 20.0
_PROOF_S = 30.0
_DEAD_S = 3.0

_BYPASSED = (
    "The bulb is hot and the board still sees voltage at the outlet: the {which} thermostat is "
    "bypassed, lies in another wire than the heater's live, or does not open. Unplug at the wall; "
    "an electrician has to look. Nothing may heat before."
)
_WRONG_WIRE = (
    "The thermostat opened and took the 12 V supply away and not the heater's live: its contact "
    "lies in the wrong wire. Unplug at the wall; an electrician has to move it."
)


_NOT_THE_INPUTS = (
    "The outlet went dead and the units' 12 V did not: the thermostat's contact does not lie in "
    "the common feed of both units' inputs, as the low-voltage sheet of the ready units shows."
)
_ALL_TWELVE = (
    "The thermostat opened and took the 12 V supply away from all, not from the units' inputs "
    "alone: put its contact between the stop button and the inputs, as the low-voltage sheet of "
    "the ready units shows."
)
_BY_ITSELF = (
    "The thermostat closed by itself when it cooled: only its knob may close it. Have it replaced "
    "by one with manual reset."
)


def cutout(visit: Visit) -> Passed:
    """Hot bulb: the outlet goes dead. Cool bulb: it stays dead. Knob pressed: it heats again."""
    how, hot = _hot_liquid(visit)
    visit.say(
        "The first thermostat's bulb has no mains in it. Take it off its band, lead the capillary "
        "clear of the kettle's cord and your sleeves, and have a dry cloth at hand: it scalds."
    )
    seconds = _opens(visit, "first", "bulb-hot", hot)
    visit.expect(
        "lamp-dark",
        "Is the outlet's lamp H1 dark?",
        "The board sees no voltage at the outlet and H1 is lit: the load sense looks elsewhere "
        "than the lamp. Unplug; an electrician has to look.",
    )
    _stays_open(visit)
    _closes_by_hand(visit)
    lost = "12 V of both units" if visit.ready_units else "outlet's voltage"
    return Passed(
        f"In circuit, {how}: the board saw the {lost} go {seconds:.0f} s after the bulb went in "
        "and tripped; the thermostat stayed open when it cooled and closed by its knob only.",
        {"after_s": round(seconds, 1), "witness": _witness(visit), "how": how},
    )


def _hot_liquid(visit: Visit) -> tuple[str, str]:
    """How the bulb is made hot here, and the sentence that asks for it."""
    need_c = CUTOUT_C[1] + BOIL_OVER_C
    reference = boiling_reference(visit)
    surely_c = reference.celsius - reference.u_k
    if surely_c >= need_c:
        return (
            f"bulb in {reference.how} ({reference.celsius:.1f} °C)",
            "Hold the bulb in boiling water: a kettle or a pan on its own plug, kept boiling.",
        )
    visit.say(
        f"Water boils at {reference.celsius:.1f} °C here, and the thermostat may open as late as "
        f"{CUTOUT_C[1]:g} °C: too near to prove anything. The other way is an electrician's, as "
        "PT-8 of hardware/care.md says: cooking oil of 100 to 110 °C by thermometer, on an "
        "electric hob, a lid at hand, nobody else in the room."
    )
    visit.expect(
        "hot-oil",
        "Does an electrician hold such oil ready?",
        "The cut-out has to be proven in circuit: come back when an electrician is here.",
    )
    return "bulb in hot oil by an electrician", "Hold the bulb in the oil, never above 110 °C."


def second(visit: Visit) -> Passed:
    """The second thermostat the same way, in hot oil by an electrician."""
    visit.say(
        "The second thermostat opens above boiling water, so an electrician does this, as PT-8 of "
        "hardware/care.md says: cooking oil of 115 to 120 °C by thermometer on an electric hob, a "
        "lid at hand, nobody else in the room. The first one's bulb stays on its band."
    )
    seconds = _opens(
        visit, "second", "second-hot", "The electrician holds the second bulb in the oil."
    )
    visit.act(
        "second-reset",
        "Mains plug out. The electrician lets the bulb cool, resets the second thermostat, closes "
        "what was opened and puts the bulb under the second band. Then the mains plug in again.",
    )
    visit.expect(
        "second-back",
        "Is the second bulb back under its band, tight on the crock?",
        "The bulb has to sit on the crock: nothing may heat before.",
    )
    clear(visit)
    with heated(visit):
        pass
    visit.need_inputs({"load": 0}, _DEAD_S)
    return Passed(
        f"In circuit, bulb in hot oil: the board tripped {seconds:.0f} s after it went in.",
        {"after_s": round(seconds, 1), "witness": _witness(visit)},
    )


def _witness(visit: Visit) -> str:
    """The trip by which the board sees that a thermostat has opened."""
    return "stop-button" if visit.ready_units else "no-power"


def _opens(visit: Visit, which: str, act: str, hot: str) -> float:
    """Heat, a bulb made hot, and what the board sees; the seconds it took."""
    try:
        seconds = provoke(visit, (_witness(visit),), act, hot, _OPENS_S)
    except StepFailed as failed:
        text = str(failed)
        if visit.ready_units and "(no-power)" in text:
            raise StepFailed(f"{_NOT_THE_INPUTS} {text}") from failed
        if visit.ready_units and "(supply-low)" in text:
            raise StepFailed(f"{_ALL_TWELVE} {text}") from failed
        if "(stop-button)" in text or "(supply-low)" in text or "restarted" in text:
            raise StepFailed(f"{_WRONG_WIRE} {text}") from failed
        if text.startswith("Nothing tripped"):
            raise StepFailed(_BYPASSED.format(which=which)) from failed
        raise
    if visit.ready_units and judge.supply(visit.inputs()["supply_mv"]):
        raise StepFailed(_ALL_TWELVE)
    return seconds


def _stays_open(visit: Visit) -> None:
    """Cooled down, it must still be open: no start, or a proof that finds no voltage."""
    session = visit.session
    visit.act("bulb-cool", "Take the bulb out, wipe it, and let it cool. Do not touch its knob.")
    session.wait(_COOLS_S)
    visit.expect("bulb-cold", "Can you hold the bulb in your hand?", "Let it cool first.")
    if visit.ready_units:
        # The cause of a stop-button trip stands as long as the coil circuit is open.
        if session.ask("clear").get("ok"):
            raise StepFailed(_BY_ITSELF)
        return
    clear(visit)
    mark = len(session.events)
    answer = order_start(visit)
    if not answer.get("ok"):
        raise StepFailed(refused(answer))
    visit.act("arm-tap", "Press the arm button once: the outlet has to stay dead.")
    session.until(lambda: session.state in ("testing", "running", "tripped"), HAND_S)
    visit.act("arm-tapped", "Let the arm button go.")
    session.until(lambda: session.state in ("running", "tripped"), _PROOF_S)
    session.leasing = False
    found: list[dict[str, Any]] = session.since(mark, "trip")
    if session.state == "running" or not found:
        session.order("stop")
        raise StepFailed(_BY_ITSELF)
    if found[0]["tr"] != "proof-power":
        raise StepFailed(f"Expected was proof-power. {told(found[0])}")


def _closes_by_hand(visit: Visit) -> None:
    """The knob pressed, the bulb back on its band: it heats again."""
    visit.act(
        "bulb-reset",
        "Press the first thermostat's knob, and put the bulb back under the first band, tight.",
    )
    visit.expect(
        "bulb-back",
        "Is the bulb back under its band, tight on the crock?",
        "The bulb has to sit on the crock: nothing may heat before.",
    )
    clear(visit)
    with heated(visit):
        pass
    visit.need_inputs({"load": 0}, _DEAD_S)
