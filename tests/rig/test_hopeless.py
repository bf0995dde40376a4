"""Cycles that cannot succeed say so: whole cycles with the real firmware, on both plants.

Each kitchen has a neighbour in which only what is wrong is right; nobody there is told anything.
The rigs were never measured: the computer knows them as the reference rig.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest
from bucket import is_spent
from sampling import sample
from world import World, world

from glossbath.client.messages import Alarm, Event
from glossbath.process.out_of_reach import MEND_S
from glossbath.recipe import load
from glossbath.record.summary import phases_of
from glossbath.virtual.plants import PLANTS, reference
from glossbath.virtual.virtual import Options

TOLD_WITHIN_S = 600.0
TAP_C = 28.0
MELTED = {"chocolate_c": 46.5, "bath_c": 49.0, "body_c": 51.0}
COLD = {"chocolate_c": 15.0, "bath_c": 15.0, "body_c": 15.0}
DARK = {phase.name: phase for phase in load("dark").phases}


def no_act(rig: World) -> None:
    """Nothing is broken by hand."""


def unplug_pump(rig: World) -> None:
    rig.rig.low_voltage.pump_unplugged = True


@dataclass(frozen=True)
class Kitchen:
    """One kitchen: the room (°C), the plant's parameters, what is done to the rig when the cycle
    begins, from when on it is certain, the words of what and why, and what would help."""

    room_c: float
    wrong: dict[str, float]
    certain: Callable[[World], bool]
    phase: str
    what: tuple[str, ...]
    helps: tuple[str, ...]
    act: Callable[[World], None] = no_act
    begin: dict[str, float] = field(default_factory=lambda: MELTED)
    until: str = "reheat"
    """The phase that the neighbour reaches."""


def in_phase(name: str) -> Callable[[World], bool]:
    return lambda rig: rig.readings()[-1].phase == name


def bucket_is_warm(rig: World) -> bool:
    """What is in the bucket takes up no more."""
    return is_spent(rig.rig.plant) and in_phase("cool")(rig)


ICE_HELPS = ("kg of ice", "pump running", "a cooler room")
KITCHENS = {
    "dead pump": Kitchen(
        28.0,
        {},
        in_phase("cool"),
        "cool",
        ("the cooling needs 29.0 °C", "its pump stands"),
        ICE_HELPS,
        act=unplug_pump,
    ),
    "no ice": Kitchen(
        28.0,
        {"ice_kg": 0.0, "tap_c": TAP_C},
        bucket_is_warm,
        "cool",
        ("the cooling needs 29.0 °C", "its ice is gone"),
        ICE_HELPS,
    ),
    "little ice": Kitchen(
        28.0,
        {"ice_kg": 0.05, "tap_c": TAP_C},
        bucket_is_warm,
        "cool",
        ("the cooling needs 29.0 °C", "its ice is gone"),
        ICE_HELPS,
    ),
    "hot room": Kitchen(
        33.0,
        {"ice_kg": 0.0, "tap_c": TAP_C},
        in_phase("cool"),
        "cool",
        ("the cooling needs 29.0 °C", "the room has 33 °C"),
        ICE_HELPS,
    ),
    "weak heater": Kitchen(
        15.0,
        {"heater_w": 35.0},
        in_phase("melt"),
        "melt",
        ("the melting needs 46.0 °C", "The cooker gives the bath about"),
        ("the lid on", "a stronger one", "a warmer room"),
        begin=COLD,
        until="soak",
    ),
}
CASES = [(name, plant) for plant in PLANTS for name in KITCHENS]


def options(kitchen: Kitchen, plant: str, wrong: dict[str, float]) -> Options:
    """The rig of a kitchen on one of the plants."""
    water = "reservoir_water_c" if plant == "lumped" else "bucket_water_c"
    named: dict[str, Any] = {water if name == "tap_c" else name: wrong[name] for name in wrong}
    begin = {"room_c": kitchen.room_c, **kitchen.begin}
    return Options(parameters=replace(reference(plant, "dark"), **named), begin=begin)


def first(rig: World, code: str) -> tuple[float, Alarm] | None:
    """When an alarm was first raised, in s on the rig's clock, and the alarm."""
    for at_ms, message in zip(rig.times_ms, rig.messages, strict=True):
        if isinstance(message, Alarm) and message.code == code:
            return at_ms / 1000, message
    return None


def go_on_until_told(rig: World, kitchen: Kitchen) -> tuple[float, Alarm]:
    """Let the cycle go on; how long after it was certain a person was told, in s, and what."""
    reached_s: list[float] = []

    def told() -> bool:
        if not reached_s and rig.readings() and kitchen.certain(rig):
            reached_s.append(rig.rig.now_ms / 1000)
        return first(rig, "out-of-reach") is not None or bool(rig.result)

    rig.until(told, 3 * 3600)
    found = first(rig, "out-of-reach")
    assert found is not None
    return found[0] - reached_s[0], found[1]


