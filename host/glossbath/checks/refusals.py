"""What the board answered to an order, as a sentence."""

from __future__ import annotations

from typing import Any

from glossbath.board.state import code_word
from glossbath.words import one_line

from .trips import meaning

_NOT_READY = {
    "commission": "This rig has not been commissioned: run glossbath commission first.",
    "water-only": "This rig heats only water until it has been commissioned: go on with "
    "glossbath commission --resume.",
}

_TOO_HOT = {
    "chocolate-hot": (
        "The chocolate is {now} °C, above this recipe's limit of {limit} °C: stir it outside the "
        "bath until it is below that, then start again. The recipe cools it from there."
    ),
    "bath-hot": (
        "The bath is {now} °C, above the rig's limit of {limit} °C: take out hot water and pour "
        "in cold, then start again."
    ),
}


def start_text(ok: bool, answer: dict[str, Any]) -> str:
    """What the board said to a start order."""
    if ok:
        return "The board took the recipe. Press the arm button at the rig to allow heat."
    return refusal(answer)


def refusal(answer: dict[str, Any]) -> str:
    """Why the board refused an order, as a sentence."""
    why, at = one_line(str(answer.get("why")))[:80], one_line(str(answer.get("at", "")))[:80]
    if why == "objection" and at in _NOT_READY:
        return _NOT_READY[at]
    if why == "objection":
        detail = one_line(str(answer.get("d", "")))[:80]
        limit = answer.get("hi")
        if at in _TOO_HOT and isinstance(limit, int) and detail.isdigit():
            return _TOO_HOT[at].format(now=f"{int(detail) / 1000:.1f}", limit=f"{limit / 1000:g}")
        return f"The board refuses to start: {meaning(code_word(at), detail)[0]}"
    if why == "flash":
        return "The board cannot write its flash memory: install its firmware again."
    if why == "silent":
        return "The board did not answer: check the cable."
    if why == "busy":
        return "Another computer steers this board: stop it there first."
    if why == "state":
        return f"The board cannot do that while it is {at}."
    if why == "range":
        return f"The board refused {at}: it must be from {answer.get('lo')} to {answer.get('hi')}."
    return f"The board refused the order ({why} {at})."
