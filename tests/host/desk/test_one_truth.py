"""No sentence of the desk advises leaving the windows of the recipe that runs.

A rig runs each built-in recipe; the forms are filled from it, as on the screen, and asked.
"""

from __future__ import annotations

import re

import numpy as np
import pytest

from glossbath.chocolate import bloom, rescue
from glossbath.chocolate.phase import PhasePlan
from glossbath.chocolate.windows import from_phases
from glossbath.client.messages import Reading, Snapshot
from glossbath.desk import BY_NAME, live
from glossbath.forms.answer import Answer
from glossbath.forms.form import Form
from glossbath.recipe import Recipe, builtin_names, load

LEAVING = re.compile(r"unstable|below (the|its) window|above (the|its) window|melt it|again")


@pytest.fixture(params=builtin_names())
def recipe(request: pytest.FixtureRequest) -> Recipe:
    return load(request.param)


def phase(recipe: Recipe, name: str) -> PhasePlan:
    return next(phase for phase in recipe.phases if phase.name == name)


def inside(recipe: Recipe) -> list[float]:
    """Temperatures all through the recipe's working window."""
    window = phase(recipe, "hold").window
    return [round(float(c), 2) for c in np.linspace(window.low_c, window.high_c, 11)]


def asked(recipe: Recipe, celsius: float, question: str, **typed: str) -> Answer:
    """What a question answers on the screen while the recipe holds at a temperature."""
    reading = Reading(
        time_s=1.0, wall="", chocolate_c=celsius, bath_c=celsius, body_c=celsius, target_c=celsius,
        bath_target_c=None, heat_share=0.0, chill_share=0.0, stir_share=0.4, state="running",
        phase="hold", phase_index=4, phase_elapsed_s=60.0, phase_left_s=None, cycle_left_s=None,
    )  # fmt: skip
    snapshot = Snapshot(
        rig="invented", virtual=True, engine="", board="", firmware="", state="running",
        recipe=recipe.name, chocolate=recipe.chocolate, phases=list(recipe.phases), batch_kg=2.0,
    )  # fmt: skip
    form = Form(BY_NAME[question])
    form.fill(live.values(snapshot, reading))
    for name, text in typed.items():
        form.type(name, text)
    return form.answer()


def test_a_batch_in_its_window_stays_there(recipe: Recipe) -> None:
    for celsius in inside(recipe):
        answer = asked(recipe, celsius, "hold")
        assert answer.values["action"] == "use", (celsius, answer.sentences)
        assert not LEAVING.search(" ".join(answer.sentences))


def test_a_thickening_batch_is_warmed_inside_its_window_only(recipe: Recipe) -> None:
    high_c = phase(recipe, "hold").window.high_c
    for celsius in inside(recipe):
        answer = asked(recipe, celsius, "hold", thicker="yes")
        to_c = answer.values["to_c"]
        assert answer.values["action"] == "melt" or celsius < to_c <= high_c


def test_a_batch_in_good_temper_needs_no_remelting(recipe: Recipe) -> None:
    for celsius in inside(recipe):
        answer = asked(recipe, celsius, "remelt", good="yes")
        assert answer.values["steps"] == []


def test_a_batch_a_little_too_warm_is_judged_the_same_by_hold_and_by_remelt(
    recipe: Recipe,
) -> None:
    """Neither throws away a temper that the other would keep."""
    windows = from_phases(recipe.chocolate, recipe.phases)
    for celsius in (windows.work.high_c + 0.2, windows.lost_above_c):
        held = rescue.hold(celsius, windows)
        back = rescue.remelt(celsius, windows, good_temper=True)
        assert (held.action, back.steps) == ("cool", [])
        assert f"{windows.work_target_c:g} °C" in held.sentences()[0]
        assert f"{windows.work_target_c:g} °C" in back.line


def test_seed_and_slab_land_in_the_recipes_window(recipe: Recipe) -> None:
    window = phase(recipe, "hold").window
    seeded = asked(recipe, 33.5, "seed", at_c="33.5")
    assert window.low_c <= seeded.values["mix_c"] <= window.high_c
    blocked = asked(recipe, 45.0, "seed-block")
    assert window.low_c <= blocked.values["melted_c"] <= window.high_c
    on_slab = asked(recipe, 38.0, "slab", at_c="38")
    assert window.low_c <= on_slab.values["mix_c"] <= window.high_c
    for celsius in inside(recipe):
        text = f"{celsius}"
        answer = asked(recipe, celsius, "slab-mix", slab_c=text, kept_c=text)
        assert answer.values["action"] in ("test", "warm" if celsius < window.low_c else "test")


def test_a_record_of_the_recipe_itself_speaks_for_no_fault(recipe: Recipe) -> None:
    windows = from_phases(recipe.chocolate, recipe.phases)
    hold = phase(recipe, "hold").window
    for coolest_c in (windows.cool.low_c, windows.cool.high_c):
        for warmest_c in (hold.low_c, hold.high_c):
            record = bloom.Record(coolest_c=coolest_c, warmest_c=warmest_c)
            assert bloom.record_words(record, windows) == ["cooled_well", "worked_well"]


def test_unstable_crystals_are_named_only_where_a_source_names_them(recipe: Recipe) -> None:
    # Greweling 2007: below 29 °C form IV forms beside form V.
    windows = from_phases(recipe.chocolate, recipe.phases)
    for celsius in np.arange(20.0, 36.0, 0.1):
        said = " ".join(rescue.hold(float(celsius), windows).sentences())
        if "unstable" in said:
            assert celsius < 29
            assert celsius < windows.work.low_c


def test_the_melt_is_never_called_too_hot(recipe: Recipe) -> None:
    for name in ("melt", "soak"):
        high_c = phase(recipe, name).window.high_c
        answer = asked(recipe, high_c, "overheated", hot_s="600")
        assert answer.values["verdict"] == "unharmed"
        assert len(answer.sentences) == 1
