"""A good board and a willing person in a few lines, for what a walk waits for and how long.

Time goes on only where the walk waits. What a test breaks, or does at the rig, it gives as `acts`
by the code of what the person is asked for; `at` has when each was asked for, in s.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import SimpleNamespace
from typing import Any

import pytest

from glossbath.commission.person import Idle, Question
from glossbath.commission.visit import Passed, Visit
from glossbath.commission.words import INPUTS
from glossbath.errors import OrderRefused, StepFailed

PASS_MS = 250
PROOF_S = 2.0
LEASE_S = 6.0
TRIAL_S = 3.0

SEA = {"pressure-from": "barometer", "barometer": "1013"}
"""Where water boils at 100 °C."""

Act = Callable[["PatientBoard"], None]
Change = Callable[["PatientBoard"], object]
Step = Callable[[Visit], Passed]


class PatientBoard:
    """Answers as the firmware does where everything is well."""

    def __init__(self) -> None:
        self.now_ms = 0
        self.state = "idle"
        self.leasing = False
        self.hello = {"v": 1, "id": "00", "fw": "0.2.0", "eng": "stand-in", "brd": "invented"}
        self.inputs: dict[str, Any] = {"arm": 0, "stop": 1, "lid": 1, "load": 0, "water": 1}
        self.supply_mv = 12_000
        self.reading = SimpleNamespace(
            body_c=20.0, bath_c=20.0, chocolate_c=20.0, heat_share=0.0, stir_share=0.0, trip=""
        )
        self.events: list[dict[str, Any]] = []
        self.asked: list[tuple[str, dict[str, Any]]] = []
        self.settings: dict[str, Any] = {}
        self.warms_k_per_s = 0.1
        self.heats = True
        self.minds_stop = True
        self.refused_at = ""
        """Why it starts nothing, as the board names it."""
        self.cut = False
        """Whether a thermostat is open: no voltage comes to the outlet."""
        self.dark_after_s = 0.0
        self.proof_s = PROOF_S
        self.trial_s = TRIAL_S
        self.drawn_ma = 80
        self.cause = ""
        """What has not been mended yet: no trip is cleared meanwhile."""
        self.deaf: set[str] = set()
        """Happenings that this board does not mind, by the code of their trip."""
        self._later: list[tuple[int, Act]] = []
        self._leased_ms = 0

    def later(self, seconds: float, act: Act) -> None:
        """Have something happen after a time."""
        self._later.append((self.now_ms + round(1000 * seconds), act))

    def trip(self, code: str) -> None:
        """The board's own cut-off acts."""
        if code in self.deaf or self.state == "tripped":
            return
        self._off("tripped")
        self.reading.trip = code
        self.events.append({"e": "trip", "tr": code, "d": "", "at_ms": self.now_ms})

    def run(self) -> None:
        """The proof is passed: heat flows."""
        if self.state == "testing":
            self.state = "running"
            self.reading.heat_share = float(self.heats)
            self.reading.stir_share = 0.5
            self.inputs["load"] = int(self.heats)
            self._leased_ms = self.now_ms

    def press_arm(self) -> None:
        """The arm button goes down."""
        self.inputs["arm"] = 1
        if self.state == "waiting":
            self.state = "testing"
            self.later(self.proof_s, lambda board: board.prove())

    def prove(self) -> None:
        """The proof ends: with the outlet's voltage, or without it."""
        if self.cut:
            self.trip("proof-power")
        else:
            self.run()

    def _off(self, state: str) -> None:
        self.state = state
        self.reading.heat_share = self.reading.stir_share = 0.0
        if self.dark_after_s:
            self.later(self.dark_after_s, lambda board: board.inputs.update(load=0))
        else:
            self.inputs["load"] = 0

    def step(self) -> None:
        """One pass of the firmware."""
        self.now_ms += PASS_MS
        if self.leasing:
            self._leased_ms = self.now_ms
        due = [item for item in self._later if item[0] <= self.now_ms]
        self._later = [item for item in self._later if item[0] > self.now_ms]
        for _, act in due:
            act(self)
        if self.state == "running":
            self.reading.body_c += self.warms_k_per_s * PASS_MS / 1000
            if self.now_ms - self._leased_ms >= 1000 * LEASE_S:
                self.trip("lease")

    def until(self, reached: Callable[[], bool], within_s: float) -> bool:
        end_ms = self.now_ms + round(1000 * within_s)
        while not reached():
            if self.now_ms >= end_ms:
                return False
            self.step()
        return True

    def wait(self, seconds: float) -> None:
        self.until(lambda: False, seconds)

    def ask(self, kind: str, **values: Any) -> dict[str, Any]:
        self.asked.append((kind, values))
        if kind == "start":
            stopped = self.minds_stop and not self.inputs["stop"]
            if why := "stop-button" if stopped else self.refused_at:
                return {"ok": 0, "why": "objection", "at": why}
            self.state = "waiting"
        elif kind == "stop":
            self._off("stopped")
        elif kind == "clear":
            if self.cause:
                return {"ok": 0, "why": "objection", "at": self.cause}
            self.state = "idle"
        return {"ok": 1, "v": self._value(kind, values)}

    def _value(self, kind: str, values: Mapping[str, Any]) -> Any:
        if kind == "inputs":
            return [*(self.inputs[name] for name in INPUTS), 0, self.supply_mv]
        if kind == "set":
            self.settings[values["key"]] = values["v"]
            return values["v"]
        if kind == "try":
            drawn = self.drawn_ma if values["o"] == "stir" else 0
            tried = {"e": "tried", "o": values["o"], "why": "time", "ld": 0, "ma": drawn}
            self.later(self.trial_s, lambda board: board.events.append(tried))
        return None

    def order(self, kind: str, **values: Any) -> Any:
        answer = self.ask(kind, **values)
        if not answer["ok"]:
            raise OrderRefused(str(answer))
        return answer["v"]

    def put(self, key: str, value: Any) -> Any:
        return self.order("set", key=key, v=value)

    def since(self, mark: int, kind: str) -> list[dict[str, Any]]:
        return [event for event in self.events[mark:] if event["e"] == kind]


def _set(name: str, level: int) -> Act:
    return lambda board: board.inputs.update({name: level})


def stop_pressed(board: PatientBoard) -> None:
    """The stop button goes down, and its trip cannot be cleared until it is out again."""
    board.inputs["stop"], board.cause = 0, "stop-button"
    if board.state == "running":
        board.later(0.5, lambda it: it.trip("stop-button"))


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
    board.later(1.0, lambda it: it.trip("unasked-heat"))


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
    "pull-chocolate": trips("probe-chocolate", 5.0),
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
        self._acts = {**ACTS, **acts}
        self._answers = answers
        self.told: list[str] = []
        self.at: list[tuple[str, float]] = []

    def tell(self, line: str) -> None:
        self.told.append(line)

    def act(self, code: str, line: str) -> None:
        self.at.append((code, self._board.now_ms / 1000))
        self._acts.get(code, lambda board: None)(self._board)

    def answer(self, question: Question, idle: Idle) -> str:
        self.at.append((question.code, self._board.now_ms / 1000))
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
