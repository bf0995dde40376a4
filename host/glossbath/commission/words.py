"""The sentences of a commissioning that come from the board's short words."""

from __future__ import annotations

from typing import Any

from glossbath.checks.refusals import refusal

INPUTS = ("arm", "stop", "lid", "load", "water")
"""The switches in the order in which the board tells them; stirrer current and supply follow."""

MEANS = {
    "arm": ("released", "pressed"),
    "stop": ("pressed", "out"),
    "lid": ("off", "on"),
    "load": ("dead", "live"),
    "water": ("too low", "high enough"),
}
"""What 0 and 1 of each input mean at the rig."""

_REFUSED = {
    "arm": "Nobody holds the arm button: hold it until the output has gone off by itself.",
    "load": "There is voltage at the heater's outlet, or its sense line is not read: unplug at "
    "the wall and look for the cause.",
    "stop": "The stop button is pressed: release it.",
    "busy": "An output is on, or was on a moment ago: wait three seconds.",
    "taken": "That chip is bound already: one chip is one probe.",
    "no probe": "That is not the number of an undamaged DS18B20, nor another probe that may "
    "stand there: look for the chip again.",
    "flash": "The board's memory refused to keep it: power the board off and on, then try again.",
    "bus": "The probes' wire does not answer sensibly: look at its three cores.",
    "version": "The board's settings were written by a newer firmware: install that one.",
}


def refused(answer: dict[str, Any]) -> str:
    """Why the board refused an order, as a sentence."""
    why = str(answer.get("why", ""))
    if why == "busy" and answer.get("at") != "try":
        return refusal(answer)
    return _REFUSED.get(why) or refusal(answer)


def shown(name: str, level: object) -> str:
    """The level of an input in the words of the rig."""
    if level not in (0, 1):
        return "unknown"
    return MEANS[name][int(level == 1)]
