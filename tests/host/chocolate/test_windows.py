"""Suggested windows against the published ones."""

from __future__ import annotations

import msgspec
import pytest

from glossbath.chocolate.composition import TYPICAL, Composition, Kind
from glossbath.chocolate.phase import Window
from glossbath.chocolate.windows import SOURCES, suggest, with_own
from glossbath.errors import InputError


@pytest.mark.parametrize("kind", ["dark", "milk", "white"])
@pytest.mark.parametrize("name", ["cool", "work"])
def test_a_suggestion_lies_within_a_degree_of_every_source(kind: Kind, name: str) -> None:
    # McGee, a culinary textbook table and a cocoa quality manual (single figures) agree to 1 °C
    # for dark and milk; white differs by 2 °C, so its middle lies within 1 °C of both.
    mine = getattr(suggest(kind), name)
    for source in SOURCES[kind]:
        theirs = getattr(source, name)
        if theirs is not None:
            assert mine.low_c - theirs.high_c <= 1.0
            assert theirs.low_c - mine.high_c <= 1.0


def test_dark_is_worked_at_thirty_to_thirty_one_and_cooled_again_above_thirty_two() -> None:
    # Common practice, no source: work at 30 to 31 °C; over 32 °C it must be cooled again.
    dark = suggest("dark")
    assert (dark.work.low_c, dark.work.high_c) == (30, 31)
    assert dark.lost_above_c == 32
    assert (dark.cool.low_c, dark.cool.high_c) == (28, 29)
    assert dark.work.high_c < 34  # Greweling 2007: form V does not survive above 34 °C.


def test_melting_stays_under_the_ceilings_of_the_trade_and_over_the_memory_of_crystals() -> None:
    # Common practice, no source: milk and white 45 °C at most. Wille and Lutton 1966: form VI
    # melts at 36.3 °C, which melting has to pass.
    for kind, ceiling_c in (("dark", 50), ("milk", 45), ("white", 45)):
        melt = suggest(kind).melt  # type: ignore[arg-type]
        assert 36.3 < melt.low_c < melt.high_c <= ceiling_c


def test_windows_fall_from_dark_to_milk_to_white() -> None:
    dark, milk, white = suggest("dark"), suggest("milk"), suggest("white")
    assert dark.work_target_c > milk.work_target_c > white.work_target_c
    # Section "milk fat": 1 to 2 °C lower for milk and 2 to 4 °C for white.
    assert 1 <= dark.work_target_c - milk.work_target_c <= 2
    assert 2 <= dark.work_target_c - white.work_target_c <= 4


def test_more_milk_fat_lowers_the_windows_and_says_that_it_is_an_estimate() -> None:
    # Greweling 2007: butterfat depresses formation temperature.
    plain = suggest(Composition(0.60, 0.36, 0.39))
    buttery = suggest(Composition(0.57, 0.33, 0.39, 0.03, 0.03))
    assert buttery.kind == "dark"
    assert buttery.work.high_c < plain.work.high_c
    assert buttery.cool.high_c < plain.cool.high_c
    assert buttery.melt == plain.melt
    assert any("(an estimate)" in line for line in buttery.reasons)


def test_the_shift_is_bounded() -> None:
    much = suggest(Composition(0.30, 0.15, 0.30, 0.40, 0.30))
    assert much.shift_c == -1.0
    assert any("may stay soft" in line for line in much.cautions)


def test_the_spread_between_sources_is_told() -> None:
    white = suggest("white")
    assert (white.spread["work"].low_c, white.spread["work"].high_c) == (27, 30)
    assert any("disagree by about 2 °C" in line for line in white.cautions)
    assert "Work at 28 to 29 °C; sources range over 27 to 30 °C." in white.sentences()


def test_unexplained_mass_is_a_caution() -> None:
    made = Composition(0.45, 0.30, 0.40)
    assert any("15 % of the mass is not accounted for" in c for c in suggest(made).cautions)


def test_a_kind_equals_its_ordinary_composition() -> None:
    assert suggest("milk") == suggest(TYPICAL["milk"])
    assert suggest("milk").shift_c == 0


def test_a_suggestion_becomes_plain_data() -> None:
    plain = msgspec.to_builtins(suggest("dark"))
    assert plain["work"] == {"low_c": 30.0, "high_c": 31.0}


def test_impossible_compositions_are_refused() -> None:
    with pytest.raises(InputError, match="add up to 130 %"):
        suggest(Composition(0.9, 0.4, 0.4))


def test_a_makers_own_window_goes_first() -> None:
    made = with_own(suggest("white"), work=Window(28.5, 29.5))
    assert made.work == Window(28.5, 29.5)
    assert made.work_target_c == 29
    assert made.cool == suggest("white").cool


@pytest.mark.parametrize(
    ("cool", "work", "sentence"),
    [
        (None, Window(32, 31), "working window must start below its end"),
        (None, Window(31, 36), "end of the working window must be between 20 and 34 °C, not 36"),
        (Window(82, 84), None, r"82 °F, enter 27\.8 °C"),
        (Window(31, 32), Window(29, 30), "step from cooling to working"),
    ],
)
def test_an_own_window_that_cannot_be_meant_is_refused(
    cool: Window | None, work: Window | None, sentence: str
) -> None:
    with pytest.raises(InputError, match=sentence):
        with_own(suggest("dark"), cool=cool, work=work)
