"""How long a walk watches, and what it refuses to sign for: heat and the stop button.

Each limit is tried on both sides: a rig that is a moment too late would be signed for, or a good
one refused. The times a board may take are safety.md's.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from glossbath.commission import proving
from glossbath.commission.heating import program
from glossbath.errors import StepFailed

from .patient_board import Act, Change, PatientBoard
from .willing_person import between, fails, nothing, stop_pressed, visited

# ---------------------------------------------------------------- heat begins with a hand


def test_a_good_rig_heats_after_a_press_and_not_before() -> None:
    visit, board, person = visited()
    assert "Heat begins with a press only" in proving.proof(visit).text
    # Two seconds of lease, then ten in which nothing may begin; the same once the button is out.
    assert between(person.at, "arm-press", "arm-release") == 12.0
    assert between(person.at, "arm-release", "arm-tap") == 12.0
    assert board.state == "stopped"
    assert board.settings == {"level": 1}
    assert "The rig may heat water now, and nothing but water." in person.told
    assert not board.leasing
    # All that a board needs to know of a run, and each run has a name of its own.
    asked = [(kind, set(values)) for kind, values in board.asked if kind not in ("inputs", "set")]
    load = [("plan", {"count", "max", "g", "w"}), ("phase", {"at", "name", "v"})]
    assert asked == [*load, ("start", {"cycle", "sum"}), ("stop", set())] * 2
    assert len({values["cycle"] for kind, values in board.asked if kind == "start"}) == 2


@pytest.mark.parametrize(
    ("variant", "place"), [("box", "box's outlet"), ("ready", "second unit's socket")]
)
def test_a_person_is_told_where_the_cooker_belongs(variant: str, place: str) -> None:
    visit, _, person = visited(variant=variant)
    proving.proof(visit)
    assert f"cooker in the {place}, its knob at HIGH" in person.words["mains-on"]
    assert f"Is the cooker plugged into the {place}" in person.words["cooker-in"]


def test_a_rig_that_refuses_is_not_started_all_the_same() -> None:
    visit, board, _ = visited()
    board.refused_kind, board.refused_at = "plan", "commission"
    with pytest.raises(StepFailed, match="has not been commissioned"):
        proving.proof(visit)
    assert not any(kind in ("phase", "start") for kind, _ in board.asked)


@pytest.mark.parametrize(
    ("change", "answers", "since", "words"),
    [
        (nothing, {"cooker-in": "no"}, "cooker-in", "leakage of a good switch looks like voltage"),
        (lambda it: it.inputs.update(water=0), {}, "cooker-in", "Input water says too low"),
        (lambda it: setattr(it, "refused_at", "reset-loop"), {}, "arm-press", "refus"),
        (nothing, {"outlet-lamp": "no"}, "outlet-lamp", "look at H1"),
    ],
)
def test_nothing_heats_before_everything_is_as_it_should_be(
    change: Change, answers: Mapping[str, str], since: str, words: str
) -> None:
    said, _ = fails(proving.proof, since, change=change, answers=answers)
    assert words in said


LEAKS = " may look like this: plug it in, knob at HIGH, and try again."


@pytest.mark.parametrize(
    ("code", "variant", "lit", "words"),
    [
        ("proof-switch", "box", "no", LEAKS),
        ("proof-off", "box", "no", LEAKS),
        ("proof-relay", "box", "no", "(proof-relay): The master relay did not open in its test."),
        ("proof-power", "box", "yes", "Have OK1, R20, R21, C5 and the wire of `load` looked at."),
        ("proof-power", "ready", "yes", "Have PT1, its sleeve over H1, C5 and the wire"),
        ("proof-power", "box", "no", "The way to the outlet is open. From the wall, plug out:"),
        ("proof-power", "ready", "no", "The way to the cooker is open: look at the plugs from"),
    ],
)
def test_a_proof_that_fails_says_what_to_look_at(
    code: str, variant: str, lit: str, words: str
) -> None:
    said, _ = fails(
        proving.proof,
        "arm-tapped",
        change=lambda it: setattr(it, "proof_fails", code),
        answers={"lamp-flash": lit},
        variant=variant,
    )
    assert said.startswith(f"The board tripped ({code}): ")
    assert words in said
    assert ("leakage" in said) == (words == LEAKS)


def test_a_degree_and_a_half_is_warm_enough() -> None:
    visit, board, _ = visited()
    board.warms_k_per_s = 0.0
    board.later(60.0, lambda it: setattr(it.reading, "body_c", 21.5))
    assert proving.proof(visit)


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
    assert proving.stop(visit).values == {"stopped_after_s": 0.2}
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
        ({"stop-press": nothing}, nothing, "Input stop says out and should say pressed"),
        ({"stop-release": nothing}, nothing, "Input stop says pressed and should say out"),
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


def test_a_refusal_for_another_reason_does_not_prove_the_stop_button() -> None:
    def change(board: PatientBoard) -> None:
        board.minds_stop, board.refused_at = False, "commission"

    said, took_s = fails(proving.stop, "stop-press", change=change)
    assert "has not been commissioned" in said
    assert took_s == 2.0


def test_a_stop_that_stays_pressed_is_not_taken_for_released() -> None:
    times: list[int] = []

    def release(board: PatientBoard) -> None:
        times.append(1)
        if len(times) == 1:
            board.inputs["stop"], board.cause = 1, ""

    said, took_s = fails(proving.stop, "stop-release", {"stop-release": release})
    assert "Input stop says pressed and should say out" in said
    assert (len(times), took_s) == (2, 120.0)


def test_what_goes_on_moving_after_a_stop_counts() -> None:
    said, _ = fails(proving.stop, "stands-still", answers={"stands-still": "no"})
    assert "Something went on with the stop button pressed" in said


def test_a_rig_that_starts_with_the_stop_pressed_is_stopped_at_once() -> None:
    visit, board, _ = visited()
    board.minds_stop = False
    with pytest.raises(StepFailed, match="do not use it"):
        proving.stop(visit)
    assert board.asked[-1][0] == "stop"
    assert not board.leasing
