"""Kinds of chocolate, and compositions that no chocolate can have."""

from __future__ import annotations

import math

import pytest

from glossbath.chocolate.composition import TYPICAL, Composition, check
from glossbath.errors import InputError

DARK_70 = Composition(cocoa_share=0.70, cocoa_butter_share=0.42, sugar_share=0.29)


def test_dry_cocoa_is_what_the_label_leaves_after_cocoa_butter() -> None:
    assert DARK_70.dry_cocoa_share == pytest.approx(0.28)
    assert DARK_70.rest_share == pytest.approx(0.01)
    assert DARK_70.kind == "dark"


def test_ordinary_compositions_are_the_kind_they_stand_for() -> None:
    for kind, composition in TYPICAL.items():
        assert composition.kind == kind


def test_a_little_butter_oil_leaves_dark_chocolate_dark() -> None:
    assert Composition(0.55, 0.33, 0.41, 0.03, 0.03).kind == "dark"


@pytest.mark.parametrize(
    ("composition", "sentence"),
    [
        (Composition(0.30, 0.36, 0.39), "cocoa must be at least as much, not 30 %"),
        (Composition(0.36, 0.27, 0.41, 0.05, 0.06), "milk must be at least as much, not 5 %"),
        (Composition(0.70, 0.40, 0.40), "add up to 110 %"),
        (Composition(0.70, 0.0, 0.29), r"between 15 and 70 %, not 0 %"),
        (Composition(70, 0.40, 0.29), r"cocoa must be .* did you mean 70 %\?"),
        (Composition(0.70, 0.40, math.nan), "sugar must be between 0 and 100 %"),
        (Composition(-0.1, 0.40, 0.3), "cocoa must be between 0 and 100 %, not -10 %"),
    ],
)
def test_impossible_compositions_are_refused(composition: Composition, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        check(composition)
