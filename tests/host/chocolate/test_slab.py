"""Slab work by the method of mixtures."""

from __future__ import annotations

import pytest

from glossbath.chocolate import slab
from glossbath.chocolate.mixture import Body, mixed_c
from glossbath.chocolate.windows import suggest
from glossbath.errors import InputError

DARK = suggest("dark")


def test_the_parts_mix_to_the_working_target() -> None:
    plan = slab.plan(3, 38, DARK)
    mixed = mixed_c([Body(plan.poured_kg, 1670, plan.cool_to_c), Body(plan.kept_kg, 1670, 38)])
    assert plan.poured_kg == pytest.approx(2)  # two thirds: common practice, no source
    assert mixed == pytest.approx(DARK.work_target_c)
    assert slab.mixed_c(plan.poured_share, plan.cool_to_c, 38) == pytest.approx(mixed)
    assert plan.workable
    assert any("Stop when it thickens" in line for line in plan.sentences())


def test_too_hot_a_batch_asks_for_a_larger_part() -> None:
    plan = slab.plan(3, 45, DARK)
    assert not plan.workable
    assert plan.pour_instead_share is not None
    better = slab.plan(3, 45, DARK, poured_share=plan.pour_instead_share)
    assert better.workable
    assert 26.5 <= better.cool_to_c <= 29


def test_far_too_hot_a_batch_is_cooled_first() -> None:
    plan = slab.plan(3, 59, DARK, poured_share=0.5)
    assert plan.pour_instead_share is None
    assert plan.sentences()[-1] == "Let the batch cool first, then pour."


@pytest.mark.parametrize(
    ("celsius", "action"),
    [(32.1, "again"), (33, "again"), (32, "cool"), (31, "test"), (30, "test"), (29.9, "warm")],
)
def test_dark_above_thirty_two_goes_round_again(celsius: float, action: str) -> None:
    # Common practice, no source: dark over 32 °C must be cooled again.
    assert slab.after(celsius, DARK).action == action


def test_other_kinds_go_by_their_own_window() -> None:
    assert slab.after(31.5, suggest("milk")).action == "again"
    assert slab.after(29.5, suggest("white")).action == "cool"
    assert slab.after(30.5, suggest("white")).action == "again"
    assert "dip test" in slab.after(28.5, suggest("white")).sentences()[0]


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: slab.plan(3, 31, DARK), "warmer than its working window's end of 31 °C"),
        (lambda: slab.plan(-3, 40, DARK), "chocolate must be between"),
        (lambda: slab.plan(3, 104, DARK), r"104 °F, enter 40\.0 °C"),
        (lambda: slab.plan(3, 40, DARK, poured_share=66), "did you mean 66 %"),
        (lambda: slab.mixed_c(0.0, 28, 40), "part poured out must be between 10 and 95 %"),
        (lambda: slab.after(float("nan"), DARK), "missing number"),
    ],
)
def test_input_that_cannot_be_meant_is_refused(call: object, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        call()  # type: ignore[operator]
