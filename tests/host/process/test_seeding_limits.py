"""Where seeding begins, how long it waits, and what the record says of the crystals.

Numbers by the method of mixtures: seed and batch are the same chocolate, so 60 g of 22 °C make
1 kg of 33 °C fall by 11 · 0.06/1.06 = 0.62 °C before any of it melts.
"""

from __future__ import annotations

import msgspec
import pytest

from glossbath.errors import GlossbathError
from glossbath.recipe.seed import Seed
from glossbath.words import clock

from .bowl import BUTTER, Bowl, kinds

FAT_SHARE = 21.6 / 381.6  # 36 % of 60 g, of all the fat there is then
HEAT_SHARE = 0.5
"""About so much of the seed melts where nothing tells more (common practice, no source)."""


def coming(celsius: float) -> Bowl:
    """A bowl whose cooling has come to a temperature."""
    bowl = Bowl()
    bowl.now_s += 1
    bowl.seeding.follow(bowl.reading(celsius, 28.0))
    return bowl


def test_seed_is_asked_for_at_its_temperature_and_not_a_step_of_the_probe_before() -> None:
    assert coming(33.0625).seeding.request.startswith("Have 60 g")
    assert coming(33.0).seeding.request.startswith("Add 60 g")


def test_seed_survives_at_34_degrees_and_not_a_step_of_the_probe_above() -> None:
    # Form V melts at about 34 °C (Greweling 2007).
    assert kinds(coming(34.0).seeding.done()) == [("event", "test")]
    with pytest.raises(GlossbathError, match=r"At 34\.1 °C the seed would be lost"):
        coming(34.0625).seeding.done()


@pytest.mark.parametrize(("room_c", "falls_c"), [(None, 0.62), (12.0, 1.19), (22.0, 0.62)])
def test_what_is_expected_depends_on_how_cold_the_seed_lies(
    room_c: float | None, falls_c: float
) -> None:
    bowl = Bowl()
    bowl.room_c = room_c
    asked = bowl.until_asked()[-1].values
    assert asked["fall_least_c"] == falls_c
    assert asked["fall_most_c"] == pytest.approx(falls_c + 2.0, abs=0.05)
    assert (asked["kind"], asked["seed_c"], asked["grams"]) == ("chocolate", 33.0, 60.0)


def test_the_record_has_grams_to_a_tenth_and_falls_to_a_hundredth() -> None:
    bowl = Bowl(Seed("chocolate", 33.0, mass_kg=0.02812))
    asked = bowl.until_asked()[-1].values
    assert asked["grams"] == bowl.seeding.done()[0].values["grams"] == 28.1
    for name in ("fall_least_c", "fall_most_c"):
        assert asked[name] == round(asked[name], 2)


def test_seed_that_nobody_can_see_is_asked_after_in_words() -> None:
    bowl = Bowl(BUTTER)
    bowl.until_asked()
    alarm = next(act for act in bowl.acts(700) if act.kind == "alarm")
    assert alarm.words[0].startswith("The seed was asked for 10 minutes ago and nobody has said")


@pytest.mark.parametrize(("grams", "by_word"), [(28.0, True), (28.1, False)])
def test_only_a_fall_under_three_tenths_is_left_to_the_person(grams: float, by_word: bool) -> None:
    bowl = Bowl(Seed("chocolate", 33.0, mass_kg=grams / 1000))
    bowl.until_asked()
    assert bowl.seeding.request.endswith("; say done when it is in.") == by_word


def test_what_was_seen_goes_on_two_minutes_later_with_the_crystals_that_are_left() -> None:
    bowl = Bowl()
    bowl.until_asked()
    list(bowl.acts(200))
    bowl.add_seed(1.2)
    seen_s = 0
    while not bowl.seeding.request.startswith("The seed is in"):
        bowl.read()
        seen_s += 1
    assert seen_s <= 15
    acts = []
    waited_s = 0
    while not acts:
        acts = bowl.read()
        waited_s += 1
    assert waited_s == 120
    assert acts[0].text.startswith("The temperature shows that the seed is in. The temperature f")
    found = acts[0].values
    left = FAT_SHARE * (1 - found["melted_share"])
    assert found["crystal_share"] == pytest.approx(left, abs=1e-5)
    assert (found["expected_least_c"], found["grams"]) == (pytest.approx(0.53, abs=0.1), 60.0)


def test_cocoa_butter_is_fat_all_through() -> None:
    bowl = Bowl(Seed("butter", 33.0, mass_kg=0.05))
    least_c = bowl.until_asked()[-1].values["fall_least_c"]
    list(bowl.acts(200))
    bowl.add_seed(least_c * 1.3)
    found = next(act.values for act in bowl.acts(300) if act.code == "test")
    assert found["verdict"] == "added"
    assert 0.0 < found["melted_share"] < 0.5
    left = 50 / 410 * (1 - found["melted_share"])  # 50 g beside 36 % of 1 kg
    assert found["crystal_share"] == pytest.approx(left, abs=1e-5)
    for name in ("fell_c", "expected_least_c", "expected_most_c"):
        assert found[name] == round(found[name], 2)