@pytest.mark.parametrize(("name", "plant"), sample(CASES, of=3))
def test_a_cycle_that_cannot_succeed_says_so(tmp_path: Path, name: str, plant: str) -> None:
    kitchen = KITCHENS[name]
    with world(tmp_path, options(kitchen, plant, kitchen.wrong), fast=True) as rig:
        kitchen.act(rig)
        assert rig.start("dark", 1800.0).ok
        after_s, alarm = go_on_until_told(rig, kitchen)
        assert after_s <= TOLD_WITHIN_S
        assert alarm.happened.startswith("This cannot be reached: ")
        for words in kitchen.what + kitchen.helps:
            assert words in alarm.happened
        told = rig.readings()[-1]
        assert told.phase_left_s is None and told.cycle_left_s is None
        assert "Nothing goes on by itself" in alarm.do_now and "resume" in alarm.do_now

        rig.until(lambda: rig.state == "held", MEND_S + 60)
        rig.run(2400.0)  # nobody comes
        assert rig.state == "held" and not rig.events("trip")
        now = rig.readings()[-1]
        if kitchen.phase == "melt":
            assert "holds the recipe in its phase melt" in alarm.rig_did
            assert now.phase == "melt" and orders(rig)[-1].code == "hold"
        else:
            assert "Unless that changes within 10 min" in alarm.rig_did
            assert standing(rig).rig_did.startswith("The rig goes back to the phase soak")
            assert now.phase == "soak" and orders(rig)[-1].code == "back"
            assert now.chocolate_c is not None
            assert DARK["soak"].window.low_c <= now.chocolate_c <= DARK["soak"].window.high_c
            assert now.stir_share > 0.0
        chocolate = [reading.chocolate_c for reading in rig.readings() if reading.chocolate_c]
        assert max(chocolate) <= DARK["melt"].window.high_c + 0.2
        if kitchen.phase == "cool":
            assert min(chocolate) >= DARK["cool"].window.low_c - 0.2


def orders(rig: World) -> list[Event]:
    return rig.events("order")


@pytest.mark.parametrize(("name", "plant"), sample(CASES, of=5))
def test_its_healthy_neighbour_is_told_nothing(tmp_path: Path, name: str, plant: str) -> None:
    kitchen = KITCHENS[name]
    right = {"tap_c": kitchen.wrong["tap_c"]} if "tap_c" in kitchen.wrong else {}
    with world(tmp_path, options(kitchen, plant, right), fast=True) as rig:
        assert rig.start("dark", 1800.0).ok
        rig.until(lambda: bool(rig.readings()) and in_phase(kitchen.until)(rig), 3 * 3600)
        assert first(rig, "out-of-reach") is None
        assert not rig.events("trip")


@pytest.mark.parametrize("plant", sample(PLANTS, of=2))
def test_ice_that_is_filled_in_suffices_as_the_sentence_says(tmp_path: Path, plant: str) -> None:
    kitchen = KITCHENS["no ice"]
    with world(tmp_path, options(kitchen, plant, kitchen.wrong), fast=True) as rig:
        assert rig.start("dark", 1800.0).ok
        go_on_until_told(rig, kitchen)
        rig.until(lambda: rig.state == "held", MEND_S + 60)
        rig.run(3600.0)  # the maker is out
        rig.rig.plant.add_ice(ice_asked_for_kg(standing(rig).happened))
        assert rig.ask("resume").ok
        rig.until(lambda: in_phase("hold")(rig), 3 * 3600)
        assert not rig.events("trip")
        phases = [event.code for event in rig.events("phase")]
        assert phases == ["melt", "soak", "cool", "soak", "cool", "reheat", "hold"]
        assert [row["name"] for row in phases_of(rig.readings())[0]] == phases
        # The chill had just been learnt to be nothing when the soak began again.
        soaked = [r.chocolate_c for r in rig.readings() if r.phase == "soak" and r.chocolate_c]
        assert max(soaked) <= DARK["soak"].window.high_c


@pytest.mark.parametrize("plant", sample(PLANTS, of=2))
def test_ice_that_comes_within_minutes_spares_the_way_back(tmp_path: Path, plant: str) -> None:
    kitchen = KITCHENS["no ice"]
    with world(tmp_path, options(kitchen, plant, kitchen.wrong), fast=True) as rig:
        assert rig.start("dark", 1800.0).ok
        _, alarm = go_on_until_told(rig, kitchen)
        rig.run(500.0)
        kg = ice_asked_for_kg(alarm.happened)
        rig.rig.plant.add_ice(kg)
        assert rig.ask("ice", kg=kg).ok
        assert standing(rig).state == "returned"  # it is judged anew, and has its time again
        assert [e.values["ice_kg"] for e in rig.events("note")] == [kg]
        rig.until(lambda: in_phase("hold")(rig), 2 * 3600)
        assert not rig.events("trip")
        assert all(event.code not in ("back", "hold") for event in orders(rig))


def standing(rig: World) -> Alarm:
    """The alarm as it was told last."""
    told = [m for m in rig.messages if isinstance(m, Alarm) and m.code == "out-of-reach"]
    return told[-1]


def ice_asked_for_kg(sentence: str) -> float:
    """The kg of ice of which the sentence says that they would do."""
    return float(sentence.split(" kg of ice")[0].split()[-1])
