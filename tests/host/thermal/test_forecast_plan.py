"""The plan before a start, held against what the kitchen then does, on both plants."""

from __future__ import annotations

import functools
import re
from dataclasses import replace

import msgspec
import pytest
from recipe_run import recipe_run
from sampling import sample

from glossbath.errors import InputError
from glossbath.recipe import load
from glossbath.thermal.forecast import Beginning, Kitchen, Plan, Start, plan
from glossbath.thermal.model import UNCERTAIN, RigModel
from glossbath.virtual.plants import PLANTS, AnyParameters, reference

MEASURED = RigModel(uncertainty_shares=dict.fromkeys(UNCERTAIN, 0.04))
HOLD_S = 3600.0
ICE_J_PER_KG = 333.6e3
"""Latent heat of fusion of ice: CRC Handbook of Chemistry and Physics, enthalpy of fusion."""
WATER_J_PER_KG_K = 4186.0
"""OpenStax College Physics, table of specific heats."""

# room, tap, ice, what cannot be done: the hot room, no ice, all of it gone too soon.
HOPELESS = [
    (28.0, 28.0, 0.0, "cooling"),
    (28.0, 28.0, 0.3, "cooling"),
    (33.0, 28.0, 0.0, "cooling"),
]
WELL = [(22.0, 14.0, 2.0), (28.0, 28.0, 2.0), (33.0, 28.0, 4.0), (17.0, 12.0, 0.0)]
HOT = sample([(plant, *kitchen) for kitchen in HOPELESS for plant in PLANTS], of=3)
COOLED = sample([(plant, *kitchen) for kitchen in WELL for plant in PLANTS], of=3)


def begin(
    room_c: float,
    tap_c: float | None,
    ice_kg: float | None,
    *,
    model: RigModel = MEASURED,
    batch_kg: float = 1.0,
    **changed: float,
) -> Beginning:
    return Beginning(
        load("dark").with_hold(HOLD_S),
        msgspec.structs.replace(model, **changed),
        Start(room_c, room_c, room_c),
        batch_kg,
        Kitchen(room_c, True, tap_c, ice_kg),
    )


@functools.cache
def told(room_c: float, tap_c: float, ice_kg: float) -> Plan:
    return plan(begin(room_c, tap_c, ice_kg))


def said(made: Plan) -> str:
    return " ".join(made.sentences)


def rig(plant: str, tap_c: float, ice_kg: float, **changed: float) -> AnyParameters:
    water = "reservoir_water_c" if plant == "lumped" else "bucket_water_c"
    return replace(reference(plant, "dark"), ice_kg=ice_kg, **{water: tap_c}, **changed)


WALL = {
    "lumped": ("water_bowl_w_per_k", "bowl_chocolate_w_per_k", "chocolate_room_w_per_k"),
    "distributed": (
        "bowl_water_w_per_k",
        "bowl_layer_w_per_k",
        "layer_core_w_per_k",
        "core_room_w_per_k",
    ),
}
"""What grows with the wall of a larger bowl, as the 2/3 power of what it holds."""


def filled(usual: AnyParameters, plant: str, kg: float) -> AnyParameters:
    """The same rig with a bowl for that much chocolate, full."""
    size = kg ** (2.0 / 3.0)
    walls = {name: getattr(usual, name) * size for name in ("bowl_kg", *WALL[plant])}
    return replace(usual, chocolate_kg=kg, **walls)


@functools.cache
def ends(parameters: AnyParameters, room_c: float) -> tuple[str, bool]:
    """How the cycle ends in that kitchen, and whether its hold stays in its window."""
    recipe = load("dark").with_hold(HOLD_S)
    trace = recipe_run(recipe, parameters, room_c=room_c).run(16 * 3600.0)
    hold = trace.of("hold")
    return trace.end, bool(hold) and max(hold) <= recipe.phases[-1].window.high_c + 0.3


@pytest.mark.parametrize(("plant", "room_c", "tap_c", "ice_kg", "what"), HOT)
def test_what_the_kitchen_cannot_do_is_told_before_the_start(
    plant: str, room_c: float, tap_c: float, ice_kg: float, what: str
) -> None:
    made = told(room_c, tap_c, ice_kg)
    assert re.match(f"This (cannot|may not) be (reached|kept): the {what} ", made.sentences[0])
    assert "kg of ice in the chill water" in said(made)
    end, kept = ends(rig(plant, tap_c, ice_kg), room_c)
    assert end != "complete" or not kept


