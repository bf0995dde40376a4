"""Who signs sees every result, answers for it, and has a hand at the rig."""

from __future__ import annotations

import pytest

from glossbath.commission.signing import sign
from glossbath.commission.visit import Visit
from glossbath.errors import StepFailed

from .patient_board import PatientBoard
from .willing_person import WillingPerson

RESULTS = {"proof": {"text": "Both switches open."}, "trips": {"text": "Each trips."}}


def _visit(answers: dict[str, str]) -> tuple[Visit, PatientBoard, WillingPerson]:
    board = PatientBoard()
    person = WillingPerson(board, {}, {"signature": "A. Baker", **answers})  # invented
    return Visit(board, person, "kitchen", RESULTS), board, person  # type: ignore[arg-type]


def test_the_rig_may_heat_chocolate_once_somebody_answers_for_it() -> None:
    visit, board, person = _visit({})
    found = sign(visit)
    assert found.values == {"name": "A. Baker"}
    assert found.text == "Signed by A. Baker; the rig may heat chocolate."
    assert person.told == ["proof: Both switches open.", "trips: Each trips."]
    assert board.settings == {"level": 2}
    assert [code for code, _ in person.at] == ["sign", "signature", "arm-press", "arm-release"]
    assert board.inputs["arm"] == 0


def test_who_does_not_answer_for_it_leaves_it_to_water() -> None:
    visit, board, _ = _visit({"sign": "no"})
    with pytest.raises(StepFailed, match="Not signed: the rig goes on heating nothing but water"):
        sign(visit)
    assert board.settings == {}


def test_a_board_that_does_not_take_it_is_not_signed_for() -> None:
    visit, board, _ = _visit({})
    real = board.put
    board.put = lambda key, value: real(key, value) - 1  # type: ignore[method-assign]
    with pytest.raises(StepFailed, match="The board did not take the commissioning"):
        sign(visit)
    assert board.inputs["arm"] == 0