def test_a_persons_word_is_kept_with_what_the_temperature_shows() -> None:
    bowl = Bowl()
    bowl.until_asked()
    nothing_yet = bowl.seeding.done()[0].values
    assert "verdict" not in nothing_yet
    assert nothing_yet["crystal_share"] == pytest.approx(FAT_SHARE * HEAT_SHARE, abs=1e-5)
    bowl = Bowl()
    bowl.until_asked()
    list(bowl.acts(200))
    bowl.add_seed(1.2)
    list(bowl.acts(60))
    assert bowl.seeding.request.startswith("The seed is in")
    said = bowl.seeding.done()
    assert kinds(said) == [("event", "test"), ("order", "resume")]
    assert (said[0].values["result"], said[0].values["verdict"]) == ("said", "added")
    left = FAT_SHARE * (1 - said[0].values["melted_share"])
    assert said[0].values["crystal_share"] == pytest.approx(left, abs=1e-5)


def test_a_fall_that_has_just_begun_counts_when_a_person_says_done() -> None:
    bowl = Bowl()
    bowl.until_asked()
    list(bowl.acts(200))
    bowl.add_seed(2.2)
    list(bowl.acts(4))
    assert bowl.seeding.request.startswith("Add 60 g")
    assert bowl.seeding.done()[0].values["verdict"] == "added"


def test_done_is_asked_again_once_where_nothing_is_left() -> None:
    bowl = Bowl()
    bowl.until_asked()
    list(bowl.acts(200))
    first = bowl.seeding.request
    bowl.add_seed(2.7)
    list(bowl.acts(100))
    assert kinds(bowl.seeding.done()) == [("event", "test"), ("alarm", "seed-unseen")]
    assert bowl.seeding.request.startswith("Add 60 g of tempered chocolate seed now")
    assert bowl.seeding.request != first  # it says when it was asked for: now
    assert f"asked at {clock(bowl.now_s)}" in bowl.seeding.request
    assert bowl.state == "held"
    said = bowl.seeding.done()
    assert kinds(said) == [("event", "test"), ("over", "seed-unseen"), ("order", "resume")]
    assert bowl.seeding.request == ""
    with pytest.raises(GlossbathError, match="No seed is asked for now"):
        bowl.seeding.done()


def test_nobody_is_told_of_unseen_seed_before_ten_minutes() -> None:
    bowl = Bowl()
    bowl.until_asked()
    assert bowl.when("seed-unseen") == 605.0  # the first look after ten minutes


def test_after_none_was_left_ten_more_minutes_are_waited_for_without_another_alarm() -> None:
    bowl = Bowl()
    bowl.until_asked()
    list(bowl.acts(200))
    bowl.add_seed(2.7)
    assert bowl.when("seed-unseen") <= 135
    assert list(bowl.acts(1_000)) == []
    bowl.add_seed(1.2)
    assert bowl.when("resume") <= 135


@pytest.mark.parametrize("stage", ["asking", "seen"])
def test_who_goes_on_before_it_is_judged_is_not_resumed_by_the_keeper(stage: str) -> None:
    bowl = Bowl()
    bowl.until_asked()
    list(bowl.acts(200))
    if stage == "seen":
        bowl.add_seed(1.2)
        list(bowl.acts(60))
    acts = bowl.seeding.went_on()
    assert kinds(acts) == [("event", "test")]
    assert acts[0].values == {"result": "skipped", "grams": 60.0}
    assert bowl.seeding.request == ""


def test_nobody_goes_on_before_seed_was_asked_for() -> None:
    assert coming(33.5).seeding.went_on() == []
    assert coming(33.5).seeding.request.startswith("Have 60 g")


@pytest.mark.parametrize("state", ["waiting", "testing", "tripped", "stopped", "idle"])
def test_no_seed_is_asked_for_where_nothing_runs(state: str) -> None:
    bowl = Bowl()
    bowl.state = state
    assert list(bowl.acts(1_000)) == []
    assert bowl.seeding.request == ""


def test_a_bath_that_is_not_known_asks_for_nothing() -> None:
    bowl = Bowl()
    dark = msgspec.structs.replace(bowl.reading(32.0, 28.0), bath_c=None)
    assert bowl.seeding.follow(dark) == []
    assert bowl.seeding.request == ""


def test_where_the_baths_part_was_never_learnt_none_is_taken_out() -> None:
    # The cooling begins at the seed's own temperature, so nothing could be learnt on the way.
    bowl = Bowl()
    found = []
    for second in range(500):
        bowl.now_s += 1
        falls = 0.0 if second < 200 else min(1.2, 0.04 * (second - 200))
        bath_c = 33.0 if second < 200 else 34.0
        found += bowl.seeding.follow(bowl.reading(33.0 - falls, bath_c))
    (test,) = [act for act in found if act.code == "test"]
    assert test.values["verdict"] == "added"
    assert test.values["fell_c"] == pytest.approx(1.2, abs=0.05)
