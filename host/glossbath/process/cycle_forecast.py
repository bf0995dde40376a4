"""The keeper's forecast of its cycle: time left, the curve ahead, and a word when it goes wrong.

A forecast is a comfort. Whatever fails in it, the cycle and its supervision go on without one.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from glossbath.checks import Figures
from glossbath.checks.alarms import Annunciator
from glossbath.chocolate.phase import PhasePlan
from glossbath.client.messages import Reading
from glossbath.errors import InputError
from glossbath.recipe import Recipe
from glossbath.thermal.forecast import Forecaster, Outlook
from glossbath.thermal.model import (
    Knowledge,
    RigModel,
    board_values,
    knowledge_of,
    learned_path,
    load_model,
    model_path,
)

from .start_request import Said

RENEW_S = 120.0
NO_FORECAST = "there is no forecast for this cycle"
_HELD = ("melt", "soak")
"""Phases that wait where they cannot be reached. The others go on: chocolate that is stirred for
hours where it sets grows thick, so that a hold there would have no safe place."""
_GOES_ON = "The rig goes on trying, within its limits, until the phase's time is over."
_GOES_ON_DO = "Do one of these, or stop the cycle and melt the chocolate again."
_HELD_DO = (
    "Do one of these and resume the recipe once the temperature moves, or stop the cycle. Nothing "
    "goes on by itself."
)
_REACHED = (
    "What could not be reached can be reached again.",
    "The rig still holds: its time waits, nothing goes on by itself.",
    "Resume the recipe when you are there.",
)
_AGAIN = "in-reach"
_COIL_SHARE = 0.6
"""Of the measured chill: ice water warms as it takes up heat; engineering choice."""
_RIG_DID = "The rig goes on; its limits hold as ever."


def known_of(rig: str) -> Knowledge:
    """What forecast and control take the rig for: as its cycles have taught, else as it was
    identified, else the reference rig."""
    try:
        return knowledge_of(rig)
    except InputError:
        return Knowledge(RigModel.default(), RigModel.default())


def figures_of(rig: str) -> Figures:
    """What the computer's own cut-offs take for this rig's figures; the usual ones where it was
    never identified. What cycles have taught since does not count: limits learn nothing."""
    try:
        model = load_model(rig)
    except InputError:
        return Figures()
    if not model.measured:
        return Figures()
    return Figures(
        bath_j_per_k=model.bath_j_per_k,
        body_j_per_k=model.body_j_per_k,
        body_w_per_k=model.probe_bath_w_per_k,
        coil_w_per_k=_COIL_SHARE * model.chill_w_per_k,
        heater_w=model.heater_w,
    )


def model_orders(rig: str, model: RigModel) -> list[dict[str, Any]]:
    """What tells the board the model it steers by; nothing for a rig that was never measured,
    since the board has defaults of its own."""
    if not (model_path(rig).exists() or learned_path(rig).exists()):
        return []
    return [{"k": "model", "v": board_values(model)}]


def _held_words(phase: PhasePlan) -> str:
    """What the rig does with a phase of heating that cannot be reached."""
    return (
        f"The rig holds the recipe in its phase {phase.name}: its time waits, it stirs and heats "
        f"on as well as it can, never above {phase.window.high_c:g} °C. All limits hold as ever."
    )


def _blank(reading: Reading) -> Reading:
    """A reading in a cycle without a forecast."""
    in_cycle = reading.state in ("running", "held") and reading.phase_left_s is None
    return msgspec.structs.replace(reading, left_unknown=NO_FORECAST if in_cycle else "")


class CycleForecast:
    """Forecasts one cycle on a rig. curve is (time_s, chocolate °C) from the last renewal on."""

    def __init__(
        self,
        recipe: Recipe,
        known: Knowledge,
        batch_kg: float,
        alarms: Annunciator,
        hold: Callable[[], None],
        said: Said | None = None,
    ) -> None:
        """hold orders the board to hold the recipe where it is. said is what a person says of the
        kitchen."""
        said = said or Said()
        self._recipe = recipe
        self._hold = hold
        self.curve: list[tuple[float, float]] = []
        self._alarms = alarms
        self._code = ""
        self._hopeless = False
        self._forecaster: Forecaster | None = None
        try:
            self._forecaster = Forecaster(
                recipe,
                known.model,
                batch_kg,
                said.room_c,
                renew_s=RENEW_S,
                steering=known.steering,
                ice_kg=said.ice_kg,
                tap_c=said.tap_c,
                judged=known.identified,
            )
        except InputError as error:
            self._fail(str(error))

    def foretell(self, reading: Reading) -> Reading:
        """The reading with the time left in its phase and cycle."""
        if self._forecaster is None:
            return _blank(reading)
        try:
            outlook = self._forecaster.update(reading)
        except Exception as error:  # a forecast must never end a cycle
            self._fail(f"{type(error).__name__}: {error}")
            return _blank(reading)
        self._tell(outlook)
        self._warn(outlook.problem, reading)
        if outlook.renewed:
            self.curve = outlook.curve
        by_clock = reading.phase == "hold"
        return msgspec.structs.replace(
            reading,
            phase_left_s=reading.phase_left_s if by_clock else outlook.phase_left_s,
            cycle_left_s=outlook.cycle_left_s,
            phase_range_s=None if by_clock else outlook.phase_range_s,
            cycle_range_s=outlook.cycle_range_s,
            left_unknown=outlook.unknown,
        )

    def end(self) -> None:
        """The cycle is over: nothing is expected any more."""
        self.curve = []
        self._settle("")
        self._alarms.over("no-forecast")
        self._alarms.over("out-of-reach")
        self._alarms.over(_AGAIN)
        self._hopeless = False

    def _fail(self, why: str) -> None:
        """Go on without a forecast, and show why the time left stays blank."""
        self._forecaster = None
        words = (
            f"There is no forecast for this cycle: {why}",
            _RIG_DID,
            "Nothing: watch the rig.",
        )
        self._alarms.call("no-forecast", "low", words)

    def _tell(self, outlook: Outlook) -> None:
        finding = outlook.finding
        self._settle(finding.code if finding is not None else "")
        if finding is not None and finding.code != self._code:
            self._code = finding.code
            words = (finding.sentence, _RIG_DID, "Look at it when you can.")
            self._alarms.call(finding.code, "low", words)

    def _warn(self, problem: str, reading: Reading) -> None:
        """Say that the cycle cannot succeed as things are, until it can, and hold it meanwhile."""
        if problem and not self._hopeless:
            phase = self._recipe.phases[reading.phase_index]
            waits = phase.name in _HELD
            did, do = (_held_words(phase), _HELD_DO) if waits else (_GOES_ON, _GOES_ON_DO)
            self._alarms.over(_AGAIN)
            self._alarms.call("out-of-reach", "medium", (problem, did, do))
            if waits and reading.state == "running":
                self._hold()
        elif self._hopeless and not problem:
            self._alarms.over("out-of-reach")
            if reading.state == "held":
                self._alarms.call(_AGAIN, "low", _REACHED)
        if reading.state != "held":
            self._alarms.over(_AGAIN)
        self._hopeless = bool(problem)

    def _settle(self, code: str) -> None:
        if self._code and self._code != code:
            self._alarms.over(self._code)
            self._code = ""
