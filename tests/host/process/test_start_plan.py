"""What a plan before the start takes for known: what a person says, then a probe, then a guess.

The plan itself is tested where it is made; here only what it is made from.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
import pytest

from glossbath.errors import InputError
from glossbath.process import start_plan
from glossbath.process.start_plan import Said, has_bucket, plan_start
from glossbath.recipe import load
from glossbath.thermal.forecast import Kitchen, Start
from glossbath.thermal.model import RigModel, save_model

from .bowl import Bowl

READ = Bowl().reading(30.0, 40.0)  # its body reads 30 °C
WARM = msgspec.structs.replace(READ, room_c=27.0)


@pytest.fixture(autouse=True)
def begun(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """What each plan was made from."""
    made: list[Any] = []
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path))
    monkeypatch.setattr(start_plan, "plan", made.append)
    return made


@pytest.mark.parametrize(
    ("reading", "said", "room_c", "known"),
    [
        (None, Said(), 22.0, False),
        (READ, Said(), 30.0, False),  # no warmer than its coldest part
        (WARM, Said(), 27.0, True),
        (None, Said(room_c=18.0), 18.0, True),
        (WARM, Said(room_c=18.0), 18.0, True),
    ],
)
def test_a_person_knows_the_room_better_than_a_probe_and_a_probe_than_nobody(
    reading: Any, said: Said, room_c: float, known: bool, begun: list[Any]
) -> None:
    plan_start(load("dark"), "kitchen", 1.5, reading, said)
    (found,) = begun
    assert found.kitchen == Kitchen(room_c, known, None, None)
    assert found.batch_kg == 1.5
    read = Start(30.0, 40.0, 30.0) if reading else Start(room_c, room_c, room_c)
    assert found.start == read


def test_a_probe_that_reads_nothing_counts_as_the_room(begun: list[Any]) -> None:
    blind = msgspec.structs.replace(WARM, bath_c=None)
    plan_start(load("dark"), "kitchen", 1.0, blind, Said())
    assert begun[0].start == Start(30.0, 27.0, 30.0)


def test_ice_is_planned_with_only_where_there_is_a_bucket(begun: list[Any]) -> None:
    assert has_bucket("kitchen")
    plan_start(load("dark"), "kitchen", 1.0, READ, Said(ice_kg=2.0, tap_c=12.0))
    assert begun[0].kitchen == Kitchen(30.0, False, 12.0, 2.0)
    save_model("kitchen", RigModel(chill_w_per_k=0.0))
    assert not has_bucket("kitchen")
    with pytest.raises(InputError, match="This rig has no chill bucket: leave the ice out"):
        plan_start(load("dark"), "kitchen", 1.0, READ, Said(ice_kg=2.0))
    plan_start(load("dark"), "kitchen", 1.0, READ, Said(ice_kg=0.0))
    plan_start(load("dark"), "kitchen", 1.0, READ, Said())
    assert len(begun) == 3


def test_only_a_start_that_asks_for_it_begins_where_the_chocolate_is(begun: list[Any]) -> None:
    warm = msgspec.structs.replace(READ, chocolate_c=30.5)
    for way in (None, {}, {"in_temper": True}, {"remelt": True, "in_temper": True}):
        plan_start(load("dark"), "kitchen", 1.0, warm, Said(), way)
    assert [len(made.recipe.phases) for made in begun] == [5, 5, 5, 1]
    with pytest.raises(InputError, match="gives no temperature"):
        plan_start(load("dark"), "kitchen", 1.0, None, Said(), {"remelt": True})
