"""How long a walk waits for each wire and each thermostat, and what it lets a person do there.

The times a board may take are safety.md's; a hand has two minutes.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from glossbath.commission import cutout, wiring
from glossbath.errors import StepFailed

from .patient_board import Act, Change, PatientBoard
from .willing_person import Step, between, draws, fails, nothing, opened, trips, visited

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
    assert between(person.at, "load-jumper", "load-jumper-back") == 1.0
    assert board.now_ms / 1000 - person.at[-1][1] == 1.0
    assert board.state == "idle"


@pytest.mark.parametrize(
    ("acts", "change", "since", "words", "within_s"),
    [
        ({"input-lid": nothing}, nothing, "input-lid", "Input lid did not change", 120),
        ({"input-lid-back": nothing}, nothing, "input-lid-back", "Input lid says off", 120),
        ({"load-jumper": nothing}, nothing, "load-jumper", "Input load says dead", 120),
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
    visit, board, _ = visited()
    found = wiring.stirrer(visit)
    assert found.values == {"free_ma": 80, "stall_ma": 500, "limit_ma": 400}
    assert board.settings == {"limit.stir-stalled": 400}
    assert next(v for k, v in board.asked if k == "set") == {
        "key": "limit.stir-stalled",
        "v": None,
    }
    assert "draws 80 mA free and 500 mA held" in found.text


def test_a_strong_motor_keeps_the_boards_own_limit() -> None:
    visit, board, person = visited({"shaft-hold": draws(1_500)})
    assert wiring.stirrer(visit).values["limit_ma"] is None
    assert board.settings == {"limit.stir-stalled": None}
    assert not any("takes the stirrer for stalled" in line for line in person.told)


# ---------------------------------------------------------------- thermostats


def test_a_good_thermostat_is_seen_to_open_stay_open_and_close_by_hand() -> None:
    visit, board, person = visited()
    found = cutout.cutout(visit).values
    assert (found["after_s"], found["witness"]) == (20.0, "no-power")
    assert between(person.at, "bulb-cool", "bulb-cold") == 20.0
    assert board.state == "stopped"
    assert not board.leasing


def _closes_when_cool(board: PatientBoard) -> None:
    board.cut = False


def _undecided(board: PatientBoard) -> None:
    board.proof_s = 90.0


@pytest.mark.parametrize(
    ("step", "acts", "since", "words", "within_s"),
    [
        (cutout.cutout, {"bulb-hot": nothing}, "bulb-hot", "first thermostat is bypassed", 300),
        (cutout.second, {"second-hot": nothing}, "second-hot", "second thermostat is bypa", 300),
        (cutout.cutout, {"bulb-hot": trips("stop-button", 1)}, "bulb-hot", "in the wrong wire", 1),
        (cutout.cutout, {"bulb-hot": trips("supply-low", 1)}, "bulb-hot", "in the wrong wire", 1),
        (
            cutout.cutout,
            {"bulb-hot": trips("body-hot", 1)},
            "bulb-hot",
            "Expected was no-power",
            1,
        ),
        (cutout.cutout, {"bulb-cool": _closes_when_cool}, "arm-tapped", "closed by itself", 2),
        (cutout.cutout, {"bulb-cool": _undecided}, "arm-tapped", "closed by itself", 30),
        (cutout.cutout, {"bulb-reset": nothing}, "arm-tapped", "(proof-power)", 2),
        (cutout.second, {"second-reset": nothing}, "arm-tapped", "(proof-power)", 2),
    ],
)
def test_a_thermostat_that_would_not_protect_is_not_signed_for(
    step: Step, acts: Mapping[str, Act], since: str, words: str, within_s: float
) -> None:
    said, took_s = fails(step, since, acts, answers={"lamp-flash": "no"})
    assert words in said
    assert took_s == within_s


@pytest.mark.parametrize("step", [cutout.cutout, cutout.second])
@pytest.mark.parametrize(("after_s", "good"), [(299.5, True), (300.5, False)])
def test_a_thermostat_has_five_minutes_to_open(step: Step, after_s: float, good: bool) -> None:
    acts = {"bulb-hot": opened(after_s), "second-hot": opened(after_s)}
    if good:
        visit, board, _ = visited(acts)
        board.warms_k_per_s = 0.0
        assert step(visit).values["after_s"] == after_s
    else:
        assert "is bypassed" in fails(step, "arm-tap", acts)[0]


@pytest.mark.parametrize("step", [cutout.cutout, cutout.second])
@pytest.mark.parametrize(("after_s", "good"), [(2.75, True), (3.25, False)])
def test_the_outlet_is_dead_three_seconds_after_the_last_heat(
    step: Step, after_s: float, good: bool
) -> None:
    def late(board: PatientBoard) -> None:
        board.cut, board.dark_after_s = False, after_s

    acts = {"bulb-reset": late, "second-reset": late}
    if good:
        assert step(visited(acts)[0])
    else:
        assert "Input load says live" in fails(step, "arm-tap", acts)[0]


def _other_trip(board: PatientBoard) -> None:
    board.proof_s = 90.0
    board.later(22.5, lambda it: it.trip("body-hot"))


def test_only_a_proof_without_voltage_shows_that_it_stayed_open() -> None:
    said, _ = fails(cutout.cutout, "arm-tapped", {"bulb-cool": _other_trip})
    assert "Expected was proof-power. The board tripped (body-hot)" in said


# IAPWS-IF97: water boils at 95.5 °C at 860 hPa, 95.0 °C at 845 hPa.
@pytest.mark.parametrize(
    ("hpa", "how"), [("870", "water boiling at 870 hPa"), ("844", "hot oil by an electrician")]
)
def test_water_that_boils_too_near_the_thermostat_proves_nothing(hpa: str, how: str) -> None:
    visit, _, _ = visited(answers={"barometer": hpa})
    assert how in cutout.cutout(visit).values["how"]


# ---------------------------------------------------------------- ready units


def _starved(board: PatientBoard) -> None:
    board.cut, board.cause = True, "stop-button"
    board.trip("stop-button")


def _fed(board: PatientBoard) -> None:
    board.cut, board.cause = False, ""


def test_ready_units_lose_their_inputs() -> None:
    visit, _, _ = visited({"bulb-hot": _starved, "bulb-reset": _fed}, variant="ready")
    found = cutout.cutout(visit)
    assert found.values["witness"] == "stop-button"
    assert "saw the 12 V of both units go" in found.text


def _starves_all(board: PatientBoard) -> None:
    _starved(board)
    board.supply_mv = 9_000


@pytest.mark.parametrize(
    ("acts", "words"),
    [
        ({"bulb-hot": trips("no-power", 1)}, "does not lie in the common feed of both units'"),
        ({"bulb-hot": trips("supply-low", 1)}, "took the 12 V supply away from all"),
        ({"bulb-hot": _starves_all}, "took the 12 V supply away from all"),
        ({"bulb-hot": nothing}, "first thermostat is bypassed"),
        ({"bulb-hot": _starved, "bulb-cool": _fed}, "closed by itself when it cooled"),
    ],
)
def test_a_thermostat_of_ready_units_that_would_not_protect_is_not_signed_for(
    acts: Mapping[str, Act], words: str
) -> None:
    assert words in fails(cutout.cutout, "bulb-hot", acts, variant="ready")[0]
