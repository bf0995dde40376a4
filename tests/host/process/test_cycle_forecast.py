"""The keeper's forecast gives times, and never ends a cycle."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from recipe_run import recipe_run

from glossbath.client.messages import Reading
from glossbath.process.cycle_forecast import CycleForecast, figures_of, known_of, model_orders
from glossbath.recipe import load
from glossbath.thermal.forecast import Finding, Outlook
from glossbath.thermal.model import (
    UNCERTAIN,
    Knowledge,
    Learned,
    RigModel,
    save_learned,
    save_model,
)
from glossbath.virtual.chocolates import bowl_of

from .heard import Heard

KNOWN = Knowledge(RigModel.default(), RigModel.default())


NO_FORECAST = "there is no forecast for this cycle"


def never_held(to: int = 0) -> None:
    pytest.fail("The recipe was held.")


def _reading(time_s: float) -> Reading:
    return Reading(
        time_s=time_s,
        wall="2027-01-15T08:00:00.000Z",
        chocolate_c=24.0,
        bath_c=24.0,
        body_c=24.0,
        target_c=48.0,
        bath_target_c=56.0,
        heat_share=1.0,
        chill_share=0.0,
        stir_share=0.5,
        state="running",
        phase="melt",
        phase_index=0,
        phase_elapsed_s=time_s,
        phase_left_s=None,
        cycle_left_s=None,
    )


def test_a_reading_is_told_how_long_phase_and_cycle_still_take() -> None:
    heard = Heard()
    forecast = CycleForecast(
        load("dark").with_hold(1800), KNOWN, 1.0, heard, never_held, never_held
    )
    told = forecast.foretell(_reading(1.0))
    assert told.phase_left_s is not None and told.cycle_left_s is not None
    # The reference rig melts a kilogram in about three quarters of an hour (design, section 2.7
    # of the reference values: 36.9 min without losses and lags).
    assert 30 * 60 < told.phase_left_s < 60 * 60
    assert told.cycle_left_s > told.phase_left_s + 1800
    assert told.phase_range_s is not None and told.cycle_range_s is not None
    assert told.phase_range_s[0] < told.phase_left_s < told.phase_range_s[1]
    assert told.cycle_range_s[0] < told.cycle_left_s < told.cycle_range_s[1]
    assert told.left_unknown == ""
    assert len(forecast.curve) > 10
    forecast.end()
    assert forecast.curve == []
    assert heard.standing == {}


def test_a_forecast_that_fails_says_so_and_leaves_the_time_left_blank_with_the_reason(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    heard = Heard()
    forecast = CycleForecast(load("dark"), KNOWN, 1.0, heard, never_held, never_held)

    tried: list[Reading] = []

    def fail(self: object, reading: Reading) -> None:
        tried.append(reading)
        raise ZeroDivisionError("invented")

    monkeypatch.setattr("glossbath.thermal.forecast.Forecaster.update", fail)
    reading = _reading(1.0)
    blank = msgspec.structs.replace(reading, left_unknown=NO_FORECAST)
    assert forecast.foretell(reading) == blank
    assert "ZeroDivisionError: invented" in heard.happened("no-forecast")
    assert forecast.foretell(reading) == blank
    assert len(tried) == 1  # it is left alone from then on
    forecast.end()
    assert heard.standing == {}


@pytest.mark.parametrize(
    "keep", [save_model, lambda rig, model: save_learned(rig, Learned(model, True))]
)
def test_only_a_rig_that_was_never_measured_keeps_the_boards_own_model(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, keep: Callable[[str, RigModel], object]
) -> None:
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path))
    assert model_orders("kitchen", RigModel.default()) == []
    model = RigModel(heater_w=240.0)
    keep("kitchen", model)
    (order,) = model_orders("kitchen", model)
    assert (order["k"], order["v"][0]) == ("model", 240)


@pytest.mark.parametrize(
    ("keep", "accused"),
    [(save_model, True), (lambda rig, model: save_learned(rig, Learned(model, True)), False)],
)
def test_what_cycles_alone_have_taught_accuses_nobody(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    keep: Callable[[str, RigModel], object],
    accused: bool,
) -> None:
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path))
    keep("kitchen", RigModel(uncertainty_shares=dict.fromkeys(UNCERTAIN, 0.03)))
    recipe, heard = load("dark").with_hold(1800), Heard()
    forecast = CycleForecast(recipe, known_of("kitchen"), 1.0, heard, never_held, never_held)
    weak = (300.0, lambda run: run.plant.set_mains(0.8))
    for reading in recipe_run(recipe, bowl_of("dark"), room_c=24.0, events=[weak]):
        forecast.foretell(reading)
        if reading.time_s > 1_500.0:
            break
    assert list(heard.standing) == ["heater-weak"] * accused


def foretold(
    monkeypatch: pytest.MonkeyPatch, *outlooks: Outlook
) -> tuple[CycleForecast, Heard, list[str]]:
    """A forecast that says these one after another, what is heard of it, and its orders."""
    heard, held = Heard(), list[str]()
    forecast = CycleForecast(
        load("dark"), KNOWN, 1.0, heard, lambda: held.append("hold"), held.append
    )
    coming = iter(outlooks)
    monkeypatch.setattr(
        "glossbath.thermal.forecast.Forecaster.update", lambda self, reading: next(coming)
    )
    return forecast, heard, held


def in_phase(name: str, index: int, state: str = "running") -> Reading:
    return msgspec.structs.replace(
        _reading(9.0), phase=name, phase_index=index, state=state, phase_left_s=77.0
    )


def test_a_cause_is_told_once_while_it_lasts_and_over_when_it_is(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    weak, lid = Finding("heater-weak", "Weak.", {}), Finding("lid-off", "Off.", {})
    forecast, heard, _ = foretold(
        monkeypatch, *[Outlook(finding=found) for found in (weak, weak, lid, None, lid)]
    )
    forecast.foretell(_reading(1.0))
    assert heard.standing["heater-weak"][0] == "low"
    assert heard.standing["heater-weak"][1][1:] == (
        "The rig goes on; its limits hold as ever.",
        "Look at it when you can.",
    )
    heard.standing.clear()
    forecast.foretell(_reading(2.0))
    assert heard.standing == {}  # not again
    forecast.foretell(_reading(3.0))
    assert heard.happened("lid-off") == "Off."
    forecast.foretell(_reading(4.0))
    assert heard.standing == {}
    forecast.foretell(_reading(5.0))
    assert heard.happened("lid-off") == "Off."
    forecast.end()
    assert heard.standing == {}


def test_a_holds_own_time_counts_and_every_other_phases_is_foretold(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    forecast, _, _ = foretold(monkeypatch, *[Outlook(phase_left_s=5.0, cycle_left_s=6.0)] * 2)
    told = forecast.foretell(in_phase("hold", 4))
    assert (told.phase_left_s, told.cycle_left_s) == (77.0, 6.0)
    assert forecast.foretell(in_phase("reheat", 3)).phase_left_s == 5.0
    assert forecast.curve == []  # none was renewed


def test_a_batch_that_cannot_be_foretold_says_so() -> None:
    heard = Heard()
    forecast = CycleForecast(load("dark"), KNOWN, -1.0, heard, never_held, never_held)
    assert heard.happened("no-forecast").startswith("There is no forecast for this cycle: ")
    assert heard.standing["no-forecast"][0] == "low"
    told = forecast.foretell(_reading(1.0))
    assert told == msgspec.structs.replace(_reading(1.0), left_unknown=NO_FORECAST)


def test_the_computers_cut_offs_take_a_rigs_figures_once_it_was_measured(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path))
    usual = figures_of("kitchen")
    assert usual.heater_w is None
    save_model("kitchen", RigModel.default())
    assert figures_of("kitchen") == usual
    model = RigModel(heater_w=300.0, chill_w_per_k=20.0, uncertainty_shares={"heater_w": 0.05})
    path = save_model("kitchen", model)
    found = figures_of("kitchen")
    assert found.heater_w == 300.0
    # Ice water warms as it takes up heat: three fifths of the measured chill (engineering choice).
    assert found.coil_w_per_k == pytest.approx(12.0)
    assert found.bath_j_per_k == model.bath_j_per_k
    path.write_text("heater_w = 'hot'", "utf-8")
    assert figures_of("kitchen") == usual


def test_a_phase_out_of_reach_is_told_and_held(monkeypatch: pytest.MonkeyPatch) -> None:
    found = Outlook(problem="No ice.", curve=[(0.0, 30.0)], renewed=True)
    forecast, heard, done = foretold(monkeypatch, found)
    forecast.foretell(in_phase("melt", 0))
    assert heard.happened("out-of-reach") == "No ice."
    assert done == ["hold"]
    assert forecast.curve == [(0.0, 30.0)]
    forecast.end()
    assert heard.standing == {} and forecast.curve == []


def test_a_cooling_without_a_forecast_is_not_lost_either_when_its_time_is_over() -> None:
    heard, done = Heard(), list[object]()
    forecast = CycleForecast(load("dark"), KNOWN, -1.0, heard, never_held, done.append)
    late = msgspec.structs.replace(in_phase("cool", 2), phase_elapsed_s=240 * 60 - 30.0)
    forecast.foretell(late)
    assert done == [1] and "out-of-reach" in heard.standing
