"""Screen, report, process and desk name the same temperatures while a recipe runs.

Every temperature that any of them tells a person to bring the chocolate to, or to keep it at, lies
in a window of the recipe that runs, and once it is being used, in its working window.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from glossbath.chocolate import rescue
from glossbath.chocolate.seed import SURVIVES_C
from glossbath.chocolate.windows import from_phases
from glossbath.client.messages import Health, Reading, Snapshot
from glossbath.keeper.cycle_writer import CycleHeader, CycleWriter
from glossbath.process.remelting import shortened
from glossbath.process.seeding import Seeding
from glossbath.recipe import Recipe, builtin_names, load
from glossbath.record import open_cycle
from glossbath.report.page import page
from glossbath.view.rig_view import RigView
from glossbath.view.sentences import doing, next_step

TEMPERATURES = re.compile(
    r"(?<![±\d.])(\d+(?:\.\d+)?)(?: to (\d+(?:\.\d+)?))? °C(?! (?:above|below) the window)"
)
FORM_IV_C = 29.0
"""Below it form IV forms beside form V (Greweling 2007)."""
BEGAN_NS = 1_700_000_000 * 10**9


@pytest.fixture(params=builtin_names())
def recipe(request: pytest.FixtureRequest) -> Recipe:
    return load(request.param)


def named(*sentences: str) -> set[float]:
    """Every temperature in some sentences; a distance from a window is none."""
    found = [number for sentence in sentences for number in TEMPERATURES.findall(sentence)]
    return {float(each) for pair in found for each in pair if each}


def in_a_window(recipe: Recipe, celsius: float, *names: str) -> bool:
    phases = [phase for phase in recipe.phases if not names or phase.name in names]
    return any(phase.window.low_c <= celsius <= phase.window.high_c for phase in phases)


def reading(recipe: Recipe, at: int, celsius: float, time_s: float = 60.0) -> Reading:
    plan = recipe.phases[at]
    return Reading(
        time_s=time_s, wall="2026-02-03T08:30:00Z", chocolate_c=celsius, bath_c=celsius,
        body_c=celsius, target_c=plan.target_c, bath_target_c=celsius, heat_share=0.0,
        chill_share=0.0, stir_share=plan.stir_share, state="running", phase=plan.name,
        phase_index=at, phase_elapsed_s=60.0, phase_left_s=600.0, cycle_left_s=None,
    )  # fmt: skip


def test_the_screen_leads_through_the_recipes_own_windows(recipe: Recipe) -> None:
    snapshot = Snapshot(
        rig="invented", virtual=True, engine="", board="", firmware="", state="running",
        recipe=recipe.name, chocolate=recipe.chocolate, phases=list(recipe.phases), batch_kg=1.0,
        health=Health(True, True, 0, 0, 0, 0, 0, 0, True),
    )  # fmt: skip
    for at, plan in enumerate(recipe.phases):
        for celsius in np.arange(20.0, recipe.max_c, 0.5):
            view = RigView()
            view.fold([snapshot, reading(recipe, at, float(celsius))], 0.0)
            now, coming = named(doing(view)), named(next_step(view))
            assert now == {plan.target_c}
            assert in_a_window(recipe, plan.target_c, plan.name)
            ahead = recipe.phases[at + 1 : at + 2]
            assert all(in_a_window(recipe, c, *(p.name for p in ahead)) for c in coming)


def test_the_way_back_leads_through_the_recipes_own_windows(recipe: Recipe) -> None:
    lost_c = from_phases(recipe.chocolate, recipe.phases).lost_above_c
    for celsius in np.arange(15.0, recipe.max_c, 0.25):
        for good in (True, False):
            _, lines = shortened(recipe, float(celsius), in_temper=good)
            told = named(lines[0].partition("°C.")[2], *lines[1:]) - {
                float(celsius),
                SURVIVES_C,
                lost_c,
            }
            assert all(in_a_window(recipe, c) for c in told), (celsius, lines)


def test_a_held_batch_is_led_to_its_working_window_or_melted_again(recipe: Recipe) -> None:
    windows = from_phases(recipe.chocolate, recipe.phases)
    for step in range(int(10 * (recipe.max_c - 15.0))):
        celsius = round(15.0 + step / 10, 1)
        for thicker in (False, True):
            held = rescue.hold(celsius, windows, held_s=4 * 3600.0, thicker=thicker)
            whither = () if held.action in ("again", "melt") else ("hold",)
            # What it is, what it is compared with, and what the crystals do is no advice.
            named_only = {celsius, SURVIVES_C, FORM_IV_C, windows.cool.low_c, windows.cool.high_c}
            facts = r"above [\d.]+ °C its crystals melt away"
            told = named(*(re.sub(facts, "", line) for line in held.lines)) - named_only
            assert all(in_a_window(recipe, c, *whither) for c in told), (celsius, held)


def test_seed_is_asked_for_where_it_lives_and_above_the_cooling_target(recipe: Recipe) -> None:
    if recipe.seed is None:
        return
    cool = next(at for at, phase in enumerate(recipe.phases) if phase.name == "cool")
    seeding = Seeding(recipe.seed, 1.0, 0.36)
    seeding.follow(reading(recipe, cool, 40.0))
    told = named(seeding.request)
    assert told == {recipe.seed.seed_c, SURVIVES_C}
    assert recipe.phases[cool].target_c <= recipe.seed.seed_c <= SURVIVES_C


def test_a_report_of_a_cycle_as_the_recipe_says_finds_no_fault_with_it(
    recipe: Recipe, tmp_path: Path
) -> None:
    header = CycleHeader("invented", True, "", "", "", recipe, BEGAN_NS, 1.0, "")
    writer = CycleWriter(tmp_path, header)
    time_s = 0
    for at, plan in enumerate(recipe.phases):
        before = recipe.phases[at - 1].target_c if at else 24.0
        way = np.linspace(before, plan.target_c, 60)
        for celsius in (*way, *[plan.target_c] * int(plan.dwell_s / 10 + 6)):
            one = reading(recipe, at, round(float(celsius), 2), float(time_s))
            writer.reading(one, time_s * 1000, "1", BEGAN_NS + time_s * 10**9, time_s * 10**9)
            if time_s % 500 == 0:
                writer.sync(float(time_s))
            time_s += 10
    writer.finish("complete", BEGAN_NS + time_s * 10**9)
    assert writer.close()
    text = re.sub(r"<svg.*?</svg>|<style.*?</style>|<[^>]*>", " ", page(open_cycle(writer.folder)))
    assert not re.search(r"never reached|outside its|above its|below its", text)
    text = text.partition("Where this comes from")[0]  # sources speak for themselves
    assert all(in_a_window(recipe, celsius) for celsius in named(text)), sorted(named(text))