@pytest.mark.parametrize(("plant", "room_c", "tap_c", "ice_kg"), COOLED)
def test_what_the_kitchen_can_do_is_not_called_hopeless(
    plant: str, room_c: float, tap_c: float, ice_kg: float
) -> None:
    made = plan(begin(room_c, tap_c, ice_kg))
    assert made.missed == "" and "What would help" not in said(made)
    assert ends(rig(plant, tap_c, ice_kg), room_c) == ("complete", True)


@pytest.mark.parametrize(("plant", "room_c", "tap_c", "ice_kg", "what"), HOT)
def test_the_ice_that_the_plan_asks_for_suffices(
    plant: str, room_c: float, tap_c: float, ice_kg: float, what: str
) -> None:
    asked = re.search(r"about ([\d.]+) kg of ice", said(told(room_c, tap_c, ice_kg)))
    assert asked is not None
    assert ends(rig(plant, tap_c, float(asked[1])), room_c) == ("complete", True)


@pytest.mark.parametrize("plant", sample(PLANTS, of=2))
def test_the_smaller_batch_and_the_cooler_room_suffice_too(plant: str) -> None:
    usual = rig(plant, 28.0, 1.4)
    big = filled(usual, plant, 8.0)
    assert ends(big, 30.0)[0] != "complete"
    made = plan(begin(30.0, 28.0, 1.4, batch_kg=8.0))
    smaller = re.search(r"a batch of (\d+) g or less", said(made))
    cooler = re.search(r"a room of (\d+) °C or cooler", said(made))
    assert smaller is not None and cooler is not None
    less = filled(usual, plant, float(smaller[1]) / 1000.0)
    assert ends(less, 30.0) == ("complete", True)
    assert ends(big, float(cooler[1])) == ("complete", True)


@pytest.mark.parametrize("plant", sample(PLANTS, of=2))
def test_a_heater_too_weak_for_its_losses_is_told_before_it_heats(plant: str) -> None:
    made = plan(begin(15.0, 10.0, 2.0, heater_w=35.0))
    assert made.sentences[0].startswith("This cannot be reached: the melting needs 46 °C")
    stronger = re.search(r"a cooker of (\d+) W or more", said(made))
    assert stronger is not None
    assert ends(rig(plant, 10.0, 2.0, heater_w=35.0), 15.0)[0] != "complete"
    enough = float(stronger[1])
    assert ends(rig(plant, 10.0, 2.0, heater_w=enough), 15.0) == ("complete", True)


@pytest.mark.parametrize("plant", sample(PLANTS, of=2))
def test_a_hold_in_a_room_warmer_than_its_window_needs_ice_to_its_end(plant: str) -> None:
    hold = msgspec.structs.replace(begin(34.0, 28.0, 1.0), recipe=load("dark"))
    made = plan(hold)
    assert re.match(r"This (cannot|may not) be kept: the hold is up to 31 °C", said(made))
    asked = re.search(r"about ([\d.]+) kg of ice", said(made))
    assert asked is not None
    for ice_kg, kept in ((1.0, False), (float(asked[1]), True)):
        trace = recipe_run(load("dark"), rig(plant, 28.0, ice_kg), room_c=34.0).run(8 * 3600.0)
        assert (max(trace.of("hold")) <= 31.3) is kept


def test_the_kg_of_ice_are_those_of_a_sum_by_hand() -> None:
    """3 kg of water and 0.5 kg of steel in a crock of 2.7 kJ/K from 50 °C to the 25 that bring
    1 kg of chocolate from 48 to 28; 2 kg of chill water from 20 to 0 °C; 0.6 W/K from a room of
    24 °C into the bucket for the 80 min until all is cool; a fifth more, since not all of it meets
    the pumped water."""
    cooled_j = (3.0 * WATER_J_PER_KG_K + 250.0 + 2700.0) * 25.0 + 1.0 * 1700.0 * 20.0
    bucket_j = 2.0 * WATER_J_PER_KG_K * 20.0
    room_j = 0.6 * 24.0 * 80.0 * 60.0
    by_hand_kg = 1.2 * (cooled_j + bucket_j + room_j) / ICE_J_PER_KG
    needed_kg = plan(begin(24.0, 20.0, None)).needed_kg
    assert needed_kg == pytest.approx(by_hand_kg, rel=0.1)


