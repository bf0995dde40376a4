"""What each cut-off means to a person: what happened, what the rig did, what to do now.

Codes are the board's; safety.md has the same codes with limits and reasons. Those of the host are
in `words`.
"""

from __future__ import annotations

import re

from glossbath.words import fault_sentence

_OFF = "Heat, chill and stirrer are off and stay off until a person clears the trip."

_SHOWN = {"celsius": (1000, 1, "°C"), "volts": (1000, 1, "V"), "milliamperes": (1, 0, "mA")}
"""Of a quantity in a sentence: how many of the board's unit make one of what a person reads, its
decimals and its unit."""

_UNPLUG = "Unplug the cooker at the wall now. A switch has failed: have the rig repaired."
_LOOK_AT_PROBE = "Look at the probe's plug, cable and seat, then clear the trip."
_PROBE_PLACES = (
    "See that every probe sits in its own place: one in the chocolate, one in the bath, one at "
    "the cooker's wall. Then clear the trip."
)
_HOT_CHOCOLATE = "Take the bowl out of the bath and stir. What was overheated cannot be rescued."
_NO_MAINS = (
    "Check plug, fuse, RCD, stop button and hardware cut-out before clearing. A cut-out that "
    "opened did so because something was too hot. A relay that clicks all the time has a charge "
    "pump that leaks."
)
_INSTALL_AGAIN = "Install the firmware again, then clear the trip."

