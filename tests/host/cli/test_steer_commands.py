"""A screen's keys as commands: what is sent, what is printed, which exit code."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from glossbath.cli.app import app
from glossbath.client.paths import runtime_folder

from ..screens.fake_keeper import FakeKeeper, reading, snapshot


@pytest.fixture
def keeper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[FakeKeeper]:
    """A keeper of the invented rig `left`, where the commands look for it."""
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))
    fake = FakeKeeper(runtime_folder() / "left.keeper", [snapshot(), reading()])
    yield fake
    fake.close()


def typed(*words: str) -> Result:
    return CliRunner().invoke(app, [*words, "--rig", "left"])


@pytest.mark.parametrize("op", ["hold", "resume", "step", "clear"])
def test_an_order_is_sent_and_its_answer_printed(keeper: FakeKeeper, op: str) -> None:
    answer = typed(op)
    assert keeper.asked().op == op
    assert (answer.exit_code, answer.output) == (0, f"{op} was done.\n")


def test_taking_over_comes_before_the_order(keeper: FakeKeeper) -> None:
    assert typed("hold", "--take").exit_code == 0
    assert [keeper.asked().op, keeper.asked().op] == ["steer", "hold"]


def test_a_note_and_an_alarm_code_go_along(keeper: FakeKeeper) -> None:
    assert typed("note", " tasted, glossy ").exit_code == 0
    asked = keeper.asked()
    assert (asked.op, asked.values) == ("note", {"text": "tasted, glossy"})
    assert typed("acknowledge", "room-warm").exit_code == 0
    assert keeper.asked().values == {"code": "room-warm"}
    assert typed("acknowledge").exit_code == 0
    assert keeper.asked().values == {"code": ""}


def test_ice_goes_along_as_kilograms(keeper: FakeKeeper) -> None:
    assert typed("ice", "1.5").exit_code == 0
    asked = keeper.asked()
    assert (asked.op, asked.values) == ("ice", {"kg": 1.5})
    assert typed("ice", "much").exit_code == 2
    assert keeper.requests.empty()


def test_a_refusal_has_its_words_and_exit_code(keeper: FakeKeeper) -> None:
    keeper.refusal = "The board cannot do that while it is idle."
    answer = typed("resume", "--json")
    assert answer.exit_code == 1
    assert json.loads(answer.output) == {
        "rig": "left",
        "order": "resume",
        "ok": False,
        "text": "The board cannot do that while it is idle.",
    }


@pytest.mark.parametrize("text", ["", "   ", "x" * 501])
def test_a_note_without_words_or_too_long_never_leaves(keeper: FakeKeeper, text: str) -> None:
    answer = typed("note", text)
    assert answer.exit_code == 2
    assert "from 1 to 500 characters" in answer.output
    assert keeper.requests.empty()


@pytest.mark.usefixtures("keeper")
def test_no_such_rig_is_told() -> None:
    answer = CliRunner().invoke(app, ["hold", "--rig", "right"])
    assert answer.exit_code == 1
    assert "No keeper of rig 'right' runs" in answer.output