def test_warmer_water_a_hotter_room_and_a_larger_batch_take_more_ice() -> None:
    usual = plan(begin(24.0, 10.0, None)).needed_kg or 0.0
    # 2 kg of water that are 15 K warmer melt 2 * 4186 * 15 / 333600 = 0.38 kg more, and a fifth.
    assert (plan(begin(24.0, 25.0, None)).needed_kg or 0.0) - usual == pytest.approx(0.45, abs=0.1)
    assert (plan(begin(33.0, 10.0, None)).needed_kg or 0.0) > usual
    assert (plan(begin(24.0, 10.0, None, batch_kg=3.0)).needed_kg or 0.0) > usual


def test_ice_of_which_nobody_has_said_how_much_is_asked_for() -> None:
    hot = plan(begin(30.0, None, None))
    assert re.match(r"This needs ice: about \d\.\d kg of it in the chill water\.", said(hot))
    assert "Say how much there is" in said(hot)
    assert "Taken for granted: chill water as warm as the room." in said(hot)
    mild = plan(begin(20.0, 12.0, None))
    assert re.match(r"Cooling takes about \d+ min with \d\.\d kg of ice", said(mild))


@pytest.mark.parametrize(
    ("room_known", "tap_c", "model", "guesses"),
    [
        (True, 28.0, MEASURED, ""),
        (False, 28.0, MEASURED, "a room of 33 °C"),
        (True, None, MEASURED, "chill water as warm as the room"),
        (
            False,
            None,
            RigModel.default(),
            "a room of 33 °C; chill water as warm as the room; a rig like the reference one, "
            "since this one was never measured",
        ),
    ],
)
def test_what_nobody_said_or_measured_is_told_as_taken_for_granted(
    room_known: bool, tap_c: float | None, model: RigModel, guesses: str
) -> None:
    hot = begin(33.0, tap_c, 0.0, model=model)
    kitchen = msgspec.structs.replace(hot.kitchen, room_known=room_known)
    last = plan(msgspec.structs.replace(hot, kitchen=kitchen)).sentences[-1]
    assert last == f"Taken for granted: {guesses}." if guesses else "granted" not in last


def test_ice_that_runs_out_just_before_the_end_is_not_said_to_do() -> None:
    """A tenth more heat than was thought leaves hours of cooling to a room of 28 °C."""
    close = plan(begin(28.0, 14.0, 1.0, batch_kg=6.0))
    assert close.missed == ""
    assert said(close).startswith("1 kg of ice may not be enough: as far as can be told ")
    assert re.search(r"; \d\.\d kg make it about \d+ min\.$", said(close))
    assert said(plan(begin(24.0, 14.0, 0.0))).startswith("This may need ice: ")
    assert said(plan(begin(14.0, 10.0, 0.0))).startswith("It will do without ice: ")
    assert said(plan(begin(24.0, 14.0, 2.5))).startswith("2.5 kg of ice will do: ")


def test_a_rig_without_a_chill_bucket_is_not_told_of_ice() -> None:
    dry = plan(begin(28.0, None, None, chill_w_per_k=0.0))
    assert "This rig has no chill bucket" in said(dry)
    assert "kg of ice" not in said(dry) and dry.needed_kg is None
    assert "a room of" in said(dry)
    assert plan(begin(18.0, None, None, chill_w_per_k=0.0)).sentences == ()


def test_of_a_rig_that_was_never_measured_only_what_the_room_decides_is_certain() -> None:
    weak = plan(begin(15.0, 10.0, 2.0, model=RigModel(heater_w=35.0)))
    assert weak.sentences[0].startswith("This may not be reached: ")
    assert "this one was never measured" in said(weak)
    hot = plan(begin(33.0, 28.0, 0.0, model=RigModel.default()))
    assert hot.sentences[0].startswith("This cannot be reached: ")


@pytest.mark.parametrize(
    ("kitchen", "words"),
    [
        (Kitchen(24.0, ice_kg=500.0), "ice must be between 0 and 20 kg, not 500"),
        (Kitchen(24.0, ice_kg=-1.0), "ice must be between 0 and 20 kg"),
        (Kitchen(24.0, ice_kg=float("nan")), "ice must be between 0 and 20 kg"),
        (Kitchen(24.0, tap_c=68.0), "if that is 68 °F, enter 20.0 °C"),
        (Kitchen(75.0), "room must be between 0 and 50 °C"),
        (Kitchen(float("inf")), "room must be between 0 and 50 °C"),
    ],
)
def test_a_kitchen_that_there_is_not_is_refused_in_one_sentence(
    kitchen: Kitchen, words: str
) -> None:
    with pytest.raises(InputError) as refused:
        plan(msgspec.structs.replace(begin(24.0, 14.0, 2.0), kitchen=kitchen))
    assert words in str(refused.value)
    assert str(refused.value).count(". ") == 0
