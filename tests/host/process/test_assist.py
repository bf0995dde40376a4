"""What the keeper does for the chocolate: orders, events and alarms of seed and of seizing."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from glossbath.client.messages import Reading
from glossbath.errors import GlossbathError
from glossbath.process.assist import Assist
from glossbath.recipe import Recipe, load

from .bowl import Bowl
from .heard import Heard


class Attended(Heard):
    """A cycle's assistance, with everything it says and orders."""

    def __init__(self, recipe: Recipe) -> None:
        super().__init__("seed-unseen", "seized")
        self.told: list[tuple[str, str, str]] = []
        self.ordered: list[str] = []
        self.assist = Assist(recipe, 1.0, self._tell, self.ordered.append, self)  # type: ignore[arg-type]

    def _tell(self, kind: str, code: str, text: str, values: dict[str, Any]) -> None:
        self.told.append((kind, code, text))


def _cooling(heard: Attended, seconds: int, bowl: Bowl) -> None:
    """Chocolate that cools past the temperature of its seed."""
    for _ in range(seconds):
        bowl.read()
        taken = bowl.reading(round(bowl.celsius * 16) / 16, 28.0)
        state = "held" if heard.ordered == ["hold"] else "running"
        heard.assist.reading(msgspec.structs.replace(taken, state=state))


def _stirring(heard: Attended, seconds: range, milliamperes: float, reading: Reading) -> None:
    for second in seconds:
        taken = msgspec.structs.replace(reading, time_s=float(second), stir_ma=milliamperes)
        heard.assist.reading(taken)


def test_what_a_cycle_before_has_left_is_over() -> None:
    assert Attended(load("dark")).standing == {}


def test_seed_is_asked_for_held_for_told_and_done() -> None:
    heard = Attended(load("dark-seeded"))
    bowl = Bowl()
    assert heard.assist.request == ""
    _cooling(heard, 1, bowl)
    assert heard.assist.request.startswith("Have 60 g")
    _cooling(heard, 600, bowl)
    assert heard.assist.request.startswith("Add 60 g")
    assert heard.ordered == ["hold"]
    assert heard.told == [("order", "seed", "Add 60 g of tempered chocolate seed now.")]
    assert "A person said that the seed is in." in heard.assist.done()
    assert heard.ordered == ["hold", "resume"]
    assert [kind for kind, *_ in heard.told] == ["order", "test"]
    assert heard.assist.request == ""


def test_seed_that_nobody_sees_is_an_alarm_until_somebody_goes_on() -> None:
    heard = Attended(load("dark-seeded"))
    _cooling(heard, 1_300, Bowl())
    priority, words = heard.standing["seed-unseen"]
    assert priority == "medium"
    assert words[0].startswith("No seed was seen.")
    heard.assist.went_on()
    assert heard.standing == {}
    assert heard.told[-1][0] == "test"


@pytest.mark.parametrize("name", ["dark", "no cooling"])
def test_a_cycle_without_seed_asks_for_nothing(name: str) -> None:
    recipe = load("dark" if name == "dark" else "dark-seeded")
    if name == "no cooling":
        kept = tuple(phase for phase in recipe.phases if phase.name != "cool")
        recipe = msgspec.structs.replace(recipe, phases=kept)
    heard = Attended(recipe)
    _cooling(heard, 700, Bowl())
    assert (heard.told, heard.ordered, heard.standing, heard.assist.request) == ([], [], {}, "")
    heard.assist.went_on()
    with pytest.raises(GlossbathError, match="Nothing is asked for now"):
        heard.assist.done()


def test_seized_chocolate_is_an_alarm_and_orders_nothing() -> None:
    heard = Attended(load("dark"))
    reading = Bowl(phase="hold").reading(30.0, 30.0)
    _stirring(heard, range(400), 200.0, reading)
    assert heard.standing == {}
    _stirring(heard, range(400, 470), 400.0, reading)
    priority, words = heard.standing["seized"]
    assert priority == "medium"
    assert "climbed from 200 to 400 mA" in words[0]
    assert words[1] == "Nothing was changed: the cycle goes on."
    assert "stop the stirrer" in words[2]
    assert heard.ordered == []


def test_seed_is_asked_for_again_once_the_recipe_went_back_to_where_it_melts() -> None:
    heard = Attended(load("dark-seeded"))
    bowl = Bowl()
    _cooling(heard, 600, bowl)
    heard.assist.done()
    assert heard.assist.request == ""
    taken = bowl.reading(48.0, 48.0)
    heard.assist.reading(msgspec.structs.replace(taken, phase="soak", phase_index=1, state="held"))
    assert heard.assist.request == ""
    heard.ordered.clear()
    heard.told.clear()
    _cooling(heard, 600, Bowl())
    assert heard.assist.request.startswith("Add 60 g")
    assert heard.ordered == ["hold"]
    assert heard.told == [("order", "seed", "Add 60 g of tempered chocolate seed now.")]


def test_seed_that_was_not_seen_is_no_alarm_any_more_once_the_recipe_went_back() -> None:
    heard = Attended(load("dark-seeded"))
    bowl = Bowl()
    _cooling(heard, 1_300, bowl)
    assert list(heard.standing) == ["seed-unseen"]
    warm = bowl.reading(48.0, 48.0)
    heard.assist.reading(msgspec.structs.replace(warm, phase="soak", phase_index=1, state="held"))
    assert heard.standing == {}
    with pytest.raises(GlossbathError, match="No seed is asked for now"):
        heard.assist.done()
