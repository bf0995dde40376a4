"""What a client may ask of a cycle: both sides of every limit, and what the board is then told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
import pytest
from stand_in_board import Rig

from glossbath.errors import InputError
from glossbath.process.start_request import StartRequest
from glossbath.recipe import dump, load
from glossbath.record import open_cycle


@pytest.fixture
def rig(tmp_path: Path) -> Rig:
    return Rig(tmp_path / "cycles")


def start(rig: Rig, **values: Any) -> str:
    """Ask for a cycle; the sentence of a refusal, empty where it began."""
    reply = rig.ask("start", **{"recipe": dump(load("dark")), **values})
    assert reply.ok == (rig.board.kinds("start") == 1)
    return "" if reply.ok else reply.text


@pytest.mark.parametrize(
    "values",
    [
        {"batch_kg": 0.05},
        {"batch_kg": 10},
        {"lot": "l" * 500},
        {"note": "n" * 500},
        {"alone_min": 0},
        {"alone_min": 720},  # twelve hours, the board's own ceiling
        {"hold_s": 1_800.5},
    ],
)
def test_a_limit_itself_may_be_asked_for(rig: Rig, values: dict[str, Any]) -> None:
    assert start(rig, **values) == ""


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"batch_kg": 0.0499}, "The batch is 0.0499: it must be from 0.05 to 10.0 kg."),
        ({"batch_kg": 10.001}, "The batch is 10.001: it must be from 0.05 to 10.0 kg."),
        ({"batch_kg": "9" * 99}, f"The batch is {'9' * 40}: it must be"),
        ({"lot": "l" * 501}, "The lot has 501 characters: use at most 500."),
        ({"note": "n" * 501}, "The note has 501 characters: use at most 500."),
        ({"alone_min": -1}, "alone for -1 min: it must be from 0 to 720 min"),
        ({"alone_min": 721}, "alone for 721 min: it must be from 0 to 720 min"),
        ({"alone_min": 10**99}, f"alone for {str(10**99)[:40]} min: it must be"),
        ({"alone_min": True}, "Alone is 'True': it must be a number of minutes."),
        ({"alone_min": "9" * 99}, f"Alone is '{'9' * 40}': it must be a number of minutes."),
        ({"hold_s": "9" * 99}, f"The hold is '{'9' * 40}': it must be a number of seconds."),
    ],
)
def test_what_lies_beyond_is_refused_with_the_limit(
    rig: Rig, values: dict[str, Any], words: str
) -> None:
    assert words in start(rig, **values)
    assert rig.keeper.batch is None


def test_a_batch_that_cannot_take_its_seed_is_refused_before_anything_heats(rig: Rig) -> None:
    text = dump(load("dark-seeded"))
    share = next(line for line in text.splitlines() if "share_percent" in line)
    more = text.replace(share, "grams = 100")
    assert "100.0 g of seed do not fit a batch of 0.05 kg" in start(
        rig, recipe=more, batch_kg=0.05
    )
    assert start(rig, recipe=text, batch_kg=0.05) == ""


def test_who_says_nothing_of_batch_and_hold_gets_a_kilogram_and_nothing_alone(rig: Rig) -> None:
    assert start(rig) == ""
    facts = open_cycle(rig.keeper.snapshot().folder).facts
    assert facts is not None and facts.batch_kg == 1.0
    (order,) = [message for message in rig.board.sent if message["k"] == "start"]
    assert order.get("alone", 0) == 0


def test_the_board_is_told_for_how_long_a_hold_may_go_on_alone(rig: Rig) -> None:
    assert start(rig, alone_min=30.0) == ""
    (order,) = [message for message in rig.board.sent if message["k"] == "start"]
    assert order["alone"] == 30


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ({"ice_kg": 20.1}, "ice must be between 0 and 20 kg, not 20.1"),
        ({"ice_kg": -1}, "ice must be between 0 and 20 kg"),
        ({"tap_c": 40.5}, "tap water must be between 0 and 40 °C"),
        ({"room_c": 51}, "room must be between 0 and 50 °C"),
        ({"ice_kg": "much"}, "The ice_kg is 'much': it must be a number."),
        ({"tap_c": True}, "The tap_c is 'True': it must be a number."),
    ],
)
def test_a_kitchen_that_there_is_not_is_refused(
    rig: Rig, values: dict[str, Any], why: str
) -> None:
    assert why in start(rig, **values)


def test_what_is_said_of_a_kitchen_may_go_with_a_start(rig: Rig) -> None:
    assert start(rig, ice_kg=20, tap_c=0, room_c=50.0) == ""


def test_a_recipe_that_no_board_takes_is_refused_before_it_is_sent() -> None:
    """Recipes from a file are held to narrower rules before; this one never was in a file."""
    recipe = msgspec.structs.replace(load("dark"), max_c=99.0)
    with pytest.raises(InputError, match="refuse this recipe: max_mc must be from 20000 to 55000"):
        StartRequest(recipe, 1.0, "", "").program()
