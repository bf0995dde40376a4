"""Identification on the virtual rig: what it is made of is found again, and poor records are
refused with the reason."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import msgspec
import pytest
from chain import Event
from recipe_run import recipe_run, water_bowl

from glossbath.client.messages import Reading
from glossbath.errors import InputError
from glossbath.thermal.model import RigModel, board_values, chocolate, water
from glossbath.thermal.tuning import Identified, Known, fit, identify_recipe
from glossbath.thermal.tuning.bowl import Bowl
from glossbath.thermal.tuning.picture import picture
from glossbath.thermal.tuning.solution import Unknown
from glossbath.thermal.tuning.trace import trace_of
from glossbath.thermal.tuning.unknowns import STRUCTURES, Rig
from glossbath.virtual.chocolates import bowl_of
from glossbath.virtual.distributed.parameters import slab_of

KNOWN = Known(3.0, water(1.0))

# What the virtual rig is made of (rig/parameters.py): 250 W; 3 kg at 900 J/(kg K); 40 W/K from
# body to bath; 1.5 + 0.4 W/K to the room; 30 W/K to the ice water.
TRUTH = {
    "heater_w": 250.0,
    "body_j_per_k": 2700.0,
    "body_bath_w_per_k": 40.0,
    "room_w_per_k": 1.9,
    "chill_w_per_k": 30.0,
}


@pytest.mark.parametrize("name", TRUTH)
def test_rig_is_found_again(identified: Identified, name: str) -> None:
    near = 0.10 if name == "room_w_per_k" else 0.05
    assert getattr(identified.model, name) == pytest.approx(TRUTH[name], rel=near)
    interval = identified.intervals[name]
    # An interval tells of noise, not of what lumps leave out: a few per cent.
    assert interval.low * 0.95 <= TRUTH[name] <= interval.high * 1.05
    assert interval.low < interval.value < interval.high


@pytest.mark.parametrize("structure", STRUCTURES, ids=len)
def test_no_fit_can_end_outside_what_a_model_may_be(
    experiment: list[Reading], structure: tuple[Unknown, ...]
) -> None:
    trace = trace_of(experiment)
    bowl = Bowl(trace, KNOWN.contents, KNOWN.described(), 24.0)
    for unknown in Rig(trace, KNOWN, bowl, structure, True).unknowns:
        if unknown.name in RigModel.__struct_fields__:
            for end in (unknown.low, unknown.high):
                value = math.exp(end) if unknown.logarithm else end
                msgspec.structs.replace(RigModel(), **{unknown.name: value}).check()


def test_room_is_found_when_nobody_tells_it(identified: Identified) -> None:
    assert identified.intervals["room_c"].value == pytest.approx(24.0, abs=1.5)


def test_model_explains_the_record(identified: Identified) -> None:
    assert identified.rms_k < 0.06
    assert identified.measured_c.shape == identified.predicted_c.shape


def test_bowl_of_water_says_nothing_of_chocolate(identified: Identified) -> None:
    reference = RigModel.default()
    assert identified.model.stirred_w_per_k == reference.stirred_w_per_k
    assert "stirred_w_per_k" not in identified.model.uncertainty_shares
    assert identified.intervals["stirred_w_per_k"].value > 0.0


def test_measured_model_is_trusted_more_by_the_board(identified: Identified) -> None:
    assert board_values(identified.model)[-1] > board_values(RigModel.default())[-1]


def test_twice_the_stated_water_makes_everything_twice(experiment: list[Reading]) -> None:
    # The heat balance is linear: without a known heat capacity nothing could be told at all.
    known = Known(6.0, water(2.0), base=RigModel(bowl_j_per_k=500.0))
    assert fit(experiment, known).model.heater_w == pytest.approx(500.0, rel=0.05)


def test_ordinary_batch_of_chocolate_identifies_too() -> None:
    readings = recipe_run(identify_recipe("milk"), bowl_of("milk")).readings()
    found = fit(readings, Known(3.0, chocolate(1.0, 0.33, "milk")))
    assert found.model.heater_w == pytest.approx(250.0, rel=0.05)
    # Bath to bowl in the virtual rig, half stirred, with the bowl's wall: 4.4 W/K.
    assert found.model.bowl_w_per_k(0.5, 1.0) == pytest.approx(4.4, rel=0.08)
    factor = found.intervals["contents_factor"]
    assert factor.low < 1.0 < factor.high
    assert max(reading.chocolate_c or 0.0 for reading in readings) <= 45.0


@pytest.mark.parametrize("contents", ["water", "dark", "milk", "white"])
def test_experiment_is_a_recipe_within_what_its_chocolate_may_have(contents: str) -> None:
    recipe = identify_recipe(contents)
    # Common practice, no source: dark at most 50 °C, milk 45 °C, white 40 °C.
    most = {"water": 50.0, "dark": 50.0, "milk": 45.0, "white": 40.0}[contents]
    assert max(phase.target_c for phase in recipe.phases) <= most
    assert [phase.name for phase in recipe.phases] == ["melt", "soak", "cool", "reheat", "hold"]


@pytest.mark.parametrize(
    # The bath's and the chocolate's limits of the experiment, by hand from the temperatures that
    # it leads the bath to; what it heats must trip no later than a batch of its kind.
    ("contents", "max_c", "bath_high_c", "stirs"),
    [
        ("water", 49.0, 47.5, [0.5, 0.5, 1.0, 0.2, 0.8]),
        ("dark", 52.0, 50.5, [0.5, 0.5, 1.0, 0.2, 0.8]),
        ("milk", 47.0, 45.5, [0.5, 0.5, 1.0, 0.2, 0.8]),
        ("white", 42.0, 40.5, [0.5, 0.5, 1.0, 0.2, 0.8]),
    ],
)
def test_the_experiment_keeps_the_limits_of_its_chocolate(
    contents: str, max_c: float, bath_high_c: float, stirs: list[float]
) -> None:
    recipe = identify_recipe(contents)
    assert recipe.max_c == max_c
    assert max(phase.bath_high_c for phase in recipe.phases) == bath_high_c
    assert [phase.stir_share for phase in recipe.phases] == stirs
    assert [phase.dwell_s for phase in recipe.phases] == [120.0, 900.0, 1500.0, 1200.0, 600.0]
    assert {phase.timeout_s for phase in recipe.phases} == {4 * 3600.0}


def test_unknown_contents_are_refused() -> None:
    with pytest.raises(InputError, match="use water, dark, milk, white"):
        identify_recipe("soup")


@pytest.mark.parametrize(
    ("events", "reason"),
    [
        (
            [
                (3000.0, lambda run: run.plant.set_lid(True)),
                (3900.0, lambda run: run.plant.set_lid(False)),
            ],
            "as with an open lid",
        ),
        ([(1500.0, lambda run: run.plant.lose_water(1.0))], "leave the rig alone|open lid"),
    ],
)
def test_disturbed_rig_is_refused(events: list[Event], reason: str) -> None:
    readings = recipe_run(identify_recipe(), water_bowl(), events=events).readings()
    with pytest.raises(InputError, match=reason):
        fit(readings, KNOWN)


def test_ice_that_runs_out_leaves_the_chill_uncertain_and_the_rest_known() -> None:
    run = recipe_run(
        identify_recipe(), water_bowl(), events=[(0.0, lambda run: run.plant.take_ice(1.95))]
    )
    found = fit(run.readings(), Known(3.0, water(1.0), 24.0))
    assert found.model.heater_w == pytest.approx(250.0, rel=0.05)
    assert found.model.uncertainty("chill_w_per_k") > 0.3
    assert "repeat with more ice" in found.remarks[0]


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"crock_mm": 14.0, "heater_w": 330.0},
        {"heater_w": 110.0, "bath_probe_wall_share": 0.25, "bath_probe_up_share": 0.9},
        {"crock_mm": 5.0, "bath_probe_up_share": 0.1, "body_probe_jacket_share": 0.05},
    ],
    ids=["usual", "thick wall", "weak, probe at the wall", "thin wall, probe low"],
)
def test_a_rig_of_another_physics_is_identified(changed: dict[str, float]) -> None:
    """A conducting wall, two layers of water and ice of finite pace: none is in the model."""
    rig = replace(slab_of("water"), **changed)
    found = fit(recipe_run(identify_recipe(), rig).readings(), Known(3.0, water(1.0), 24.0))
    # What the jacket loses to the room never arrives: a tenth or so of the element's power.
    assert 0.82 * rig.heater_w < found.model.heater_w < 1.03 * rig.heater_w
    loss = rig.jacket_room_w_per_k + rig.crock_room_w_per_k + rig.lid_w_per_k
    assert found.model.room_w_per_k == pytest.approx(loss + rig.core_room_w_per_k, rel=0.4)
    assert "wall_w_per_k" in found.intervals


@pytest.mark.parametrize(
    ("kind", "changed"),
    [
        ("milk", {"chocolate_kg": 1.7, "heater_w": 460.0, "crock_mm": 6.0}),
        ("white", {"chocolate_kg": 0.8, "crock_mm": 11.0, "heater_w": 240.0}),
        ("dark", {"chocolate_kg": 2.5, "heater_w": 120.0, "ice_kg": 0.0}),
    ],
    ids=["milk, thin wall", "white, thick wall", "dark, weak, no ice"],
)
def test_a_batch_that_melts_in_its_own_way_is_identified(
    kind: str, changed: dict[str, float]
) -> None:
    """Its fat melts in two peaks, over another range than the handbook's, at the wall first."""
    rig = replace(slab_of(kind), **changed)
    batch = chocolate(rig.chocolate_kg, 0.35, kind)
    found = fit(recipe_run(identify_recipe(kind), rig).readings(), Known(3.0, batch, 24.0))
    assert 0.80 * rig.heater_w < found.model.heater_w < 1.12 * rig.heater_w
    heater = found.intervals["heater_w"]
    assert heater.high < 1.3 * heater.value
    assert board_values(found.model)[-1] > board_values(RigModel.default())[-1]


