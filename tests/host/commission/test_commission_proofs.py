"""How long a walk watches, and what it refuses to sign for: heat, stop and the board's trips.

Each limit is tried on both sides: a rig that is a moment too late would be signed for, or a good
one refused. The times a board may take are safety.md's.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from glossbath.commission import proving, provoking
from glossbath.commission.heating import program
from glossbath.errors import StepFailed

from .patient_board import Act, Change, PatientBoard
from .willing_person import between, fails, floating, lid, nothing, stop_pressed, trips, visited

# ---------------------------------------------------------------- heat begins with a hand


def test_a_good_rig_heats_after_a_press_and_not_before() -> None:
    visit, board, person = visited()
    assert "Heat begins with a press only" in proving.proof(visit).text
    # Two seconds of lease, then ten in which nothing may begin; the same once the button is out.
    assert between(person.at, "arm-press", "arm-release") == 12.0
    assert between(person.at, "arm-release", "arm-tap") == 12.0
    assert board.state == "stopped"
    assert board.settings == {"level": 1}
    assert not board.leasing


def begins(after_s: float) -> Act:
    """The rig heats after a time without being asked."""

    def act(board: PatientBoard) -> None:
        board.inputs["arm"] = 1 - board.inputs["arm"]
        board.later(after_s, lambda it: setattr(it, "state", "testing"))

    return act


@pytest.mark.parametrize(
    ("acts", "words"),
    [
        ({"arm-press": begins(2.5)}, "A button that was held down all along armed the rig"),
        ({"arm-press": begins(11.75)}, "A button that was held down all along armed the rig"),
        ({"arm-release": begins(0.5)}, "The rig armed itself without a press"),
        ({"arm-release": begins(9.75)}, "The rig armed itself without a press"),
    ],
)
def test_a_rig_that_heats_without_a_press_is_stopped_and_not_signed_for(
    acts: Mapping[str, Act], words: str
) -> None:
    said, _ = fails(proving.proof, "mains-on", acts)
    assert words in said
    assert said.endswith("do not use it.")


@pytest.mark.parametrize(
    ("change", "since", "words", "within_s"),
    [
        (lambda it: setattr(it, "warms_k_per_s", 0.0), "outlet-lamp", "by 1.5 °C in 240 s", 240),
        (lambda it: setattr(it, "heats", False), "arm-tapped", "asks for no heat", 12),
        (lambda it: setattr(it, "dark_after_s", 3.25), "outlet-lamp", "load says live", 18.25),
        (lambda it: setattr(it, "proof_s", 30.25), "arm-tapped", "was not pressed", 30),
        (lambda it: setattr(it, "cut", True), "arm-tapped", "(proof-power)", 2),
    ],
)
def test_heat_that_does_not_come_or_go_in_time_is_not_signed_for(
    change: Change, since: str, words: str, within_s: float
) -> None:
    said, took_s = fails(proving.proof, since, change=change, answers={"lamp-flash": "no"})
    assert words in said
    assert took_s == within_s


@pytest.mark.parametrize(
    "change",
    [
        lambda it: setattr(it, "warms_k_per_s", 1.6 / 240),
        lambda it: setattr(it, "dark_after_s", 2.75),
        lambda it: setattr(it, "proof_s", 29.75),
    ],
)
def test_a_rig_that_is_just_in_time_passes(change: Change) -> None:
    visit, board, _ = visited()
    change(board)
    assert proving.proof(visit)


def test_a_press_that_never_comes_is_waited_for_two_minutes() -> None:
    # A person may take that long; the rest is the proof's half minute.
    said, took_s = fails(proving.proof, "arm-tap", {"arm-tap": nothing})
    assert "The arm button was not pressed" in said
    assert took_s == 150.0


def test_a_cooker_that_trips_while_it_should_warm_is_told_as_that() -> None:
    def hot(board: PatientBoard) -> None:
        board.press_arm()
        board.warms_k_per_s = 0.0
        board.later(30.0, lambda it: it.trip("body-rise"))

    said, took_s = fails(proving.proof, "outlet-lamp", {"arm-tap": hot})
    assert "The board tripped (body-rise)" in said
    assert took_s == 28.0


def test_what_heats_in_a_walk_is_warm_water_for_half_an_hour_at_most() -> None:
    made = program()
    (phase,) = made.phases
    assert (made.water, made.batch_g, phase.name) == (1, 1_000, "hold")
    assert (phase.low_mc, phase.target_mc, phase.high_mc) == (15_000, 45_000, 46_000)
    assert phase.timeout_ms == 30 * 60_000
    assert phase.dwell_ms == phase.timeout_ms - 100_000
    assert (phase.bath_low_mc, phase.bath_high_mc) == (15_000, 50_000)
    assert phase.stir_permille == 500


# ---------------------------------------------------------------- the stop button


def test_a_good_stop_button_keeps_heat_away_and_ends_it() -> None:
    visit, board, person = visited()
    assert proving.stop(visit).values == {"stopped_after_s": 0.5}
    assert board.state == "idle"
    ended_s = board.now_ms / 1000
    assert ended_s - person.at[-1][1] == 10.0  # nothing began again all that time
    assert not board.leasing


def _begins_again(board: PatientBoard) -> None:
    board.inputs["stop"], board.cause = 1, ""
    board.later(9.75, lambda it: setattr(it, "state", "idle"))


def _trips_only(board: PatientBoard) -> None:
    stop_pressed(board)
    board.cause = ""


@pytest.mark.parametrize(
    ("acts", "change", "words"),
    [
        ({}, lambda it: setattr(it, "minds_stop", False), "would have started with the stop"),
        ({}, lambda it: setattr(it, "refused_at", "commission"), "has not been commissioned"),
        ({"stop-press": _trips_only}, nothing, "could be cleared with the stop button pressed"),
        ({"stop-release": _begins_again}, nothing, "Something began again when the stop button"),
        ({}, lambda it: it.deaf.add("stop-button"), "Nothing tripped within 60 s, expected was"),
        ({}, lambda it: setattr(it, "dark_after_s", 3.25), "Input load says live"),
    ],
)
def test_a_stop_that_does_not_hold_is_not_signed_for(
    acts: Mapping[str, Act], change: Change, words: str
) -> None:
    said, _ = fails(proving.stop, "stop-press", acts, change)
    assert words in said


def test_a_rig_that_starts_with_the_stop_pressed_is_stopped_at_once() -> None:
    visit, board, _ = visited()
    board.minds_stop = False
    with pytest.raises(StepFailed, match="do not use it"):
        proving.stop(visit)
    assert board.asked[-1][0] == "stop"
    assert not board.leasing


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


# ---------------------------------------------------------------- trips on purpose


def test_every_trip_is_seen_with_the_time_it_took() -> None:
    visit, board, _ = visited()
    assert provoking.trips(visit).values == {
        "after_s": {
            **{f"probe-{name}": 5.0 for name in ("chocolate", "bath", "body")},
            "body": 5.0,
            "lease": 6.0,
        }
    }
    assert board.state == "idle"
    assert not board.leasing


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
