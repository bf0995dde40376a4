"""The keeper's forecast of its cycle: time left, the curve ahead, and a word when it goes wrong.

A forecast is a comfort. Whatever fails in it, the cycle and its supervision go on without one.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from glossbath.checks import Figures
from glossbath.checks.alarms import Annunciator
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

from .out_of_reach import OutOfReach
from .start_request import Said

RENEW_S = 120.0
NO_FORECAST = "there is no forecast for this cycle"
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
        back: Callable[[int], None],
        said: Said | None = None,
    ) -> None:
        """hold orders the board to hold the recipe where it is, back to go back to the phase of
        that number and hold there. said is what a person says of the kitchen."""
        said = said or Said()
        self._out_of_reach = OutOfReach(recipe, alarms, hold, back)
        self.curve: list[tuple[float, float]] = []
        self._alarms = alarms
        self._code = ""
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
            self._out_of_reach.look(reading, "")
            return _blank(reading)
        try:
            outlook = self._forecaster.update(reading)
        except Exception as error:  # a forecast must never end a cycle
            self._fail(f"{type(error).__name__}: {error}")
            return _blank(reading)
        self._tell(outlook)
        self._out_of_reach.look(reading, outlook.problem)
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

    def add_ice(self, kg: float) -> None:
        """A person has put this much ice into the bucket, in kg."""
        if self._forecaster is not None:
            self._forecaster.add_ice(kg)
        self._out_of_reach.mended()

    def back_refused(self, why: str) -> None:
        """The board did not go back to the phase that it was ordered to; why, as a sentence."""
        self._out_of_reach.refused(why)

    def end(self) -> None:
        """The cycle is over: nothing is expected any more."""
        self.curve = []
        self._settle("")
        self._alarms.over("no-forecast")
        self._out_of_reach.end()

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

    def _settle(self, code: str) -> None:
        if self._code and self._code != code:
            self._alarms.over(self._code)
            self._code = ""
