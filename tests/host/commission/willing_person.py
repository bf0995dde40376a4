"""A willing person at a good rig: does what is asked for at once, and answers yes.

What a test does otherwise it gives as `acts`, by the code of what the person is asked for; `at`
has when each was asked for, in s.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import pytest

from glossbath.commission.person import Idle, Question
from glossbath.commission.visit import Passed, Visit
from glossbath.errors import StepFailed

from .patient_board import Act, Change, PatientBoard

Step = Callable[[Visit], Passed]
SEA = {"pressure-from": "barometer", "barometer": "1013"}
"""Where water boils at 100 °C."""


def _set(name: str, level: int) -> Act:
    return lambda board: board.inputs.update({name: level})


def stop_pressed(board: PatientBoard) -> None:
    """The stop button goes down, and its trip cannot be cleared until it is out again."""
    board.inputs["stop"], board.cause = 0, "stop-button"
    if board.state == "running":
        board.later(0.25, lambda it: it.trip("stop-button"))


def stop_released(board: PatientBoard) -> None:
    board.inputs["stop"], board.cause = 1, ""


def lid(off: bool) -> Act:
    """The lid, and the stirrer with it."""

    def act(board: PatientBoard) -> None:
        board.inputs["lid"] = int(not off)
        board.reading.stir_share = 0.0 if off else 0.5

    return act


def floating(low: bool) -> Act:
    """The float, and the heat with it."""

    def act(board: PatientBoard) -> None:
        board.inputs["water"] = int(not low)
        board.reading.heat_share = 0.0 if low else 1.0

    return act


def jumper(board: PatientBoard) -> None:
    """Voltage that nobody asked for."""
    board.inputs["load"] = 1
    board.later(1.0, lambda it: (it.trip("unasked-heat"), it.inputs.update(load=1))[0])


def trips(code: str, after_s: float) -> Act:
    """Something that makes the board trip after a time."""
    return lambda board: board.later(after_s, lambda it: it.trip(code))


def opened(after_s: float) -> Act:
    """A thermostat opens after a time."""

    def act(board: PatientBoard) -> None:
        board.later(after_s, lambda it: (setattr(it, "cut", True), it.trip("no-power"))[0])

    return act


def closed(board: PatientBoard) -> None:
    """The thermostat's knob was pressed."""
    board.cut = False


def draws(milliamperes: int) -> Act:
    """What the stirrer's motor takes from now on."""
    return lambda board: setattr(board, "drawn_ma", milliamperes)


ACTS: dict[str, Act] = {
    "arm-press": lambda board: board.press_arm(),
    "arm-tap": lambda board: board.press_arm(),
    "arm-release": _set("arm", 0),
    "arm-tapped": _set("arm", 0),
    "input-arm": _set("arm", 1),
    "input-arm-back": _set("arm", 0),
    "input-stop": _set("stop", 0),
    "input-stop-back": _set("stop", 1),
    "input-lid": _set("lid", 0),
    "input-lid-back": _set("lid", 1),
    "input-water": _set("water", 0),
    "input-water-back": _set("water", 1),
    "load-jumper": jumper,
    "load-jumper-back": _set("load", 0),
    "stop-press": stop_pressed,
    "stop-release": stop_released,
    "take-lid": lid(off=True),
    "put-lid": lid(off=False),
    "float-down": floating(low=True),
    "float-up": floating(low=False),
    "pull-chocolate": trips("probe-chocolate", 5.25),
    "pull-bath": trips("probe-bath", 5.0),
    "pull-body": trips("probe-body", 5.0),
    "guard-hot": trips("body-hot", 5.0),
    "bulb-hot": opened(20.0),
    "bulb-reset": closed,
    "second-hot": opened(20.0),
    "second-reset": closed,
    "shaft-hold": draws(500),
    "shaft-free": draws(80),
}


class WillingPerson:
    """Does what is asked for at once, and answers yes unless `answers` says otherwise."""

    def __init__(self, board: PatientBoard, acts: Mapping[str, Act], answers: Mapping[str, str]):
        self._board = board
        self.acts = {**ACTS, **acts}
        self._answers = answers
        self.told: list[str] = []
        self.at: list[tuple[str, float]] = []
        self.words: dict[str, str] = {}
        """What was said when a thing was asked for, by its code."""

    def tell(self, line: str) -> None:
        self.told.append(line)

    def act(self, code: str, line: str) -> None:
        self.at.append((code, self._board.now_ms / 1000))
        self.words[code] = line
        self.acts.get(code, lambda board: None)(self._board)

    def answer(self, question: Question, idle: Idle) -> str:
        self.at.append((question.code, self._board.now_ms / 1000))
        self.words[question.code] = question.text
        return self._answers.get(question.code, "yes")


def visited(
    acts: Mapping[str, Act] | None = None,
    answers: Mapping[str, str] | None = None,
    variant: str = "box",
) -> tuple[Visit, PatientBoard, WillingPerson]:
    """A visit to a good rig, with what is otherwise than it should be."""
    board = PatientBoard()
    person = WillingPerson(board, acts or {}, {**SEA, **(answers or {})})
    found: dict[str, dict[str, Any]] = {"identity": {"variant": variant}}
    return Visit(board, person, "kitchen", found), board, person  # type: ignore[arg-type]


def fails(
    step: Step,
    since: str,
    acts: Mapping[str, Act] | None = None,
    change: Change = lambda board: None,
    answers: Mapping[str, str] | None = None,
    variant: str = "box",
) -> tuple[str, float]:
    """The sentence with which a step is not passed, and the seconds since something was last
    asked for. Whatever it was, heat has been ended."""
    visit, board, person = visited(acts, answers, variant)
    change(board)
    with pytest.raises(StepFailed) as failed:
        step(visit)
    assert board.state not in ("testing", "running")
    last_s = [seconds for code, seconds in person.at if code == since][-1]
    return str(failed.value), board.now_ms / 1000 - last_s


def between(at: Sequence[tuple[str, float]], first: str, then: str) -> float:
    """How long after something was first asked for another thing was, in s."""
    begun = next(number for number, (code, _) in enumerate(at) if code == first)
    ended = next(seconds for code, seconds in at[begun + 1 :] if code == then)
    return ended - at[begun][1]


def nothing(board: PatientBoard) -> None:
    """The person does not do it, or it has no effect."""
