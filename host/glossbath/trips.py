"""What each cut-off means to a person: what happened, what the rig did, what to do now.

Codes are the board's and the host's own; safety.md has the same codes with limits and reasons.
"""

from __future__ import annotations

_OFF = "Heat, chill and stirrer are off and stay off until a person clears the trip."

_MEANING = {
    "chocolate-hot": (
        "The chocolate became hotter than this recipe allows{detail}.",
        "Take the bowl out of the bath and stir. Chocolate that was overheated cannot be rescued.",
    ),
    "bath-hot": (
        "The bath became hotter than the rig's ceiling{detail}.",
        "Lift the bowl out. Check the bath probe and the water level before clearing.",
    ),
    "body-hot": (
        "The cooker's body became hotter than the rig's ceiling{detail}.",
        "Unplug the cooker. Check that there is water in it and that the body probe sits well.",
    ),
    "probe-chocolate": (
        "The chocolate probe gives no trustworthy value ({detail}).",
        "Check the probe's plug and cable, then clear the trip.",
    ),
    "probe-bath": (
        "The bath probe gives no trustworthy value ({detail}).",
        "Check the probe's plug and cable, then clear the trip.",
    ),
    "probe-body": (
        "The body probe gives no trustworthy value ({detail}).",
        "Check the probe's plug and cable, then clear the trip.",
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
    "stop-button": (
        "The stop button was pressed.",
        "Release the button when the rig is safe, then clear the trip.",
    ),
    "unasked-heat": (
        "There is voltage at the heater although the board asks for none.",
        "Unplug the cooker at the wall now. A switch has failed: have the rig repaired.",
    ),
    "no-power": (
        "No voltage reaches the heater although the board asks for heat.",
        "Check plug, fuse, RCD and the hardware cut-out before clearing. A cut-out that opened "
        "did so because something was too hot.",
    ),
    "proof-off": (
        "There was voltage at the heater while both switches were open.",
        "Unplug the cooker at the wall now. A switch has failed: have the rig repaired.",
    ),
    "proof-relay": (
        "The master relay did not open in its test.",
        "Unplug the cooker at the wall. The relay is welded: have it replaced.",
    ),
    "proof-switch": (
        "The solid-state relay did not open in its test.",
        "Unplug the cooker at the wall. The switch is shorted: have it replaced.",
    ),
    "proof-power": (
        "No voltage reached the heater in the test.",
        "Check plug, fuse, RCD, stop button and hardware cut-out.",
    ),
    "firmware": (
        "The board's program failed ({detail}).",
        "Note what happened, clear the trip, and watch the next cycle.",
    ),
    "record-lost": (
        "The board's record of its last trip is damaged.",
        "Check the rig as if it had tripped, then clear.",
    ),
    "board-restarted": (
        "The board restarted in the middle of the cycle.",
        "Check its power supply. Start again if the chocolate is still good.",
    ),
    "host-hot": (
        "The computer saw a temperature above its own limit{detail}.",
        "Take the bowl out of the bath and stir.",
    ),
    "host-stale": (
        "The computer got no fresh readings from the board{detail}.",
        "Check the cable. The board keeps its own limits and drops the heat by itself.",
    ),
    "host-contradiction": (
        "The board does something that it was not ordered to do{detail}.",
        "Press the stop button at the rig.",
    ),
}


def meaning(code: str, detail: str = "") -> tuple[str, str, str]:
    """(what happened, what the rig did, what to do now) for a trip code."""
    happened, do_now = _MEANING.get(
        code, (f"A cut-off named {code} tripped.", "Find the cause before clearing the trip.")
    )
    if "({detail})" in happened:
        shown = detail or "no word"
    elif detail.lstrip("-").isdigit():
        shown = f" ({int(detail) / 1000:.1f} °C)"
    else:
        shown = f" ({detail})" if detail else ""
    return happened.format(detail=shown), _OFF, do_now


def codes() -> list[str]:
    """Every code that has a meaning."""
    return list(_MEANING)
