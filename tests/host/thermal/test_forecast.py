"""The forecast before heating, held against what the virtual rig then does."""

from __future__ import annotations

import msgspec
import pytest
from recipe_run import recipe_run

from glossbath.errors import InputError
from glossbath.recipe import Recipe, load
from glossbath.thermal.forecast import Forecast, Start, forecast
from glossbath.thermal.model import RigModel, board_values
from glossbath.virtual.chocolates import bowl_of

ROOM_C = 24.0
AT_REST = Start(ROOM_C, ROOM_C, ROOM_C)
HOLD_S = 600.0


def recipe_of(kind: str) -> Recipe:
    return load(kind).with_hold(HOLD_S)


def of(kind: str = "dark", model: RigModel | None = None, **changed: float) -> Forecast:
    values = {"batch_kg": 1.0, "room_c": ROOM_C} | changed
    return forecast(recipe_of(kind), model or RigModel.default(), AT_REST, **values)


@pytest.mark.parametrize("kind", ["dark", "milk", "white"])
@pytest.mark.parametrize("trust", [400, 900])
def test_every_phase_takes_as_long_as_foretold(kind: str, trust: int) -> None:
    uncertainties = {} if trust == 400 else dict.fromkeys(("heater_w", "body_j_per_k"), 0.02)
    uncertainties |= {} if trust == 400 else {"stirred_w_per_k": 0.03}
    model = RigModel(uncertainty_shares=uncertainties)
    assert board_values(model)[-1] == pytest.approx(trust, abs=15)
    foretold = of(kind, model)
    run = recipe_run(recipe_of(kind), bowl_of(kind), board_model=board_values(model))
    readings = run.readings()
    took = run.phase_times_s()
    assert [phase.name for phase in foretold.phases] == list(took)
    for phase in foretold.phases:
        assert phase.seconds.value == pytest.approx(took[phase.name], rel=0.10), phase.name
    assert foretold.total_s.value == pytest.approx(sum(took.values()), rel=0.05)
    heat_kwh = sum(reading.heat_share for reading in readings) * 250.0 / 3.6e6
    assert foretold.energy_kwh.value == pytest.approx(heat_kwh, rel=0.05)
    assert foretold.ice_kg.value == pytest.approx(2.0 - run.plant.ice_kg, abs=0.2)
    worst_k = max(
        abs(celsius - (readings[round(time_s)].chocolate_c or 0.0))
        for time_s, celsius, _ in foretold.curve
        if time_s < len(readings) and readings[round(time_s)].phase == "melt"
    )
    assert worst_k < 2.5


def test_uncertainties_are_those_of_the_model() -> None:
    guessed, measured = (
        of(),
        of(model=RigModel(uncertainty_shares=dict.fromkeys(("heater_w",), 0.02))),
    )
    assert guessed.total_s.uncertainty > measured.total_s.uncertainty > 60.0
    melt = guessed.phases[0].seconds
    # 15 % of heater power are about 15 % of heating time; two standard uncertainties are told.
    assert melt.uncertainty == pytest.approx(0.3 * melt.value, rel=0.5)
    soak = next(phase for phase in guessed.phases if phase.name == "soak")
    assert soak.seconds.value == pytest.approx(600.0, abs=5.0)
    assert soak.seconds.uncertainty < 5.0


def test_weak_heater_and_big_batch_take_longer() -> None:
    usual = of().total_s.value
    assert of(model=RigModel(heater_w=150.0)).total_s.value > 1.2 * usual
    assert of(batch_kg=2.0).total_s.value > 1.05 * usual
    assert of(room_c=15.0).total_s.value > usual


def test_warm_start_is_quicker() -> None:
    warm = forecast(recipe_of("dark"), RigModel.default(), Start(45.0, 48.0, 48.0), 1.0, ROOM_C)
    assert warm.phases[0].seconds.value < 600.0


def test_phase_that_cannot_end_is_told_before_heating() -> None:
    told = of(model=RigModel(heater_w=60.0, room_w_per_k=4.0))
    assert told.problem.startswith("Phase melt would not end within its 180 min")
    assert [phase.name for phase in told.phases] == ["melt"]


def test_too_little_ice_is_told_before_heating() -> None:
    told = of(model=RigModel(ice_kg=1.0))
    assert "The ice may run out" in told.problem
    assert told.problem in told.sentences()
    assert of(model=RigModel(ice_kg=3.0)).problem == ""


def test_sentences_have_time_energy_and_ice() -> None:
    time, ready, needs = of().sentences()[:3]
    assert "ready to use after" in ready
    assert "melt 51 ±" in time
    assert "soak 10," in time
    assert "kWh" in needs
    assert "kg of ice" in needs


def test_curve_can_be_drawn() -> None:
    told = of()
    times = [point[0] for point in told.curve]
    assert len(times) <= 200
    assert times == sorted(times)
    assert times[0] == 0.0
    assert times[-1] == pytest.approx(told.total_s.value)


@pytest.mark.parametrize(
    "changed",
    [
        {"batch_kg": float("nan")},
        {"batch_kg": 0.0},
        {"batch_kg": 15.0},
        {"room_c": float("nan")},
        {"room_c": 75.0},
    ],
)
def test_absurd_input_is_refused(changed: dict[str, float]) -> None:
    with pytest.raises(InputError):
        of(**changed)


@pytest.mark.parametrize("name", ["chocolate_c", "bath_c", "body_c"])
def test_absurd_start_is_refused(name: str) -> None:
    start = msgspec.structs.replace(AT_REST, **{name: float("nan")})
    with pytest.raises(InputError, match="look at its probe"):
        forecast(recipe_of("dark"), RigModel.default(), start, 1.0, ROOM_C)
