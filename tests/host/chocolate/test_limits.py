"""Refusals name the field, the limit and the unit, and guess what was meant."""

from __future__ import annotations

import math

import pytest

from glossbath.chocolate import limits
from glossbath.errors import InputError, quoted


def refusal(call: object) -> str:
    with pytest.raises(InputError) as error:
        call()  # type: ignore[operator]
    return str(error.value)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, -0.1, 10.1])
def test_nothing_outside_the_limits_passes(value: float) -> None:
    sentence = refusal(lambda: limits.number("dose", value, 0, 10, "g"))
    assert sentence.startswith("The dose must be between 0 and 10 g, not ")
    assert sentence.endswith("a missing number." if math.isnan(value) else " g.")


@pytest.mark.parametrize("value", [0, 10, 5.5])
def test_the_limits_themselves_pass(value: float) -> None:
    assert limits.number("dose", value, 0, 10, "g") == value


def test_fahrenheit_gets_a_hint_only_where_it_would_make_sense() -> None:
    # 90 °F = 32.2 °C, by definition of the scale.
    hinted = refusal(lambda: limits.celsius("base", 90, (20, 60)))
    assert hinted == (
        "The base must be between 20 and 60 °C, not 90 °C; if that is 90 °F, enter 32.2 °C."
    )
    assert "°F" not in refusal(lambda: limits.celsius("base", 300, (20, 60)))
    assert "°F" not in refusal(lambda: limits.celsius("base", math.nan, (20, 60)))


@pytest.mark.parametrize(
    ("value", "hint"),
    [
        (36, "did you mean 36 %?"),
        (0.0036, "did you mean 36 %?"),
        (1.2, ""),
        (3, ""),
        (0.0, ""),
        (-5, ""),
    ],
)
def test_a_share_given_as_per_cent_gets_a_hint(value: float, hint: str) -> None:
    sentence = refusal(lambda: limits.share("fat", value, 0.15, 0.70))
    assert sentence.startswith("The fat must be between 15 and 70 %, not ")
    assert ("did you mean" in sentence) == bool(hint)
    assert hint in sentence


def test_masses_may_be_absent_only_where_that_makes_sense() -> None:
    assert limits.mass_kg("crock", 0.0, zero=True) == 0
    assert "between 0.01 and 100 kg" in refusal(lambda: limits.mass_kg("crock", 0.0))


def test_a_persons_own_text_stays_short_and_on_one_line() -> None:
    assert quoted("noon") == "'noon'"
    assert quoted("a\nb\0c") == "'a b c'"
    assert quoted("x" * 3000) == "'" + "x" * 59 + "…'"
