"""Counts and comparisons of past cycles, by named statistical methods."""

from __future__ import annotations

import random

import pytest

from glossbath.chocolate.learning import Cycle, Lesson, learn, rate
from glossbath.errors import InputError

NAME = "invented dark 62 %"


def cycles(*results: tuple[float, bool]) -> list[Cycle]:
    return [Cycle(NAME, {"hold_c": value}, good) for value, good in results]


def lesson(*results: tuple[float, bool]) -> Lesson:
    return learn(cycles(*results), NAME)


def test_wilson_and_exact_intervals() -> None:
    # Closed forms: Wilson for 8 of 10 with z = 1.959964: 0.4902 to 0.9433; Clopper and Pearson
    # from the beta distribution: 0.4439 to 0.9748.
    made = rate(8, 10)
    assert (made.wilson_low, made.wilson_high) == pytest.approx((0.4902, 0.9433), abs=1e-4)
    assert (made.exact_low, made.exact_high) == pytest.approx((0.4439, 0.9748), abs=1e-4)


def test_an_exact_interval_of_nothing_but_successes() -> None:
    # Closed form: lower end (alpha/2)^(1/n), for 10 of 10: 0.025^0.1 = 0.6915.
    made = rate(10, 10)
    assert made.exact_low == pytest.approx(0.025**0.1)
    assert made.exact_high == 1


@pytest.mark.parametrize("results", [3, 7])
def test_few_cycles_say_nothing(results: int) -> None:
    made = lesson(*[(31.0 + i / 10, i % 2 == 0) for i in range(results)])
    assert not made.enough
    assert made.comparisons == []
    assert "too few to say" in made.sentences()[-1]


def test_hardly_any_bad_results_say_nothing() -> None:
    made = lesson(*[(31.0 + i / 10, i != 0) for i in range(12)])
    assert not made.enough
    assert "With 11 good and 1 bad results" in made.sentences()[-1]


def test_a_setting_that_parts_good_from_bad_is_found() -> None:
    # Fisher's exact test of 8 of 8 against 0 of 8: p = 2/12870.
    low = [(31.0 + i / 100, True) for i in range(8)]
    high = [(32.0 + i / 100, False) for i in range(8)]
    made = lesson(*low, *high)
    (comparison,) = made.comparisons
    assert comparison.told
    assert comparison.p_value == pytest.approx(2 / 12870, rel=1e-6)
    assert (comparison.low.good, comparison.high.good) == (8, 0)
    assert comparison.good_to < 32
    assert made.sentences()[1] == (
        "8 of 8 batches with hold_c of 31.54 or less set well; 0 of 8 of the others: more than "
        "chance."
    )
    assert "Fisher's exact test with Holm's correction, p < 0.001" in made.details()[1]
    assert made.sentences()[-1].endswith("that it caused them is not shown.")


def test_chance_is_not_a_lesson() -> None:
    told = 0
    for seed in range(40):
        rng = random.Random(seed)
        made = learn(
            [
                Cycle(NAME, {f"s{k}": rng.gauss(0, 1) for k in range(5)}, rng.random() < 0.6)
                for _ in range(24)
            ],
            NAME,
        )
        told += any(c.told for c in made.comparisons)
    # Holm's correction keeps the chance of any false lesson at 5 %: 2 of 40 expected.
    assert told <= 5


def test_looking_at_more_settings_asks_for_more() -> None:
    def with_extra(extra: int) -> float:
        rng = random.Random(1)
        rows = [
            Cycle(
                NAME,
                {"hold_c": 31.0 if good else 32.0 + i / 100}
                | {f"x{k}": rng.gauss(0, 1) for k in range(extra)},
                good,
            )
            for i, good in enumerate([True] * 6 + [False] * 6)
        ]
        return next(c.p_value for c in learn(rows, NAME).comparisons if c.setting == "hold_c")

    assert with_extra(4) == pytest.approx(5 * with_extra(0), rel=1e-6)


def test_other_chocolates_do_not_count() -> None:
    rows = cycles(*[(31.0 + i / 10, i % 2 == 0) for i in range(8)])
    other = [Cycle("invented milk", {"hold_c": 29.0}, True)] * 20
    assert learn([*rows, *other], NAME) == learn(rows, NAME)
    assert learn(rows, "unknown").sentences() == [
        f"There is no cycle of 'unknown' yet; there are cycles of '{NAME}'."
    ]
    assert learn([], "unknown").sentences() == ["There is no cycle of 'unknown' yet."]


def test_a_setting_that_never_varied_is_not_compared() -> None:
    made = lesson(*[(31.0, i % 2 == 0) for i in range(10)])
    assert made.enough
    assert made.comparisons == []
    assert "No setting varied enough" in made.sentences()[-1]


def test_a_setting_with_two_values_is_compared() -> None:
    made = lesson(*[(31.0, True)] * 5, *[(32.0, False)] * 3)
    assert made.comparisons[0].split_at == 31.0


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: lesson((float("nan"), True)), "setting 'hold_c' of a cycle must be a number"),
        (lambda: learn([], " "), "Name the chocolate"),
        (lambda: rate(1, 0), "count of cycles must be between 1"),
        (lambda: rate(5, 3), "count of good cycles must be between 0 and 3"),
        (lambda: rate(-1, 3), "not -1 cycles"),
    ],
)
def test_input_that_cannot_be_meant_is_refused(call: object, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        call()  # type: ignore[operator]