def test_lid_open_all_the_time_is_refused() -> None:
    run = recipe_run(
        identify_recipe(), water_bowl(), events=[(0.0, lambda run: run.plant.set_lid(True))]
    )
    with pytest.raises(InputError, match="open lid"):
        fit(run.readings(), KNOWN)


def changed(readings: list[Reading], begin_s: float, **values: object) -> list[Reading]:
    """The readings, with other values from begin_s on."""
    return [
        msgspec.structs.replace(reading, **values) if reading.time_s >= begin_s else reading
        for reading in readings
    ]


def test_a_large_bath_that_is_led_for_half_an_hour_is_no_stuck_probe() -> None:
    """5.2 kg of water in a crock of 5.4 kg that an 830 W cooker has warmed: the bath is led at one
    temperature while the crock gives off its heat to a bowl of 5.3 kg."""
    rig = water_bowl(
        5.3,
        heater_w=830.0,
        body_kg=5.4,
        body_water_w_per_k=25.6,
        water_kg=5.2,
        bowl_kg=1.5,
        water_bowl_w_per_k=97.0,
        bowl_chocolate_w_per_k=19.4,
    )
    run = recipe_run(identify_recipe(), rig, seed=4, room_c=15.0)
    found = fit(run.readings(), Known(5.2, water(5.3), 15.0))
    assert found.model.heater_w == pytest.approx(830.0, rel=0.1)


