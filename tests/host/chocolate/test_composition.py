"""Kinds and legal names, against Codex CXS 87-1981 and Directive 2000/36/EC."""

from __future__ import annotations

import math

import pytest

from glossbath.chocolate.composition import TYPICAL, Composition, check, name_rules
from glossbath.errors import InputError

DARK_70 = Composition(cocoa_share=0.70, cocoa_butter_share=0.42, sugar_share=0.29)


def test_dry_cocoa_is_what_the_label_leaves_after_cocoa_butter() -> None:
    assert DARK_70.dry_cocoa_share == pytest.approx(0.28)
    assert DARK_70.rest_share == pytest.approx(0.01)
    assert DARK_70.kind == "dark"


def test_ordinary_compositions_are_the_kind_they_stand_for() -> None:
    for kind, composition in TYPICAL.items():
        assert composition.kind == kind
        assert all(rule.met for rule in name_rules(composition) if rule.name != "couverture")


def test_a_little_butter_oil_leaves_dark_chocolate_dark() -> None:
    assert Composition(0.55, 0.33, 0.41, 0.03, 0.03).kind == "dark"


@pytest.mark.parametrize(
    ("composition", "name", "part"),
    [
        # Codex CXS 87-1981: 35 % cocoa solids, 18 % cocoa butter, 14 % fat-free cocoa solids.
        (Composition(0.34, 0.19, 0.65), "chocolate", "total cocoa"),
        (Composition(0.36, 0.17, 0.63), "chocolate", "cocoa butter"),
        (Composition(0.40, 0.27, 0.59), "chocolate", "dry cocoa"),
        # Directive 2000/36/EC: milk chocolate 25 % cocoa, 14 % milk, 3.5 % milk fat, 25 % fat.
        (Composition(0.24, 0.21, 0.55, 0.20, 0.05), "milk chocolate", "total cocoa"),
        (Composition(0.30, 0.24, 0.56, 0.13, 0.04), "milk chocolate", "milk"),
        (Composition(0.30, 0.24, 0.53, 0.15, 0.03), "milk chocolate", "milk fat"),
        (Composition(0.28, 0.20, 0.55, 0.15, 0.04), "milk chocolate", "fat"),
        # Codex: white 20 % cocoa butter, 14 % milk solids.
        (Composition(0.19, 0.19, 0.55, 0.25, 0.06), "white chocolate", "cocoa butter"),
        (Composition(0.25, 0.25, 0.60, 0.13, 0.05), "white chocolate", "milk"),
    ],
)
def test_a_missed_minimum_is_named(composition: Composition, name: str, part: str) -> None:
    missed = [
        (rule.name, rule.part)
        for rule in name_rules(composition)
        if not rule.met and rule.name != "couverture"
    ]
    assert missed == [(name, part)]


def test_couverture_needs_thirty_one_per_cent_of_cocoa_butter() -> None:
    # Directive 2000/36/EC.
    def met(share: float) -> bool:
        rules = name_rules(Composition(0.60, share, 0.39))
        return next(rule.met for rule in rules if rule.name == "couverture")

    assert met(0.31)
    assert not met(0.305)


def test_a_rule_reads_as_a_sentence() -> None:
    rule = name_rules(Composition(0.34, 0.19, 0.65))[0]
    assert rule.sentence() == (
        'For the name "chocolate" the total cocoa of 34.0 % misses the minimum of 35 % '
        "(Codex CXS 87-1981)."
    )


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
