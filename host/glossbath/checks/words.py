"""What each finding of the host means to a person: what happened, what the rig did, what to do.

safety.md has the same codes with limits and reasons. {detail} is replaced by what was measured.
"""

from __future__ import annotations

from typing import NamedTuple

from glossbath.words import fault_sentence

HIGH, MEDIUM, LOW = "high", "medium", "low"

_STOPPED = (
    "The computer ordered the rig to stop, repeats that until the board confirms it, and renews "
    "its permission to heat no longer."
)
_GOES_ON = "The cycle goes on."
_BOARD = "The board goes on by its own limits; what it does now cannot be seen from here."


class Meaning(NamedTuple):
    """A finding in words; priority is high, medium or low."""

    priority: str
    happened: str
    rig_did: str
    do_now: str


_TRIPS = {
    "host-hot": (
        "The computer saw a temperature above its own limit{detail}.",
        "Take the bowl out of the bath and stir. Find the cause before clearing.",
    ),
    "host-forecast": (
        "The heat stored in cooker and bath would still bring the chocolate above its limit"
        "{detail}.",
        "Lift the bowl out of the bath. If nothing is broken, lower bath_c in the recipe or use "
        "more chocolate.",
    ),
    "host-rise": (
        "A temperature rose faster than this rig can heat{detail}.",
        "Take the bowl out. Was something hot poured in? If not, unplug the cooker.",
    ),
    "host-dry": (
        "The cooker's body is far hotter than the bath{detail}.",
        "Unplug the cooker and look for water in it. Check that the bath probe is in the water. "
        "If both are well, the cooker is too strong for its crock: use one of at most 400 W.",
    ),
    "host-unasked": (
        "The rig became warmer although no heat was asked for{detail}.",
        "Unplug the cooker at the wall now: a switch may have failed.",
    ),
    "host-implausible": (
        "The probes tell something that heat cannot do{detail}.",
        "Check that each probe is where it belongs: in the chocolate, in the bath, on the cooker. "
        "Two plugs may be swapped.",
    ),
    "host-stale": (
        "The computer got no fresh readings from the board{detail}.",
        "Check the cable. If the heater's lamp is on, press the stop button at the rig.",
    ),
    "host-blind": (
        "The computer has had no good reading of a probe for too long{detail}.",
        "Check that probe's plug and cable, then clear the trip.",
    ),
    "host-contradiction": (
        "The board does something that it was not ordered to do{detail}.",
        "Press the stop button at the rig.",
    ),
    "host-absent": (
        "The computer was away from the rig for too long{detail}.",
        "Keep it from sleeping during a cycle, then clear the trip. Chocolate that cooled below "
        "its window must be melted again.",
    ),
}

