"""How long a walk waits for each wire, and what it lets a person do there.

The times a board may take are safety.md's; a hand has two minutes.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from glossbath.commission import wiring
from glossbath.errors import StepFailed

from .patient_board import Act, Change, PatientBoard
from .willing_person import Step, between, draws, fails, nothing, visited

# ---------------------------------------------------------------- who the board is


def test_a_board_is_looked_at_for_three_seconds_and_heats_nothing_from_then_on() -> None:
    visit, board, person = visited(answers={"variant": "ready"})
    assert wiring.identity(visit).values["variant"] == "ready"
    assert person.at == [("variant", 3.0)]
    assert board.settings == {"level": 0, "rig": "kitchen"}


@pytest.mark.parametrize("spoken", [0, 2, None])
def test_a_board_of_another_version_of_the_line_is_refused(spoken: int | None) -> None:
    visit, board, _ = visited()
    board.hello["v"] = spoken
    with pytest.raises(StepFailed, match=f"speaks version {spoken} of the line, this program ver"):
        wiring.identity(visit)
    assert board.settings == {}


# ---------------------------------------------------------------- inputs


def test_every_input_is_tried_and_brought_back_and_the_jumpers_trip_cleared() -> None:
    visit, board, person = visited()
    assert wiring.inputs(visit).values == {"supply_v": 12.0}
    assert [code for code, _ in person.at if code.startswith("input-")] == [
        *("input-arm", "input-arm-back", "input-stop", "input-stop-back"),
        *("input-lid", "input-lid-back", "input-water", "input-water-back"),
    ]
    # Nobody is kept waiting once a switch has told.
    assert {at_s for code, at_s in person.at if code.startswith("input-")} == {0.0}
    assert between(person.at, "load-jumper", "load-jumper-back") == 1.0
    assert board.now_ms / 1000 - person.at[-1][1] == 1.0
    assert board.state == "idle"


@pytest.mark.parametrize(
    ("acts", "change", "since", "words", "within_s"),
    [
        ({"input-lid": nothing}, nothing, "input-lid", "Input lid did not change", 120),
        ({"input-lid-back": nothing}, nothing, "input-lid-back", "Input lid says off", 120),
        ({"load-jumper": nothing}, nothing, "load-jumper", "Input load says dead", 120),
        ({"load-jumper-back": nothing}, nothing, "load-jumper-back", "Input load says live", 120),
        ({}, lambda it: it.deaf.add("unasked-heat"), "load-jumper", "does not trip", 5),
        ({}, lambda it: it.inputs.update(water=0), "bench", "Input water says too low", 120),
        ({}, lambda it: setattr(it, "supply_mv", 10_900), "bench", "has 10.9 V", 0),
    ],
)
def test_a_wire_that_does_not_answer_is_given_up_in_time(
    acts: Mapping[str, Act], change: Change, since: str, words: str, within_s: float
) -> None:
    said, took_s = fails(wiring.inputs, since, acts, change)
    assert words in said
    assert took_s == within_s


@pytest.mark.parametrize(("after_s", "good"), [(4.75, True), (5.25, False)])
def test_voltage_that_nobody_asked_for_has_to_trip_within_five_seconds(
    after_s: float, good: bool
) -> None:
    def jumper(board: PatientBoard) -> None:
        board.inputs["load"] = 1
        board.later(after_s, lambda it: it.trip("unasked-heat"))

    if good:
        assert wiring.inputs(visited({"load-jumper": jumper})[0])
    else:
        said, _ = fails(wiring.inputs, "load-jumper", {"load-jumper": jumper})
        assert "does not trip" in said


@pytest.mark.parametrize(
    ("variant", "code", "hinted"),
    [
        ("ready", "input-stop-back", True),
        ("ready", "input-lid-back", False),
        ("box", "input-stop-back", False),
    ],
)
def test_an_open_thermostat_of_ready_units_is_named_where_it_looks_like_a_stop(
    variant: str, code: str, hinted: bool
) -> None:
    said, _ = fails(wiring.inputs, code, {code: nothing}, variant=variant)
    assert ("a limit thermostat that has opened looks the same" in said) == hinted


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("arm-press", "Input arm says released and should say pressed"),
        ("arm-release", "Input arm says pressed and should say released"),
    ],
)
def test_an_arm_button_that_is_not_held_or_not_let_go_is_waited_for(code: str, words: str) -> None:
    said, took_s = fails(wiring.pulse, code, {code: nothing})
    assert words in said
    assert took_s == 120.0


def test_another_trip_is_not_taken_for_that_of_the_load_sense() -> None:
    def jumper(board: PatientBoard) -> None:
        board.inputs["load"] = 1
        board.later(1.0, lambda it: it.trip("supply-low"))

    said, _ = fails(wiring.inputs, "load-jumper-back", {"load-jumper": jumper})
    assert said == "Expected was unasked-heat, not supply-low."


# ---------------------------------------------------------------- outputs


def test_each_output_is_tried_alone_and_what_moves_only_under_a_hand() -> None:
    visit, board, person = visited()
    assert wiring.outputs(visit).values == {"stir_ma": 80}
    tried = [values for kind, values in board.asked if kind == "try"]
    assert [values["o"] for values in tried] == ["lamp", "chill", "stir", "relay", "heat"]
    assert {values["ms"] for values in tried} == {3_000}
    # Lamp and pump hurt nobody; the others go off when the button is let go.
    assert [code for code, _ in person.at if code == "arm-press"] == ["arm-press"] * 3
    # Three seconds of trial, then four in which the relay has let go.
    for look in ("status lamp.", "ice-water pump.", "hands away from", "H1.", "own light and"):
        assert any(look in line for line in person.told[1:])
    assert between(person.at, "arm-press", "arm-release") == 3.0
    assert between(person.at, "arm-release", "output-stir") == 4.0


@pytest.mark.parametrize(("after_s", "good"), [(29.75, True), (30.25, False)])
def test_the_boards_account_of_a_trial_is_waited_for_half_a_minute(
    after_s: float, good: bool
) -> None:
    def slow(board: PatientBoard) -> None:
        board.trial_s = after_s

    if good:
        visit, board, _ = visited()
        slow(board)
        assert wiring.pulse(visit)
    else:
        said, took_s = fails(wiring.pulse, "arm-press", change=slow)
        assert "did not say how the trial of the master relay's line ended" in said
        assert took_s == 30.0


def test_the_stirrers_own_limit_is_taken_away_for_its_trial_and_then_set() -> None:
    visit, board, person = visited()
    found = wiring.stirrer(visit)
    assert found.values == {"free_ma": 80, "stall_ma": 500, "limit_ma": 400}
    assert board.settings == {"limit.stir-stalled": 400}
    assert next(v for k, v in board.asked if k == "set") == {
        "key": "limit.stir-stalled",
        "v": None,
    }
    assert "draws 80 mA free and 500 mA held" in found.text

    assert [code for code, _ in person.at if "arm" not in code] == [
        *("paddle-off", "paddle-is-off", "shaft-hold", "shaft-free")
    ]
    assert "The board takes the stirrer for stalled from 400 mA on." in person.told


@pytest.mark.parametrize(
    ("step", "answers", "words"),
    [
        (wiring.inputs, {"motor-volts": "no"}, "motor contact is bridged"),
        (wiring.outputs, {"output-lamp": "no"}, "The status lamp did not light alone"),
        (wiring.outputs, {"output-chill": "no"}, "The pump did not run alone"),
        (wiring.outputs, {"output-stir": "no"}, "swap its two wires"),
        (wiring.outputs, {"output-relay": "no"}, "did not answer its line alone"),
        (wiring.outputs, {"output-heat": "no"}, "The heat switch did not answer"),
        (wiring.pulse, {"output-frozen": "no"}, "the charge pump does not work"),
        (wiring.stirrer, {"paddle-is-off": "no"}, "The paddle has to be off"),
    ],
)
def test_what_a_person_sees_of_a_wire_counts(
    step: Step, answers: Mapping[str, str], words: str
) -> None:
    assert words in fails(step, next(iter(answers)), answers=answers)[0]


def test_a_trial_that_the_board_ended_or_that_brought_voltage_is_no_proof() -> None:
    for more, words in (({"ld": 1}, "Voltage came to"), ({"why": "arm"}, "let go too early")):
        said, _ = fails(
            wiring.pulse, "arm-press", change=lambda it, more=more: it.tried.update(more)
        )
        assert words in said


def test_a_shaft_that_nobody_held_sets_no_limit() -> None:
    said, _ = fails(wiring.stirrer, "shaft-hold", {"shaft-hold": nothing})
    assert "80 mA turning and 80 mA held" in said


def test_a_strong_motor_keeps_the_boards_own_limit() -> None:
    visit, board, person = visited({"shaft-hold": draws(1_500)})
    assert wiring.stirrer(visit).values["limit_ma"] is None
    assert board.settings == {"limit.stir-stalled": None}
    assert not any("takes the stirrer for stalled" in line for line in person.told)
