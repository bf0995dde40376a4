"""When seed is asked for, what is taken for it, and who decides that it goes on."""

from __future__ import annotations

import pytest

from glossbath.errors import GlossbathError
from glossbath.process.seeding import PATIENCE_S

from .bowl import BUTTER, Bowl, kinds


def test_the_person_is_told_beforehand_and_asked_at_the_temperature() -> None:
    bowl = Bowl()
    bowl.read()
    assert bowl.seeding.request == (
        "Have 60 g of tempered chocolate seed ready for 33 °C. Above 34 °C it would be lost."
    )
    acts = bowl.until_asked()
    assert bowl.celsius == pytest.approx(33.0, abs=0.1)
    assert kinds(acts) == [("order", "hold"), ("event", "order")]
    assert acts[1].values["grams"] == 60.0
    assert bowl.seeding.request.startswith(
        "Add 60 g of tempered chocolate seed now and keep stirring (asked at 0:0"
    )


def test_nothing_is_asked_before_the_cooling_phase() -> None:
    bowl = Bowl(phase="soak")
    assert list(bowl.acts(2000)) == []
    assert bowl.seeding.request == ""


def test_seed_is_seen_by_its_fall_and_the_recipe_goes_on() -> None:
    bowl = Bowl()
    bowl.until_asked()
    assert list(bowl.acts(200)) == []
    # By the method of mixtures 60 g of 22 °C make 1 kg of 33 °C fall by 0.6 °C, all melted by 2.6.
    bowl.add_seed(1.2)
    acts = list(bowl.acts(300))
    assert kinds(acts) == [("event", "test"), ("order", "resume")]
    found = acts[0].values
    assert found["result"] == "seen"
    assert found["verdict"] == "added"
    assert found["fell_c"] == pytest.approx(1.2, abs=0.2)
    assert 0.2 <= found["melted_share"] <= 0.5
    assert bowl.seeding.request == ""
    assert list(bowl.acts(1000)) == []


def test_seed_that_melted_away_is_asked_for_again_and_the_recipe_waits() -> None:
    bowl = Bowl()
    bowl.until_asked()
    list(bowl.acts(200))
    bowl.add_seed(2.7)  # all of the 60 g melts, by the method of mixtures
    acts = list(bowl.acts(400))
    assert kinds(acts) == [("event", "test"), ("alarm", "seed-unseen")]
    assert acts[0].values["result"] == "none left"
    assert acts[0].values["verdict"] == "all melted"
    assert bowl.state == "held"
    assert bowl.seeding.request.startswith("Add 60 g of tempered chocolate seed now")
    # A person who knows better has the last word.
    assert ("order", "resume") in kinds(bowl.seeding.done())


def test_no_seed_is_told_once_and_never_taken_for_seed() -> None:
    bowl = Bowl()
    bowl.until_asked()
    acts = list(bowl.acts(2 * 3600))
    assert kinds(acts) == [("event", "test"), ("alarm", "seed-unseen")]
    assert acts[0].values["result"] == "not seen"
    assert "No seed was seen. The temperature fell by 0." in acts[1].words[0]
    # It can still be added, and the alarm is over as soon as it is seen.
    bowl.add_seed(1.0)
    assert kinds(list(bowl.acts(300))) == [
        ("over", "seed-unseen"),
        ("event", "test"),
        ("over", "seed-unseen"),
        ("order", "resume"),
    ]


def test_a_fall_too_small_to_be_seen_is_left_to_the_person() -> None:
    bowl = Bowl(BUTTER)
    bowl.until_asked()
    assert bowl.seeding.request.endswith("say done when it is in.")
    bowl.add_seed(0.17)
    acts = list(bowl.acts(PATIENCE_S + 20))
    assert kinds(acts) == [("event", "test"), ("alarm", "seed-unseen")]
    assert "too small to be seen" in acts[1].words[0]
    said = bowl.seeding.done()
    assert kinds(said) == [
        ("event", "test"),
        ("over", "seed-unseen"),
        ("order", "resume"),
    ]
    assert said[0].values["result"] == "said"
    # 10 g of butter in 370 g of fat.
    assert said[0].values["crystal_share"] == pytest.approx(0.027, abs=0.001)


def test_done_is_refused_while_the_seed_would_be_lost() -> None:
    bowl = Bowl()
    with pytest.raises(GlossbathError, match="No seed is asked for now"):
        bowl.seeding.done()
    bowl.read()
    with pytest.raises(GlossbathError, match="the seed would be lost") as refused:
        bowl.seeding.done()
    assert "Wait until it is asked for at 33 °C." in str(refused.value)


def test_seed_may_go_in_a_little_early() -> None:
    bowl = Bowl()
    while bowl.celsius > 33.8:
        bowl.read()
    # Nothing was held, so nothing has to go on.
    assert kinds(bowl.seeding.done()) == [("event", "test")]
    assert list(bowl.acts(600)) == []


def test_a_recipe_that_a_person_holds_stays_held() -> None:
    bowl = Bowl()
    bowl.state = "held"
    acts = bowl.until_asked()
    assert kinds(acts) == [("event", "order")]
    assert kinds(bowl.seeding.done()) == [("event", "test")]
    assert bowl.state == "held"


def test_going_on_without_seed_is_written_down() -> None:
    bowl = Bowl()
    bowl.until_asked()
    assert kinds(bowl.seeding.went_on()) == [("event", "test")]
    assert bowl.seeding.went_on() == []
    other = Bowl()
    other.until_asked()
    other.phase = "reheat"
    assert [act.values["result"] for act in other.read()] == ["skipped"]


def test_a_probe_that_fails_breaks_nothing() -> None:
    bowl = Bowl()
    bowl.until_asked()
    for _ in range(60):
        bowl.now_s += 1.0
        assert bowl.seeding.follow(bowl.reading(None, 28.0)) == []
    bowl.add_seed(1.0)
    acts = list(bowl.acts(700))
    assert "alarm" in [act.kind for act in acts] or acts[-1].code == "resume"
