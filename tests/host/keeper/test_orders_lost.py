"""Orders and trips as a person meets them: an answer in the end, and the number that tripped."""

from __future__ import annotations

from pathlib import Path

import pytest
from stand_in_board import Rig

from glossbath.checks import words
from glossbath.client.messages import Reply, Request


@pytest.fixture
def rig(tmp_path: Path) -> Rig:
    made = Rig(tmp_path)
    assert made.start().ok
    made.run(3)
    return made


def test_an_order_that_is_never_answered_is_given_up_and_said(rig: Rig) -> None:
    # A person who waits for a hold that never comes must hear that it did not come.
    rig.board.answering = False
    answers: list[Reply] = []
    rig.keeper.ask(Request(1, "hold", {}), answers.append)
    holds = rig.board.kinds("hold")
    rig.run(5)
    assert answers == []
    assert rig.board.kinds("hold") > holds, "it is repeated"
    rig.run(15)
    (answer,) = answers
    assert not answer.ok
    assert answer.text
    tried = rig.board.kinds("hold")
    rig.run(10)
    assert rig.board.kinds("hold") == tried, "it is given up"
    rig.board.answering = True
    assert rig.ask("hold").ok


def test_the_record_of_a_trip_has_its_number(rig: Rig) -> None:
    rig.board.say({"k": "e", "e": "trip", "tr": "bath-hot", "d": "60500"})
    rig.board.values.update(st="tripped", h=0, tr="bath-hot")
    rig.run(3)
    (trip,) = rig.events("trip")
    assert trip.values == {"detail": "60500"}


@pytest.mark.parametrize("code", words.codes())
@pytest.mark.parametrize("detail", ["", "61.2"])
def test_every_finding_is_a_whole_sentence_with_and_without_its_number(
    code: str, detail: str
) -> None:
    found = words.meaning(code, detail)
    assert found is not None
    for sentence in found[1:]:
        assert "{" not in sentence
        assert "  " not in sentence
        assert "()" not in sentence
        assert " ." not in sentence
        assert sentence == sentence.strip()
