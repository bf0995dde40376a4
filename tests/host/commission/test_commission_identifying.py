"""The run on water: what is asked before it, and that it may be left for later."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from glossbath.commission import identifying
from glossbath.commission.visit import Passed
from glossbath.errors import StepFailed

from .willing_person import visited

GOOD = {"water-kg": "3", "bowl-kg": "1", "room-c": "21"}


@pytest.fixture
def ran(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """What the run on water was begun with, and what its record is read with."""
    kept: list[Any] = []

    def run(visit: object, bowl_kg: float) -> Path:
        kept.append(bowl_kg)
        return Path("record")

    def model(
        visit: object, folder: Path, water_kg: float, bowl_kg: float, room_c: float
    ) -> Passed:
        kept.append((str(folder), water_kg, bowl_kg, room_c))
        return Passed("Found.")

    monkeypatch.setattr(identifying, "_run", run)
    monkeypatch.setattr(identifying, "_model", model)
    return kept


def test_a_rig_may_be_identified_later(ran: list[Any]) -> None:
    visit, _, person = visited(answers={"identify": "no"})
    found = identifying.identify(visit)
    assert found.values == {"done": False}
    assert "Left for later: glossbath tune recipe" in found.text
    assert "in about two hours. Now?" in person.words["identify"]
    assert ran == []


@pytest.mark.parametrize(
    "answers",
    [
        GOOD,
        {"water-kg": "0.5", "bowl-kg": "0.05", "room-c": "0"},
        {"water-kg": "20", "bowl-kg": "10", "room-c": "45"},
    ],
)
def test_what_was_weighed_is_what_is_reckoned_with(
    answers: Mapping[str, str], ran: list[Any]
) -> None:
    visit, _, person = visited(answers=answers)
    identifying.identify(visit)
    water_kg, bowl_kg, room_c = (float(answers[name]) for name in GOOD)
    assert ran == [bowl_kg, ("record", water_kg, bowl_kg, room_c)]
    assert any("Stay with the rig; ctrl+c stops it." in line for line in person.told)


@pytest.mark.parametrize(
    ("name", "beyond", "words"),
    [
        ("water-kg", ("0.49", "20.1"), "from 0.5 to 20 kg"),
        ("bowl-kg", ("0.049", "10.1"), "from 0.05 to 10 kg"),
        ("room-c", ("-0.1", "45.1"), "from 0 to 45 °C"),
    ],
)
def test_what_no_rig_holds_is_asked_again_and_begins_nothing(
    name: str, beyond: tuple[str, str], words: str, ran: list[Any]
) -> None:
    for said in beyond:
        visit, _, person = visited(answers={**GOOD, name: said})
        with pytest.raises(StepFailed, match="No usable answer was given"):
            identifying.identify(visit)
        assert f"Please give a number {words}, without the unit." in person.told
    assert ran == []


def test_the_arm_button_is_asked_for_once_and_let_go_once() -> None:
    visit, _, person = visited()
    arming = identifying._Arming(visit)
    for state in ("idle", "waiting", "waiting", "testing", "running", "waiting", "running"):
        arming.step(state)
    assert [code for code, _ in person.at] == ["arm-tap", "arm-tapped"]
