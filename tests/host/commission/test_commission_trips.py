"""Lid, water and every trip on purpose: what has to act, how soon, and what is not signed for.

Each limit is tried on both sides. The times a board may take are safety.md's.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from glossbath.commission import provoking

from .patient_board import Act, Change, PatientBoard
from .willing_person import between, fails, floating, lid, nothing, trips, visited

# ---------------------------------------------------------------- lid and water


def _late(act: Act, after_s: float) -> Act:
    """What it does to the outputs comes later than what it does to the switch."""

    def do(board: PatientBoard) -> None:
        before = dict(vars(board.reading))
        act(board)
        wanted = dict(vars(board.reading))
        vars(board.reading).update(before)
        board.later(after_s, lambda it: vars(it.reading).update(wanted))

    return do


INTERLOCKS = {
    "take-lid": (lid(off=True), "The stirrer turns with the lid off"),
    "put-lid": (lid(off=False), "taken away with the lid off did not come back"),
    "float-down": (floating(low=True), "Heat goes on with the float down"),
    "float-up": (floating(low=False), "taken away with the float down did not come back"),
}


@pytest.mark.parametrize("code", INTERLOCKS)
def test_lid_and_water_are_obeyed_within_ten_seconds(code: str) -> None:
    act, words = INTERLOCKS[code]
    visit, board, _ = visited({code: _late(act, 9.75)})
    assert provoking.interlocks(visit)
    assert board.state == "stopped"
    said, took_s = fails(provoking.interlocks, code, {code: _late(act, 10.25)})
    assert words in said
    assert took_s == 10.0


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("take-lid", "Input lid says on and should say off"),
        ("put-lid", "Input lid says off and should say on"),
        ("float-down", "Input water says high enough and should say too low"),
        ("float-up", "Input water says too low and should say high enough"),
    ],
)
def test_a_switch_that_does_not_tell_is_found_though_the_output_obeys(
    code: str, words: str
) -> None:
    act, _ = INTERLOCKS[code]

    def deaf(board: PatientBoard) -> None:
        before = dict(board.inputs)
        act(board)
        board.inputs = before

    assert words in fails(provoking.interlocks, code, {code: deaf})[0]


def test_an_outlet_that_stays_live_after_lid_and_water_is_not_signed_for() -> None:
    said, _ = fails(
        provoking.interlocks, "float-up", change=lambda it: setattr(it, "dark_after_s", 3.25)
    )
    assert "Input load says live" in said


# ---------------------------------------------------------------- trips on purpose


def test_every_trip_is_seen_with_the_time_it_took() -> None:
    visit, board, person = visited()
    assert provoking.trips(visit).values == {
        "after_s": {
            "probe-chocolate": 5.2,
            "probe-bath": 5.0,
            "probe-body": 5.0,
            "body": 5.0,
            "lease": 6.2,
        }
    }
    assert board.state == "idle"
    assert not board.leasing
    assert "This program falls silent now, as a computer that crashed would." in person.told


def _never(code: str) -> Change:
    return lambda board: board.deaf.add(code)


def _stays_hot(board: PatientBoard) -> None:
    board.reading.body_c = board.reading.bath_c + 25.0
    board.warms_k_per_s = 0.0
    board.trip("body-hot")


@pytest.mark.parametrize(
    ("acts", "change", "since", "words", "within_s"),
    [
        # A hand's two minutes, and what safety.md gives the board with ten seconds to spare.
        ({}, _never("probe-bath"), "pull-bath", "within 140 s, expected was probe-bath", 140),
        ({}, _never("body-hot"), "guard-hot", "within 240 s, expected was body-hot", 240),
        ({}, _never("lease"), "arm-tapped", "within 11 s, expected was lease", 15),
        ({"guard-hot": _stays_hot}, nothing, "guard-back", "did not come back", 420),
        ({"pull-bath": trips("probe-body", 1)}, nothing, "pull-bath", "was probe-bath. The b", 1),
        ({"guard-hot": trips("bath-hot", 1)}, nothing, "guard-hot", "probe are exchanged", 1),
        ({"guard-hot": trips("jump-bath", 1)}, nothing, "guard-hot", "probe are exchanged", 1),
        ({"guard-hot": trips("swapped", 1)}, nothing, "guard-hot", "probe are exchanged", 1),
    ],
)
def test_a_layer_that_does_not_act_is_not_signed_for(
    acts: Mapping[str, Act], change: Change, since: str, words: str, within_s: float
) -> None:
    said, took_s = fails(provoking.trips, since, acts, change)
    assert words in said
    assert took_s == within_s


@pytest.mark.parametrize("lost", ["body_c", "bath_c"])
def test_a_guard_probe_that_reads_nothing_has_not_come_back(lost: str) -> None:
    def back(board: PatientBoard) -> None:
        setattr(board.reading, lost, None)
        board.later(30.0, lambda it: setattr(it.reading, lost, 20.0))

    visit, board, person = visited({"guard-back": back})
    board.warms_k_per_s = 0.0
    assert provoking.trips(visit)
    assert between(person.at, "guard-back", "arm-tap") == 32.0


def test_an_outlet_that_stays_live_after_a_trip_is_not_signed_for() -> None:
    said, _ = fails(
        provoking.trips, "pull-chocolate", change=lambda it: setattr(it, "dark_after_s", 3.25)
    )
    assert "Input load says live" in said


def test_another_trip_of_the_guard_probe_does_not_accuse_the_wiring() -> None:
    said, _ = fails(provoking.trips, "guard-hot", {"guard-hot": trips("probe-bath", 1)})
    assert said.startswith("Expected was body-hot. The board tripped (probe-bath)")


def test_a_trip_whose_cause_stays_is_waited_for_two_minutes() -> None:
    def pull(board: PatientBoard) -> None:
        board.cause = "probe-bath"
        board.later(5.0, lambda it: it.trip("probe-bath"))

    def plug(after_s: float) -> Act:
        return lambda board: board.later(after_s, lambda it: setattr(it, "cause", ""))

    said, took_s = fails(provoking.trips, "plug-bath", {"pull-bath": pull})
    assert "The trip's cause is still there" in said
    assert took_s == 120.0
    visit, _, _ = visited({"pull-bath": pull, "plug-bath": plug(119.0)})
    assert provoking.trips(visit)


def test_a_guard_probe_a_little_warmer_than_the_crock_has_come_back() -> None:
    def hot(board: PatientBoard) -> None:
        board.reading.body_c = board.reading.bath_c + 24.9
        board.warms_k_per_s = 0.0
        board.trip("body-hot")

    visit, _, person = visited({"guard-hot": hot})
    after_s: dict[str, Any] = provoking.trips(visit).values["after_s"]
    assert after_s["body"] == 0.0
    assert between(person.at, "guard-back", "arm-tap") == 2.0