@pytest.mark.parametrize(
    ("name", "begin_s"), [("chocolate_c", 600.0), ("bath_c", 400.0), ("body_c", 3600.0)]
)
def test_stuck_probe_is_named(experiment: list[Reading], name: str, begin_s: float) -> None:
    last = next(getattr(it, name) for it in experiment if it.time_s >= begin_s)
    with pytest.raises(InputError, match=f"The {name[:-2]} probe stood still"):
        fit(changed(experiment, begin_s, **{name: last}), KNOWN)


def test_faulty_probe_is_named(experiment: list[Reading]) -> None:
    with pytest.raises(InputError, match=r"The bath probe has no good value in \d+ %"):
        fit(changed(experiment, 5000.0, bath_c=None), KNOWN)


def test_some_missing_readings_do_no_harm(experiment: list[Reading]) -> None:
    holes = [it for it in experiment if it.time_s % 100 > 3]
    assert fit(holes, KNOWN).model.heater_w == pytest.approx(250.0, rel=0.05)


def test_short_record_is_refused(experiment: list[Reading]) -> None:
    with pytest.raises(InputError, match="runs for 10 min"):
        fit(experiment[:600], KNOWN)


def test_record_without_a_cycle_is_refused(experiment: list[Reading]) -> None:
    with pytest.raises(InputError, match="no running cycle"):
        fit(changed(experiment, 0.0, state="idle"), KNOWN)
    with pytest.raises(InputError, match="no running cycle"):
        fit([], KNOWN)


def test_record_without_chill_leaves_the_chill_as_it_was(experiment: list[Reading]) -> None:
    heating = [it for it in experiment if it.phase in ("melt", "soak")][:3300]
    found = fit(changed(heating, 0.0, chill_share=0.0), Known(3.0, water(1.0), 24.0))
    assert found.model.heater_w == pytest.approx(250.0, rel=0.1)
    assert found.model.chill_w_per_k == RigModel.default().chill_w_per_k
    assert "repeat with ice" in found.remarks[0]


def test_record_without_heat_is_refused(experiment: list[Reading]) -> None:
    soaking = [it for it in experiment if it.phase == "cool"]
    with pytest.raises(InputError, match="heated by"):
        fit(soaking, KNOWN)


@pytest.mark.parametrize("kg", [float("nan"), 0.0, -1.0, 50.0])
def test_absurd_water_is_refused(experiment: list[Reading], kg: float) -> None:
    with pytest.raises(InputError, match="water_kg"):
        fit(experiment, Known(kg, water(1.0)))


def test_picture_is_drawn(identified: Identified, tmp_path: Path) -> None:
    for ending in ("png", "svg"):
        path = tmp_path / f"fit.{ending}"
        picture(identified, path)
        assert path.stat().st_size > 10_000
    with pytest.raises(InputError, match="cannot be written"):
        picture(identified, tmp_path / "missing" / "fit.png")
    with pytest.raises(InputError, match=r"\.png, \.svg or"):
        picture(identified, tmp_path / "fit.xyz")