_CAUTIONS = {
    "link-lost": Meaning(
        MEDIUM,
        "The line to the board is lost{detail}.",
        _BOARD,
        "Push both plugs of the cable in.",
    ),
    "line-noisy": Meaning(
        LOW,
        "Many messages of the board arrive damaged{detail}.",
        _GOES_ON,
        "Keep the cable away from the mains leads, or use a shorter one.",
    ),
    "readings-missing": Meaning(
        MEDIUM,
        "No fresh reading has come for {detail}.",
        _BOARD,
        "Check the cable to the board.",
    ),
    "lease-unconfirmed": Meaning(
        MEDIUM,
        "The board does not confirm its permission to heat{detail}.",
        _BOARD,
        "Check the cable; see that no other program uses the port.",
    ),
    "bad-chocolate": Meaning(
        MEDIUM,
        "The chocolate probe gives no trustworthy value{detail}.",
        "Heat is off until it does; if that takes seconds, the rig trips.",
        "Check the chocolate probe's plug and cable.",
    ),
    "bad-bath": Meaning(
        MEDIUM,
        "The bath probe gives no trustworthy value{detail}.",
        "Heat is off until it does; if that takes seconds, the rig trips.",
        "Check the bath probe's plug and cable.",
    ),
    "bad-body": Meaning(
        MEDIUM,
        "The probe on the cooker's body gives no trustworthy value{detail}.",
        "Heat is off until it does; if that takes seconds, the rig trips.",
        "Check the body probe's plug and cable.",
    ),
    "reading-jumped": Meaning(
        MEDIUM,
        "The chocolate reading jumped{detail}.",
        _GOES_ON,
        "Check that the probe is deep in the chocolate. If you poured something in, all is well.",
    ),
    "heat-lost": Meaning(
        MEDIUM,
        "The rig loses heat although no chill was asked for{detail}.",
        _GOES_ON,
        "Check that the chill pump stands still and the lid is on.",
    ),
    "heat-missing": Meaning(
        MEDIUM,
        "Heat is asked for but none arrives in the cooker{detail}.",
        _GOES_ON,
        "Check the cooker's own switch, its plug and the cut-out. Its element may be broken.",
    ),
    "heat-weak": Meaning(
        LOW,
        "The cooker gives less heat than before{detail}.",
        _GOES_ON,
        "The cycle will take longer. If the mains are well, have the solid-state relay checked.",
    ),
    "chill-weak": Meaning(
        MEDIUM,
        "Chill is asked for but the bath does not cool as it should{detail}.",
        _GOES_ON,
        "Put ice into the chill water; check that its pump runs and the hoses are free. If all "
        "that is well, heat may flow that nobody asked for: stop the rig.",
    ),
    "stir-withheld": Meaning(
        LOW,
        "The stirrer is being held although the recipe asks for stirring.",
        "The board holds the stirrer while the lid is off.",
        "Put the lid on. If it is on, check its switch.",
    ),
    "stir-light": Meaning(
        MEDIUM,
        "The stirrer's load went at once{detail}.",
        _GOES_ON,
        "Look whether the paddle turns and stands in the chocolate: a belt may be off.",
    ),
    "heat-withheld": Meaning(
        MEDIUM,
        "The board withholds heat although the bath is below its target{detail}.",
        "Heat comes back by itself when its reason is gone; if that takes long, the rig trips.",
        "Check the water level and the probes.",
    ),
    "hold-astray": Meaning(
        MEDIUM,
        "The chocolate has been outside its working window for minutes{detail}: it may have left "
        "its temper.",
        "The rig brings it back and goes on.",
        "Make a dip test before you work with it. If that fails, melt and begin again; look at "
        "lid, room and ice, and whether the probe stands in the chocolate.",
    ),
    "host-paused": Meaning(
        LOW,
        "The computer was away from the rig for a moment{detail}.",
        _GOES_ON,
        "Keep the computer from sleeping and from heavy work during a cycle.",
    ),
    "clock-jump": Meaning(
        LOW,
        "The computer's clock was set{detail}.",
        "The cycle goes on and its times stay right; only the time of day jumps in the record.",
        "Nothing. Know it when you read the record.",
    ),
    "log-failing": Meaning(
        MEDIUM,
        "{detail}",
        "The rig is supervised as before.",
        "Make room on the disk or put it back; the record goes on by itself.",
    ),
    "board-flash": Meaning(
        MEDIUM,
        "The board could not write its trip into its flash memory.",
        "The trip stands, but a power cut would make the board forget it.",
        "Leave the board switched on until the cause is found, then install its firmware again.",
    ),
    "hook-failed": Meaning(
        LOW,
        "The command that you chose for this event failed{detail}.",
        "The rig is not touched by it.",
        "Try the command by hand; its output is in the keeper's log.",
    ),
}


def meaning(code: str, detail: str = "") -> Meaning | None:
    """A finding of the host in words; None for a code that is not the host's."""
    if code in _TRIPS:
        happened, do_now = _TRIPS[code]
        found = Meaning(HIGH, happened, _STOPPED, do_now)
    elif code in _CAUTIONS:
        found = _CAUTIONS[code]
    else:
        return None
    if code.startswith("bad-") and detail:
        detail = fault_sentence(detail)
    return found._replace(happened=_filled(found.happened, detail))


def _filled(sentence: str, detail: str) -> str:
    """Put the detail in: in brackets where the sentence would be whole without it."""
    if " {detail}" in sentence or sentence.startswith("{detail}"):
        return sentence.replace("{detail}", detail or "no word")
    return sentence.replace("{detail}", f" ({detail})" if detail else "")


def codes() -> list[str]:
    """Every code of the host."""
    return [*_TRIPS, *_CAUTIONS]
