"""Who else looks at a cycle of kitchens.py, and fills columns of its table.

First the rig is identified by its own experiment with water in the bowl, as commissioning does it.
Then the forecast that a keeper makes follows the cycle, with the rig's model or, where none was
found, as a rig that nobody has measured: its findings are false in a healthy kitchen.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field

from chain import Chain, project
from random_kitchens import Kitchen

from glossbath.client.messages import Reading
from glossbath.errors import InputError
from glossbath.recipe import load
from glossbath.recipe.program import board_program
from glossbath.thermal.forecast.follow import Forecaster
from glossbath.thermal.model import RigModel, board_values, water
from glossbath.thermal.tuning import Known, fit, identify_recipe
from glossbath.virtual.plants import plant_of

_LATER_S = 600.0


@dataclass
class Columns:
    """None is 'not measured'. Times in s; shares 0 to 1."""

    model: RigModel | None = None
    """What the experiment has found of this rig."""
    values: list[int] | None = None
    """What the board is told of it; None: nothing, it keeps the reference model."""
    identified: bool | None = None
    refused: str = ""
    """Why the identification refused its record."""
    findings: list[str] | None = None
    """What a person was told of this healthy kitchen."""
    forecast_error: float | None = None
    """Of the time to working temperature, said at the start, over the truth, less one."""
    forecast_later: float | None = None
    """The same ten minutes into the cycle."""
    hopeless_after_s: float | None = None
    """When it was said that the cycle cannot succeed."""
    extra: dict[str, float] = field(default_factory=dict)


class Onlooker:
    """Follows one cycle as a keeper's forecast does."""

    def __init__(self, kitchen: Kitchen, hold_s: float, model: RigModel | None) -> None:
        recipe = load(kitchen.chocolate).with_hold(hold_s)
        self._forecaster = Forecaster(
            recipe, model or RigModel(water_kg=kitchen.water_kg), kitchen.batch_kg, kitchen.room_c
        )
        self._hold_s = hold_s
        self._said: list[tuple[float, float]] = []
        self._findings: list[str] = []
        self._hopeless_s: float | None = None

    def look(self, reading: Reading) -> None:
        """A reading, once a second."""
        outlook = self._forecaster.update(reading)
        if outlook.finding is not None and outlook.finding.code not in self._findings:
            self._findings.append(outlook.finding.code)
        if outlook.problem and self._hopeless_s is None:
            self._hopeless_s = reading.time_s
        if outlook.cycle_left_s is not None:
            ready_s = reading.time_s + outlook.cycle_left_s - self._hold_s
            if not self._said or (len(self._said) == 1 and reading.time_s >= _LATER_S):
                self._said.append((reading.time_s, ready_s))

    def tell(self, columns: Columns, ready_s: float | None) -> None:
        """Fill in columns; ready_s is when the hold began, if it did."""
        columns.findings = self._findings
        columns.hopeless_after_s = self._hopeless_s
        if ready_s is None or ready_s <= _LATER_S:
            return
        for at, (time_s, said_s) in enumerate(self._said):
            if at == 0 and time_s < _LATER_S:
                columns.forecast_error = said_s / ready_s - 1.0
            else:
                columns.forecast_later = said_s / ready_s - 1.0


def identify(kitchen: Kitchen, plant: str, columns: Columns) -> None:
    """Run this rig's identification: sets model, values, identified and refused."""
    parameters = dataclasses.replace(kitchen, chocolate="water").parameters(plant)
    rig = plant_of(
        parameters,
        room_c=kitchen.room_c,
        room_rh_percent=kitchen.humidity_percent,
        stable_share=0.0,
    )
    program = board_program(identify_recipe("water"), kitchen.batch_kg)
    run = Chain(rig, program, project(None), seed=kitchen.seed, noise_c=kitchen.probe_noise_c)
    known = Known(kitchen.water_kg, water(kitchen.batch_kg), kitchen.room_c)
    columns.identified = False
    try:
        columns.model = fit(run.readings(), known).model
    except InputError as error:
        columns.refused = run.trace.end if run.trace.end != "complete" else str(error)[:60]
        return
    columns.values = board_values(columns.model)
    columns.identified = True
