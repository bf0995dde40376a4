"""The steps of a commissioning, one table, and which of them still stand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from glossbath_board.settings import COMMISSIONED, WATER_ONLY

from . import (
    cutout,
    electrician,
    identifying,
    probing,
    proving,
    provoking,
    signing,
    wiring,
)
from .record import Result
from .visit import Passed, Visit


def _nothing(values: Mapping[str, Any]) -> dict[str, Any]:
    return {}


def _probes(values: Mapping[str, Any]) -> dict[str, Any]:
    return {f"probe.{name}": rom for name, rom in values["probes"].items()}


def _corrections(values: Mapping[str, Any]) -> dict[str, Any]:
    return {
        f"cal.{name}": [kept["offset_mc"], kept["gain_ppm"]]
        for name, kept in values["calibration"].items()
    }


def _stalled(values: Mapping[str, Any]) -> dict[str, Any]:
    limit = values["limit_ma"]
    return {} if limit is None else {"limit.stir-stalled": limit}


def _water_only(values: Mapping[str, Any]) -> dict[str, Any]:
    return {"level": WATER_ONLY}


def _model(values: Mapping[str, Any]) -> dict[str, Any]:
    return {"model": values["model"]} if values["done"] else {}


def _commissioned(values: Mapping[str, Any]) -> dict[str, Any]:
    return {"level": COMMISSIONED}


def _name(values: Mapping[str, Any]) -> dict[str, Any]:
    return {"rig": values["name"]}


@dataclass(frozen=True)
class Step:
    """One step. why is told to the person.

    needs are the steps that have to stand before it, stale_after those after which it has to be
    done again; of_firmware means another firmware has to be tried again. settings gives, from the
    step's own values, what the board has to hold for the step to stand.
    """

    code: str
    title: str
    why: str
    run: Callable[[Visit], Passed]
    needs: tuple[str, ...] = ()
    stale_after: tuple[str, ...] = ()
    of_firmware: bool = False
    settings: Callable[[Mapping[str, Any]], dict[str, Any]] = _nothing


_WIRED = ("inputs", "outputs", "pulse", "stirrer", "probes", "calibration", "electrician")
_PROVEN = ("proof", "cutout", "second", "stop", "interlocks", "trips")

STEPS = (
    Step(
        "identity",
        "Who is who",
        "The board gets this rig's name, and heats nothing until the steps that follow allow it.",
        wiring.identity,
        settings=_name,
    ),
    Step(
        "inputs",
        "Each input alone",
        "Wires that are swapped, cut or touch show here and not when it matters.",
        wiring.inputs,
        needs=("identity",),
    ),
    Step(
        "outputs",
        "Each output alone",
        "Every output has to move what it is for, and nothing else.",
        wiring.outputs,
        needs=("inputs",),
    ),
    Step(
        "pulse",
        "The relay's pulse",
        "A board that hangs with its pin high must lose the relay.",
        wiring.pulse,
        needs=("outputs",),
    ),
    Step(
        "stirrer",
        "The stirrer's current",
        "The board tells a stalled stirrer from a turning one by its current.",
        wiring.stirrer,
        needs=("outputs",),
        settings=_stalled,
    ),
    Step(
        "probes",
        "Which probe is which",
        "A probe that is taken for another one heats the wrong thing.",
        probing.naming,
        needs=("identity",),
        settings=_probes,
    ),
    Step(
        "calibration",
        "How far each probe is off",
        "Half a degree decides whether chocolate is in temper.",
        probing.calibrate,
        needs=("probes",),
        stale_after=("probes",),
        settings=_corrections,
    ),
    Step(
        "electrician",
        "What an electrician tries and measures",
        "Cut-outs, RCD and earth protect without any software.",
        electrician.electrician,
    ),
    Step(
        "proof",
        "Relay and switch",
        "Neither may be welded, and only a hand at the rig may let heat begin.",
        proving.proof,
        needs=_WIRED,
        of_firmware=True,
        settings=_water_only,
    ),
    Step(
        "cutout",
        "The hardware cut-out in its circuit",
        "It ends the heat when all else fails: a bypass or a wrong wire shows only here.",
        cutout.cutout,
        needs=("proof",),
        stale_after=("electrician",),
    ),
    Step(
        "second",
        "The second cut-out in its circuit",
        "It is there for the day on which the first one fails.",
        cutout.second,
        needs=("proof",),
        stale_after=("electrician",),
    ),
    Step(
        "stop",
        "Stop and arm",
        "The button has to end everything, at any time.",
        proving.stop,
        needs=("proof",),
        of_firmware=True,
    ),
    Step(
        "interlocks",
        "Lid and water",
        "What must not turn or heat without them.",
        provoking.interlocks,
        needs=("proof",),
        of_firmware=True,
    ),
    Step(
        "trips",
        "Trips on purpose",
        "Cut-offs that were never seen to act are a hope.",
        provoking.trips,
        needs=("proof",),
        stale_after=("probes",),
        of_firmware=True,
    ),
    Step(
        "identify",
        "The rig's own heat model",
        "A rig that is known overshoots less.",
        identifying.identify,
        needs=_PROVEN,
        settings=_model,
    ),
    Step(
        "sign",
        "Signature",
        "Somebody answers for what was found.",
        signing.sign,
        needs=(*_WIRED, *_PROVEN, "identify"),
        stale_after=("identity", *_WIRED, *_PROVEN, "identify"),
        of_firmware=True,
        settings=_commissioned,
    ),
)


def step_of(code: str) -> Step | None:
    """The step with a code."""
    return next((step for step in STEPS if step.code == code), None)


def standing(
    results: Mapping[str, Result], firmware: str, held: Mapping[str, Any]
) -> dict[str, str]:
    """For each step '' where its result stands, else why it has to be done (again).

    held are the board's own settings by key, for what wanted_settings asked.
    """
    found: dict[str, str] = {}
    for step in STEPS:
        found[step.code] = _why(step, results, firmware, held, found)
    return found


def wanted_settings(results: Mapping[str, Result]) -> dict[str, Any]:
    """What the board has to hold by the results so far, by key."""
    wanted: dict[str, Any] = {}
    for step in STEPS:
        result = results.get(step.code)
        if result is not None and result.ok:
            wanted |= step.settings(result.values)
    return wanted


def _why(
    step: Step,
    results: Mapping[str, Result],
    firmware: str,
    held: Mapping[str, Any],
    found: Mapping[str, str],
) -> str:
    result = results.get(step.code)
    if result is None:
        return "not done yet"
    if not result.ok:
        return "failed"
    if step.of_firmware and result.firmware != firmware:
        return f"done with firmware {result.firmware}"
    for code in step.needs:
        if found[code]:
            return f"{code} comes before it"
    for code in step.stale_after:
        if results[code].when > result.when:
            return f"{code} was done again"
    for key, value in step.settings(result.values).items():
        # A level is reached by one that is higher.
        now = held.get(key)
        if now != value and not (key == "level" and isinstance(now, int) and now > value):
            return f"the board does not hold {key} any more"
    return ""
