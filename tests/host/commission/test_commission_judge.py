"""Judgements of single steps: what is seen at a rig, and what is said about it."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from glossbath.commission import judge
from glossbath.commission.cutout import BOIL_OVER_C
from glossbath.commission.electrician import CUTOUT_C, SECOND_C
from glossbath.commission.words import refused, shown

REST: dict[str, Any] = {"arm": 0, "stop": 1, "lid": 1, "load": 0, "water": 1}


def test_limits_are_those_of_the_hardware_guides() -> None:
    hardware = Path(__file__).parents[3] / "hardware"
    data = tomllib.loads((hardware / "wiring.toml").read_text(encoding="utf-8"))
    for name, band in (("TS1", CUTOUT_C), ("TS2", SECOND_C)):
        rated = data["parts"][name]["rated"]
        low, high = rated["celsius"] - rated["minus_c"], rated["celsius"] + rated["plus_c"]
        assert (low, high) == band
    assert data["temperature"]["boil_over_c"] == BOIL_OVER_C
    low, high = (value / 1000 for value in judge.SUPPLY_MV)
    care = (hardware / "care.md").read_text(encoding="utf-8")
    assert f"12 V between {low:g} and {high:g} V" in care


def _tried(name: str, **changed: Any) -> dict[str, Any]:
    return {"o": name, "ms": 3000, "why": "time", "ld": 0, "ma": 0} | changed


def test_an_input_alone() -> None:
    assert judge.alone(REST, REST | {"arm": 1}, "arm") == ""
    assert "Input arm did not change, it says released" in judge.alone(REST, REST, "arm")
    assert "Input lid changed together with arm" in judge.alone(
        REST, REST | {"arm": 1, "lid": 0}, "arm"
    )
    assert "Input water changed together" in judge.alone(
        REST, REST | {"stop": 0, "water": None}, "stop"
    )


def test_levels_are_told_in_the_rigs_words() -> None:
    assert [shown("stop", level) for level in (0, 1, None, True)] == [
        "pressed",
        "out",
        "unknown",
        "out",
    ]


@pytest.mark.parametrize(
    ("millivolts", "words"),
    # hardware/care.md, PT-6: between 11.4 and 12.6 V.
    [
        (11_400, ""),
        (12_600, ""),
        (11_399, "11.4 V"),
        (12_601, "12.6 V"),
        ("low", "not measured (low)"),
    ],
)
def test_the_supply(millivolts: object, words: str) -> None:
    said = judge.supply(millivolts)
    assert (said == "") == (words == "")
    assert words in said
    if isinstance(millivolts, int) and said:
        assert "it should have 11.4 to 12.6 V: look at the supply and its fuse." in said


@pytest.mark.parametrize(
    ("event", "words"),
    [
        (_tried("heat"), ""),
        (_tried("stir", ma=80), ""),
        (_tried("stir", ma=30), ""),
        (_tried("chill", ma=60), ""),
        (_tried("lamp", ma=61), "while the status lamp alone was on"),
        (_tried("heat", ld=1), "Voltage came to the heater's outlet while the heat switch alone"),
        (_tried("relay", ld=1, why="load"), "while the master relay alone was on"),
        (_tried("relay", why="arm"), "let go too early"),
        (_tried("chill", why="stop"), "ended early (stop)"),
        (_tried("stir", ma=29), "less than 30 mA"),
        (_tried("chill", ma=300), "drew 300 mA while the ice-water pump alone was on"),
    ],
)
def test_a_trial(event: dict[str, Any], words: str) -> None:
    said = judge.tried(event)
    assert (said == "") == (words == "")
    assert words in said


@pytest.mark.parametrize(
    ("free", "held", "limit", "words"),
    [
        (80, 1_500, None, ""),  # the firmware's own limit of 1150 mA lies below
        (80, 1_200, 960, ""),
        (80, 500, 400, ""),
        (80, 120, None, "cannot tell the two apart"),
        (80, 179, None, "cannot tell the two apart"),  # a hundred more at least
        (80, 180, 144, ""),
        (400, 599, None, "cannot tell the two apart"),  # and half as much again
        (80, 1_436, 1_149, ""),
        (80, 1_437, None, ""),
        (80, 1_800, None, ""),
        (400, 550, None, "cannot tell the two apart"),
        (400, 600, 480, ""),
        (80, 1_801, None, "a hand cannot stop such a motor"),
    ],
)
def test_a_stalled_stirrer_is_told_from_a_turning_one(
    free: int, held: int, limit: int | None, words: str
) -> None:
    found, said = judge.stall(free, held)
    assert found == limit
    assert (said == "") == (words == "")
    assert words in said


def test_the_probe_in_the_hand() -> None:
    before = {"a": 21_000, "b": 21_500, "c": 22_000}
    assert judge.warmed(before, before | {"b": 24_000}) == ("b", "")
    assert judge.warmed(before, before | {"b": 23_400})[0] == ""
    assert judge.warmed(before, before | {"b": 23_500}) == ("b", "")  # by 2 °C
    assert judge.warmed(before, before | {"b": 23_499})[1] == "No probe became warmer by 2 °C."
    assert judge.warmed({"a": 1, "b": 1}, {"a": 2_001, "b": 2_001})[1].startswith("More than one")
    # Another one that warms too stays at least a degree behind.
    assert judge.warmed(before, before | {"b": 24_500, "c": 24_000}) == ("b", "")
    assert judge.warmed(before, before | {"b": 24_500, "c": 24_001})[1].startswith("More than one")
    assert judge.warmed(before, before | {"b": 24_000, "c": 24_000})[0] == ""
    # A neighbour that warms a little does not matter, one that cools does not either.
    assert judge.warmed(before, before | {"b": 24_600, "c": 23_000})[0] == "b"
    assert judge.warmed(before, {"a": 15_000, "b": 21_500, "c": 22_000})[0] == ""
    assert judge.warmed(before, {"a": "crc", "b": 24_000})[0] == "b"
    assert judge.warmed({"a": "power-on"}, {"a": 24_000})[0] == ""
    assert judge.warmed({}, {})[0] == ""


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        ({"why": "arm", "at": "heat"}, "Nobody holds the arm button"),
        ({"why": "busy", "at": "try"}, "wait three seconds"),
        ({"why": "busy", "at": "h"}, "Another computer steers this board"),
        ({"why": "taken", "at": "probe.bath"}, "one chip is one probe"),
        ({"why": "flash", "at": "rig"}, "memory refused"),
        ({"why": "objection", "at": "commission"}, "has not been commissioned"),
        ({"why": "objection", "at": "water-only"}, "heats only water"),
        ({"why": "range", "at": "ms", "lo": 250, "hi": 3000}, "from 250 to 3000"),
        ({"why": "something new", "at": "x"}, "something new"),
    ],
)
def test_refusals_are_sentences(answer: dict[str, Any], words: str) -> None:
    said = refused(answer)
    assert words in said
    assert said.endswith(".")
