"""Every layer that the board is, provoked on purpose, with what the board saw as the result."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from glossbath.errors import StepFailed
from glossbath_board import limits
from glossbath_board.settings import PROBES

from .heating import heated, told
from .visit import HAND_S, Passed, Visit

_PROBE_S = (limits.STALE_MS + limits.FAULT_MS) / 1000 + 10.0
_LEASE_S = limits.LEASE_MS / 1000 + 5.0
_DEAD_S = 3.0
_HOT_S = 120.0
_HOT_BODY = ("body-hot", "body-rise", "jump-body", "body-apart")
_WITHHELD_S = 10.0
_COOLS_S = 300.0
_NEAR_K = 25.0


def interlocks(visit: Visit) -> Passed:
    """Lid and water level, while it heats: stirrer and heat are taken away and given back."""
    with heated(visit):
        _withholds(visit, "lid", "take-lid", "put-lid", "the lid off", _stirs, "The stirrer turns")
        _withholds(
            visit, "water", "float-down", "float-up", "the float down", _heats, "Heat goes on"
        )
    visit.need_inputs({"load": 0}, _DEAD_S)
    return Passed(
        "With the lid off the board stood the stirrer still, with too little water it took the "
        "heat away; both came back with lid and water."
    )


_DO = {
    "take-lid": "Hands off the bowl: lift the lid and keep it off.",
    "put-lid": "Put the lid back on.",
    "float-down": "Push the float down under water and hold it there, hand outside the bowl.",
    "float-up": "Let the float rise again.",
}


def _stirs(visit: Visit) -> bool:
    reading = visit.session.reading
    return reading is not None and reading.stir_share > 0


def _heats(visit: Visit) -> bool:
    reading = visit.session.reading
    return reading is not None and reading.heat_share > 0


def _withholds(
    visit: Visit,
    switch: str,
    act: str,
    back: str,
    words: str,
    on: Callable[[Visit], bool],
    otherwise: str,
) -> None:
    session = visit.session
    if not session.until(lambda: on(visit), _WITHHELD_S):
        raise StepFailed(f"Nothing to take away with {words}: it was off before.")
    visit.act(act, _DO[act])
    visit.need_inputs({switch: 0})
    if not session.until(lambda: not on(visit), _WITHHELD_S):
        raise StepFailed(f"{otherwise} with {words}: do not use the rig.")
    visit.act(back, _DO[back])
    visit.need_inputs({switch: 1})
    if not session.until(lambda: on(visit), _WITHHELD_S):
        raise StepFailed(f"What was taken away with {words} did not come back.")


def trips(visit: Visit) -> Passed:
    """Every probe pulled, the guard probe made hot, and the computer silenced: each trips with
    its own code."""
    found: dict[str, Any] = {}
    for name in PROBES:
        seconds = provoke(
            visit,
            (f"probe-{name}",),
            f"pull-{name}",
            f"Pull the {name} probe's plug now.",
            HAND_S + _PROBE_S,
        )
        visit.act(f"plug-{name}", f"Plug the {name} probe in again.")
        clear(visit)
        found[f"probe-{name}"] = round(seconds, 1)
    found["body"] = _guard(visit)
    visit.say("This program falls silent now, as a computer that crashed would.")
    found["lease"] = round(provoke(visit, ("lease",), "", "", _LEASE_S), 1)
    clear(visit)
    return Passed(
        "Each pulled probe, a hot guard probe and a silent computer trips with its own code.",
        {"after_s": found},
    )


def _guard(visit: Visit) -> float:
    """The probe from the crock's band made hot: the board must take it for the body's."""
    try:
        seconds = provoke(
            visit,
            _HOT_BODY,
            "guard-hot",
            "Take the guard probe off the crock's band and hold it in very hot water.",
            HAND_S + _HOT_S,
        )
    except StepFailed as failed:
        if any(f"({word}" in str(failed) for word in ("bath-", "jump-bath", "swapped")):
            raise StepFailed(
                "The board took the probe from the crock's band for the bath's: bath and body "
                f"probe are exchanged. Put each where its name says. {failed}"
            ) from failed
        raise
    visit.act("guard-back", "Put the guard probe back under its band, tight.")
    if not visit.session.until(lambda: _body_near_bath(visit), HAND_S + _COOLS_S):
        raise StepFailed("The guard probe did not come back to the crock's temperature.")
    clear(visit)
    return round(seconds, 1)


def _body_near_bath(visit: Visit) -> bool:
    reading = visit.session.reading
    if reading is None or reading.body_c is None or reading.bath_c is None:
        return False
    return reading.body_c - reading.bath_c < _NEAR_K


def provoke(visit: Visit, codes: tuple[str, ...], act: str, line: str, within_s: float) -> float:
    """Heat, do something that must trip with one of the codes, and see that it does; the seconds
    it took. Raises StepFailed."""
    session = visit.session
    with heated(visit) as mark:
        session.wait(2.0)
        begun_ms = session.now_ms
        if act:
            visit.act(act, line)
        else:
            session.leasing = False
        session.until(lambda: bool(session.since(mark, "trip")), within_s)
        found = session.since(mark, "trip")
        if not found:
            raise StepFailed(f"Nothing tripped within {within_s:g} s, expected was {codes[0]}.")
        if found[0]["tr"] not in codes:
            raise StepFailed(f"Expected was {codes[0]}. {told(found[0])}")
    visit.need_inputs({"load": 0}, _DEAD_S)
    return float(found[0]["at_ms"] - begun_ms) / 1000


def clear(visit: Visit) -> None:
    """Clear the trip as soon as its cause has gone."""
    session = visit.session
    end_ms = session.now_ms + round(1000 * HAND_S)
    while not session.ask("clear").get("ok"):
        if session.now_ms >= end_ms:
            raise StepFailed("The trip's cause is still there: mend it, then go on.")
        session.wait(1.0)
