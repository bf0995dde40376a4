"""What dump writes, loads reads back; and whatever loads accepts, the board accepts."""

from __future__ import annotations

import contextlib

from hypothesis import given
from hypothesis import strategies as st

from glossbath import recipe
from glossbath.chocolate.phase import PhasePlan, Window
from glossbath.errors import RecipeError
from glossbath.recipe import Composition, Recipe
from glossbath_board.program import NAMES, Phase, Program


def milli(low: int, high: int) -> st.SearchStrategy[float]:
    """Numbers in thousandths, as the board keeps them."""
    return st.integers(low * 1000, high * 1000).map(lambda value: value / 1000)


LINES = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=40)


@st.composite
def phase_plans(draw: st.DrawFn, name: str, target_c: float) -> PhasePlan:
    below_k, above_k = draw(milli(0, 2)), draw(milli(0, 2))
    timeout_ms = draw(st.integers(60_000, 4 * 3_600_000))
    return PhasePlan(
        name=name,
        target_c=target_c,
        window=Window(round(target_c - below_k - 0.001, 3), round(target_c + above_k, 3)),
        dwell_s=draw(st.integers(0, timeout_ms - 1)) / 1000,
        timeout_s=timeout_ms / 1000,
        stir_share=draw(st.integers(0, 1000)) / 1000,
        bath_low_c=draw(milli(5, 17)),
        bath_high_c=draw(milli(54, 60)),
    )


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    melt_c, soak_c = draw(milli(36, 50)), draw(milli(36, 50))
    cool_c = draw(milli(18, 30))
    reheat_c, hold_c = draw(milli(30, 34)), draw(milli(30, 34))
    targets = (melt_c, soak_c, cool_c, reheat_c, hold_c)
    fat_percent = draw(st.integers(0, 100))
    rest = Composition(carbohydrate_share=(100 - fat_percent) / 100)
    return Recipe(
        name=draw(LINES),
        chocolate=draw(st.sampled_from(["dark", "milk", "white", "own"])),
        version=draw(st.integers(1, 9999)),
        fat_share=fat_percent / 100,
        max_c=draw(milli(52, 55)),
        sources=tuple(draw(st.lists(LINES, min_size=1, max_size=5))),
        phases=tuple(
            draw(phase_plans(name, target)) for name, target in zip(NAMES, targets, strict=True)
        ),
        composition=draw(st.sampled_from([None, rest])),
    )


def board_program(plan: Recipe) -> Program:
    """The recipe as the board takes it; raises the board's OrderError."""
    program = Program(len(plan.phases), round(plan.max_c * 1000), 1000)
    for at, phase in enumerate(plan.phases):
        numbers = (
            phase.target_c,
            phase.window.low_c,
            phase.window.high_c,
            phase.dwell_s,
            phase.timeout_s,
            phase.stir_share,
            phase.bath_low_c,
            phase.bath_high_c,
        )
        program.put(at, Phase(phase.name, [round(number * 1000) for number in numbers]))
    program.check()
    return program


@given(recipes())
def test_a_recipe_written_and_read_is_the_same(plan: Recipe) -> None:
    text = recipe.dump(plan)
    again = recipe.loads(text, "written")
    assert again == plan
    assert again.checksum() == plan.checksum()
    assert recipe.dump(again) == text


@given(recipes())
def test_the_board_accepts_what_the_host_accepts(plan: Recipe) -> None:
    board_program(recipe.loads(recipe.dump(plan), "written"))


@given(st.data())
def test_a_changed_number_is_refused_in_one_sentence_or_good_for_the_board(
    data: st.DataObject,
) -> None:
    lines = recipe.dump(recipe.load("dark")).splitlines()
    numeric = [at for at, line in enumerate(lines) if line.partition(" = ")[2][:1].isdigit()]
    at = data.draw(st.sampled_from(numeric))
    value = data.draw(st.floats() | st.integers(-(10**30), 10**30) | st.integers(0, 100))
    lines[at] = f"{lines[at].partition(' = ')[0]} = {value}"
    try:
        plan = recipe.loads("\n".join(lines), "changed")
    except RecipeError as error:
        assert "\n" not in str(error)
        assert str(error).startswith("changed")
    else:
        board_program(plan)


@given(st.text())
def test_any_text_is_a_recipe_or_refused(text: str) -> None:
    with contextlib.suppress(RecipeError):
        recipe.loads(text, "any text")