_MEANING = {
    "chocolate-hot": (
        "The chocolate became hotter than this recipe allows{celsius}.",
        _HOT_CHOCOLATE,
    ),
    "bath-hot": (
        "The bath became hotter than the rig's ceiling{celsius}.",
        "Lift the bowl out. Check the bath probe and the water level before clearing.",
    ),
    "body-hot": (
        "The cooker's body became hotter than the rig's ceiling{celsius}.",
        "Unplug the cooker. Check that there is water in it and that the body probe sits well.",
    ),
    "chocolate-rise": (
        "The chocolate warmed faster than a bath can warm it{celsius}.",
        _HOT_CHOCOLATE + " Check that the bowl stands in water and touches no heater.",
    ),
    "bath-rise": (
        "The bath warmed faster than this cooker can warm it{celsius}.",
        "Check that the plugged-in appliance is the slow cooker and that the crock is full. Hot "
        "water that was poured in may be the cause: then clear the trip.",
    ),
    "body-rise": (
        "The cooker's body warmed faster than it does with water in it{celsius}: there is too "
        "little water, or this cooker is too strong for the rig.",
        "Unplug the cooker. Check the water and that the plugged-in appliance is the slow cooker; "
        "one of more than 800 W cannot be used.",
    ),
    "probe-chocolate": (
        "The chocolate probe cannot be trusted: {word}.",
        _LOOK_AT_PROBE,
    ),
    "probe-bath": ("The bath probe cannot be trusted: {word}.", _LOOK_AT_PROBE),
    "probe-body": ("The body probe cannot be trusted: {word}.", _LOOK_AT_PROBE),
    "jump-chocolate": (
        "The chocolate probe jumped further than chocolate can{celsius}.",
        _LOOK_AT_PROBE,
    ),
    "jump-bath": ("The bath probe jumped further than a bath can{celsius}.", _LOOK_AT_PROBE),
    "jump-body": ("The body probe jumped further than a crock can{celsius}.", _LOOK_AT_PROBE),
    "stuck-chocolate": (
        "The chocolate probe stood still although the bath was much warmer or colder.",
        "See that the probe is in the chocolate. If it is, have it replaced.",
    ),
    "stuck-bath": (
        "The bath probe stood still although the cooker beside it changed{celsius}.",
        "See that the probe is in the water. If it is, have it replaced.",
    ),
    "stuck-body": (
        "The body probe stood still although the bath beside it changed{celsius}.",
        "See that the probe sits at the cooker's wall. If it does, have it replaced.",
    ),
    "swapped": (
        "The chocolate warmed although the bath is colder{celsius}: two probes are swapped, or "
        "the bath probe is out of the water.",
        _PROBE_PLACES,
    ),
    "chocolate-apart": (
        "The chocolate probe did not follow a warmer bath: it is not in the chocolate.",
        "Put the probe into the chocolate and look at the chocolate: it may be hotter than shown. "
        "Then clear the trip.",
    ),
    "body-cold": (
        "The cooker's body stayed colder than the bath under full heat{celsius}: two probes are "
        "swapped, or the body probe has come off.",
        _PROBE_PLACES,
    ),
    "body-apart": (
        "The cooker's body stayed far hotter than the bath{celsius} for minutes without heat: "
        "there is too little water, or the bath probe is out of it.",
        "Check the water and the bath probe before clearing.",
    ),
    "no-effect": (
        "Minutes of full heat warmed neither the cooker nor the bath.",
        "Check that the cooker is plugged into the rig's outlet and its knob is on. If it is, its "
        "heater is broken.",
    ),
    "unasked-warming": (
        "The cooker's body warmed although no heat was asked for{celsius}.",
        _UNPLUG,
    ),
    "unasked-heat": (
        "There is voltage at the heater although the board asks for none.",
        f"{_UNPLUG} With the cooker unplugged or off, a good switch's leakage looks the same.",
    ),
    "no-power": ("No voltage reaches the heater although the board asks for heat.", _NO_MAINS),
    "proof-off": ("There was voltage at the heater while both switches were open.", _UNPLUG),
    "proof-relay": (
        "The master relay did not open in its test.",
        "Unplug the cooker at the wall. The relay is welded: have it replaced.",
    ),
    "proof-switch": (
        "The solid-state relay did not open in its test.",
        "Unplug the cooker at the wall. The switch is shorted: have it replaced.",
    ),
    "proof-power": ("No voltage reached the heater in the test.", _NO_MAINS),
    "stir-stalled": (
        "The stirrer was held fast{milliamperes}: something blocks it, or the chocolate is too "
        "thick.",
        "Take the lid off and look. Chocolate that has seized with water is lost.",
    ),
    "stir-current": (
        "The stirrer's motor drew more than a held motor may{milliamperes}.",
        "Unplug the stirrer and have its motor and cable checked.",
    ),
    "stir-none": (
        "The stirrer drew no current although it should turn.",
        "Check the stirrer's plug and fuse, then clear the trip.",
    ),
    "stir-unasked": (
        "The stirrer's motor draws current although it should stand{milliamperes}.",
        "Press the stop button before reaching in: it cuts the motor. Have its driver replaced.",
    ),
    "stop-button": (
        "The stop button was pressed, or its circuit has lost its 12 V.",
        "Release the button when the rig is safe. If nobody pressed it, check the 12 V supply and "
        "its fuse. Then clear the trip.",
    ),
    "lid": (
        "The lid was off for an hour, so nothing was stirred.",
        "Put the lid on, clear the trip and start again. If the lid was on, check its switch.",
    ),
    "water-low": (
        "There was too little water in the bath for minutes.",
        "Fill up the bath, then clear the trip. If it is full, check the level switch.",
    ),
    "arm": (
        "Nobody pressed the arm button at the rig.",
        "Start again when somebody is at the rig.",
    ),
    "supply-low": (
        "The 12 V supply was too low{volts}.",
        "Check the supply and its plug, then clear the trip.",
    ),
    "supply-high": (
        "The 12 V supply was too high{volts}.",
        "Check that the right supply is plugged in before clearing.",
    ),
    "lease": (
        "The computer was silent for longer than the board waits.",
        "Check the cable and the computer, then clear the trip. Chocolate that cooled below its "
        "window must be melted again.",
    ),
    "phase-time": (
        "A phase took longer than its recipe allows.",
        "Check heater, ice and lid, then clear the trip and start again.",
    ),
    "run-time": (
        "The cycle ran longer than the board allows.",
        "Clear the trip and start a new cycle if the chocolate is still wanted.",
    ),
    "overrun": (
        "The board could not keep up with its own work.",
        "Power the board off and on. If it happens again, do not use it.",
    ),
    "clock": (
        "The board's clock stood still or jumped.",
        "Power the board off and on. If it happens again, do not use it.",
    ),
    "reset-loop": (
        "The board restarted again and again within minutes.",
        "Check its supply and cables. Clear the trip only when the cause is found.",
    ),
    "settings": (
        "The board's settings are not good ({word}).",
        "Commission the rig again, then clear the trip.",
    ),
    "files": ("The board's firmware is not of one piece ({word}).", _INSTALL_AGAIN),
    "record-lost": (
        "The board's record of its last trip is damaged.",
        "Check the rig as if it had tripped, then clear.",
    ),
    "firmware": (
        "The board's program failed ({word}).",
        "Note what happened, clear the trip, and watch the next cycle.",
    ),
    "board-restarted": (
        "The board restarted in the middle of the cycle.",
        "Check its power supply. Start again if the chocolate is still good.",
    ),
}


_WHOLE = re.compile(r"-?[0-9]{1,12}")


def meaning(code: str, detail: str = "") -> tuple[str, str, str]:
    """(what happened, what the rig did, what to do now) for a trip code."""
    happened, do_now = _MEANING.get(
        code, (f"A cut-off named {code} tripped.", "Find the cause before clearing the trip.")
    )
    word = detail or "no word"
    if code.startswith("probe-"):
        said = fault_sentence(word)
        word = said if said.startswith("its ") else f"it {said}"
    numbers = {name: _number(name, detail) for name in _SHOWN}
    return happened.format(word=word, **numbers), _OFF, do_now


def codes() -> list[str]:
    """Every code that has a meaning."""
    return list(_MEANING)


def _number(quantity: str, detail: str) -> str:
    """The detail in brackets, in the unit that a person reads."""
    if not _WHOLE.fullmatch(detail):
        return f" ({detail})" if detail else ""
    per, decimals, unit = _SHOWN[quantity]
    return f" ({int(detail) / per:.{decimals}f} {unit})"
