"""The time left as a range: the truth lies in it, and it is no wider than what is known."""

from __future__ import annotations

from dataclasses import replace

import msgspec
import pytest
from recipe_run import recipe_run
from sampling import sample

from glossbath.client.messages import Reading
from glossbath.recipe import load
from glossbath.thermal.forecast import Forecaster, Outlook, Start, forecast
from glossbath.thermal.forecast.spread import Countdown
from glossbath.thermal.model import UNCERTAIN, RigModel, board_values
from glossbath.virtual.plants import PLANTS, AnyParameters, reference

ROOM_C = 24.0
MEASURED = RigModel(uncertainty_shares=dict.fromkeys(UNCERTAIN, 0.04))
RECIPE = load("dark").with_hold(600.0)
OTHER = {"heater_w": 190.0, "water_kg": 3.8}
"""A rig that nobody has measured is not the reference one."""
CASES = [
    (plant, measured, {} if measured else OTHER) for plant in PLANTS for measured in (True, False)
]


def followed(
    parameters: AnyParameters, model: RigModel
) -> tuple[list[tuple[Reading, Outlook]], float, dict[str, float]]:
    """What is told in a cycle, how long that takes, and each of its phases."""
    values = board_values(model) if model.measured else None
    run = recipe_run(RECIPE, parameters, room_c=ROOM_C, board_model=values)
    forecaster = Forecaster(RECIPE, model, 1.0, ROOM_C, renew_s=120.0)
    told = [(reading, forecaster.update(reading)) for reading in run]
    return told, run.trace.time_s[-1], run.phase_times_s()


@pytest.mark.parametrize(("plant", "measured", "changed"), sample(CASES, of=1))
def test_the_truth_lies_in_the_range(
    plant: str, measured: bool, changed: dict[str, float]
) -> None:
    model = MEASURED if measured else RigModel.default()
    told, end_s, phases_s = followed(replace(reference(plant, "dark"), **changed), model)
    inside = []
    for reading, outlook in told[60::60]:
        if outlook.phase_range_s is None or outlook.cycle_range_s is None:
            assert outlook.unknown
            continue
        left_s = phases_s[reading.phase] - reading.phase_elapsed_s
        for low_high, true_s in (
            (outlook.phase_range_s, left_s),
            (outlook.cycle_range_s, end_s - reading.time_s),
        ):
            assert 0.0 <= low_high[0] <= low_high[1]
            inside.append(low_high[0] - 60.0 <= true_s <= low_high[1] + 60.0)
    assert sum(inside) / len(inside) >= 0.9
    assert len(inside) / 2 > 0.9 * len(told[60::60])


def test_a_measured_rigs_range_is_no_wider_than_its_forecast_knows() -> None:
    before = forecast(RECIPE, MEASURED, Start(ROOM_C, ROOM_C, ROOM_C), 1.0, ROOM_C)
    forecaster = Forecaster(RECIPE, MEASURED, 1.0, ROOM_C)
    strange = Forecaster(RECIPE, RigModel.default(), 1.0, ROOM_C)
    run = iter(recipe_run(RECIPE, reference("lumped", "dark"), room_c=ROOM_C))
    for _ in range(20):
        reading = next(run)
        known, guessed = forecaster.update(reading), strange.update(reading)
    assert known.cycle_range_s is not None and guessed.cycle_range_s is not None
    half_s = (known.cycle_range_s[1] - known.cycle_range_s[0]) / 2.0
    worked_s = before.total_s.value - 1200.0  # soak and hold go by the clock
    # What the plants stray at least by is told too: 15 % of what is heated or cooled, and 90 s.
    assert half_s <= max(before.total_s.uncertainty, 0.15 * worked_s + 90.0) * 1.1
    assert guessed.cycle_range_s[1] - guessed.cycle_range_s[0] > 3.0 * half_s


def test_where_the_time_left_is_blank_a_reason_is_said() -> None:
    run = iter(recipe_run(RECIPE, reference("lumped", "dark"), room_c=ROOM_C))
    reading = next(run)
    blind = msgspec.structs.replace(reading, bath_c=None)
    assert Forecaster(RECIPE, MEASURED, 1.0).update(blind).unknown == (
        "a probe gives no usable value"
    )
    weak = RigModel(heater_w=60.0, room_w_per_k=4.0)
    stuck = Forecaster(RECIPE, weak, 1.0).update(reading)
    assert stuck.unknown == "as far as this rig is known, melt would not end in its time"
    well = Forecaster(RECIPE, MEASURED, 1.0).update(reading)
    assert (well.unknown, well.phase_left_s is None) == ("", False)


def test_a_time_left_that_does_not_go_down_is_not_told() -> None:
    stands, slow, well = Countdown(), Countdown(), Countdown()
    for time_s in range(0, 1200, 10):
        stands.add(time_s, 900.0)
        slow.add(time_s, 3000.0 - 0.5 * time_s)
        well.add(time_s, 3000.0 - time_s)
    assert stands.stalled and not slow.stalled and not well.stalled
    # At half the pace 2400 s take 4800.
    assert slow.stretched((2000.0, 2800.0), 2400.0) == (2000.0, pytest.approx(5200.0))
    assert well.stretched((2000.0, 2800.0), 2400.0) == (2000.0, 2800.0)
    stands.restart()
    assert not stands.stalled


@pytest.mark.parametrize(("pace", "told"), [(0.14, False), (0.16, True)])
def test_a_time_left_is_told_from_one_minute_in_seven_on(pace: float, told: bool) -> None:
    countdown = Countdown()
    for time_s in range(0, 1200, 10):
        countdown.add(time_s, 3000.0 - pace * time_s)
    assert countdown.stalled != told


def test_ice_that_was_said_to_be_little_is_counted_from_the_start() -> None:
    """0.4 kg are gone before the chocolate is cool: hours by the room, not minutes by the pump."""
    rig = replace(reference("lumped", "dark"), ice_kg=0.4, reservoir_water_c=14.0)
    run = recipe_run(RECIPE, rig, room_c=22.0, board_model=board_values(MEASURED))
    said = Forecaster(RECIPE, MEASURED, 1.0, 22.0, renew_s=600.0, ice_kg=0.4, tap_c=14.0)
    unsaid = Forecaster(RECIPE, MEASURED, 1.0, 22.0, renew_s=600.0)
    told = [(reading, said.update(reading)) for reading in run]
    end_s = run.trace.time_s[-1]
    inside = []
    for reading, outlook in told[60:-600:60]:
        if outlook.cycle_range_s is not None:
            low_s, high_s = outlook.cycle_range_s
            inside.append(low_s - 60.0 <= end_s - reading.time_s <= high_s + 60.0)
    assert sum(inside) > 0.95 * len(told[60:-600:60])
    believed = unsaid.update(told[0][0])
    assert believed.cycle_left_s is not None
    assert believed.cycle_left_s < 0.75 * end_s
