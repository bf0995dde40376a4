"""The run on water: what is asked before it, and that it may be left for later."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from threading import Event
from types import SimpleNamespace
from typing import Any

import pytest

from glossbath.commission import Session, identifying
from glossbath.commission.visit import Passed, Visit
from glossbath.errors import StepFailed
from glossbath.record import open_cycle
from glossbath.thermal.model import RigModel, load_model, water
from glossbath.thermal.model.board import board_values
from glossbath.thermal.tuning import Known

from .passing_line import BEGAN_MS, Line, Passing
from .patient_board import PatientBoard
from .willing_person import WillingPerson, visited

GOOD = {"water-kg": "3", "bowl-kg": "1", "room-c": "21"}


@pytest.fixture
def ran(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """What the run on water was begun with, and what its record is read with."""
    kept: list[Any] = []

    def run(visit: object, bowl_kg: float) -> Path:
        kept.append(bowl_kg)
        return Path("record")

    def model(
        visit: object, folder: Path, water_kg: float, bowl_kg: float, room_c: float
    ) -> Passed:
        kept.append((str(folder), water_kg, bowl_kg, room_c))
        return Passed("Found.")

    monkeypatch.setattr(identifying, "_run", run)
    monkeypatch.setattr(identifying, "_model", model)
    return kept


def test_a_rig_may_be_identified_later(ran: list[Any]) -> None:
    visit, _, person = visited(answers={"identify": "no"})
    found = identifying.identify(visit)
    assert found.values == {"done": False}
    assert "Left for later: glossbath tune recipe" in found.text
    assert "in about two hours. Now?" in person.words["identify"]
    assert ran == []


@pytest.mark.parametrize(
    "answers",
    [
        GOOD,
        {"water-kg": "0.5", "bowl-kg": "0.05", "room-c": "0"},
        {"water-kg": "20", "bowl-kg": "10", "room-c": "45"},
    ],
)
def test_what_was_weighed_is_what_is_reckoned_with(
    answers: Mapping[str, str], ran: list[Any]
) -> None:
    visit, _, person = visited(answers=answers)
    identifying.identify(visit)
    water_kg, bowl_kg, room_c = (float(answers[name]) for name in GOOD)
    assert ran == [bowl_kg, ("record", water_kg, bowl_kg, room_c)]
    assert any("Stay with the rig; ctrl+c stops it." in line for line in person.told)


@pytest.mark.parametrize(
    ("name", "beyond", "words"),
    [
        ("water-kg", ("0.49", "20.1"), "from 0.5 to 20 kg"),
        ("bowl-kg", ("0.049", "10.1"), "from 0.05 to 10 kg"),
        ("room-c", ("-0.1", "45.1"), "from 0 to 45 °C"),
    ],
)
def test_what_no_rig_holds_is_asked_again_and_begins_nothing(
    name: str, beyond: tuple[str, str], words: str, ran: list[Any]
) -> None:
    for said in beyond:
        visit, _, person = visited(answers={**GOOD, name: said})
        with pytest.raises(StepFailed, match="No usable answer was given"):
            identifying.identify(visit)
        assert f"Please give a number {words}, without the unit." in person.told
    assert ran == []


def test_the_arm_button_is_asked_for_once_and_let_go_once() -> None:
    visit, _, person = visited()
    arming = identifying._Arming(visit)
    for state in ("idle", "waiting", "waiting", "testing", "running", "waiting", "running"):
        arming.step(state)
    assert [code for code, _ in person.at] == ["arm-tap", "arm-tapped"]


# ---------------------------------------------------------------- the run itself


class Run:
    """A run on water whose board ends it in a state after so many seconds."""

    def __init__(self, ends: str, after_s: int = 20) -> None:
        self.line = Line()
        self.clock = Passing(self.line)
        self.session = Session(self.line, self.clock)  # type: ignore[arg-type]
        self.started_s = 0.0
        second = self.line.second

        def until_it_ends() -> None:
            if self.line.cycle and not self.started_s:
                self.started_s = self._s()
            if self.started_s and self._s() >= self.started_s + after_s:
                self.line.values.update(st=ends, h=0, s=0)
                if ends == "tripped":
                    self.line.values["tr"] = "bath-hot"
            second()

        self.line.second = until_it_ends  # type: ignore[method-assign]
        self.session.meet()
        self.session.leasing = True
        self.person = WillingPerson(PatientBoard(), {}, {})
        self.visit = Visit(self.session, self.person, "kitchen", {})

    def _s(self) -> float:
        return (self.clock.ms - BEGAN_MS) / 1000


@pytest.fixture
def cycles(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GLOSSBATH_CYCLES", str(tmp_path))
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path / "models"))
    return tmp_path


def test_the_run_waits_for_the_walks_own_lease_to_end_and_leaves_a_record(cycles: Path) -> None:
    run = Run("complete")
    folder = identifying._run(run.visit, 1.0)
    assert folder.parent == cycles
    cycle = open_cycle(folder)
    assert cycle.result == "complete"
    assert cycle.facts is not None
    assert (cycle.facts.rig, cycle.facts.batch_kg) == ("kitchen", 1.0)
    assert run.started_s >= 7.0  # the board's lease runs for six seconds
    assert not run.session.leasing
    told = {event.text for event in cycle.events() if event.kind in ("phase", "state")}
    assert told and told <= set(run.person.told)
    unasked = {event.text for event in cycle.events() if event.kind == "order"}
    assert not unasked & set(run.person.told)


@pytest.mark.parametrize("ends", ["tripped", "stopped"])
def test_a_run_that_was_cut_short_is_no_model(ends: str, cycles: Path) -> None:
    run = Run(ends)
    with pytest.raises(StepFailed, match=f"The run on water ended as {ends}: see {cycles}"):
        identifying._run(run.visit, 1.0)


def test_a_run_that_the_board_refuses_says_why_and_lets_the_rig_go(cycles: Path) -> None:
    run = Run("complete")
    run.line.refusal = {"why": "objection", "at": "commission"}
    with pytest.raises(StepFailed, match="has not been commissioned"):
        identifying._run(run.visit, 1.0)
    assert run.line.values["st"] in ("idle", "stopped")
    assert run.line.kinds("start") == 1


def test_leaving_in_the_middle_stops_the_rig(cycles: Path) -> None:
    run = Run("complete", 1_000)

    def leave(line: str) -> None:
        raise KeyboardInterrupt

    run.person.tell = leave  # type: ignore[method-assign]
    with pytest.raises(KeyboardInterrupt):
        identifying._run(run.visit, 1.0)
    assert run.line.kinds("stop") >= 1


def test_what_was_found_is_kept_here_and_on_the_board(
    cycles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = identifying._run(Run("complete").visit, 1.0)
    model = RigModel(heater_w=312.4, uncertainty_shares={"heater_w": 0.05})
    known: list[object] = []

    def fit(readings: Iterable[object], what: object) -> SimpleNamespace:
        known.append(what)
        assert list(readings)
        return SimpleNamespace(model=model, rms_k=0.12345)

    monkeypatch.setattr("glossbath.thermal.tuning.fit", fit)
    visit, board, _ = visited()
    found = identifying._model(visit, folder, 3.0, 1.0, 21.0)
    assert known == [Known(3.0, water(1.0), 21.0)]
    assert board.now_ms >= 7_000  # the keeper's lease has to end first
    assert load_model("kitchen") == model
    assert f"From {folder.name}." in (cycles / "models" / "kitchen.toml").read_text("utf-8")
    assert board.settings["model"] == board_values(model)
    assert found.values["model"] == board.settings["model"]
    assert (found.values["done"], found.values["rms_k"]) == (True, 0.123)
    assert found.values["folder"] == str(folder)
    assert found.text.startswith("Heater 312 W; the board steers by this rig's own model.")


def test_the_line_to_the_board_is_kept_while_the_model_is_found(
    cycles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = identifying._run(Run("complete").visit, 1.0)
    visit, board, _ = visited()
    goes_on, passes = Event(), board.step

    def step() -> None:
        passes()
        if board.now_ms > 3_600_000:  # slower than any computer is
            goes_on.set()

    def fit(readings: object, what: object) -> SimpleNamespace:
        assert goes_on.wait(30.0)
        return SimpleNamespace(model=RigModel(heater_w=312.4), rms_k=0.1)

    monkeypatch.setattr(board, "step", step)
    monkeypatch.setattr("glossbath.thermal.tuning.fit", fit)
    assert identifying._model(visit, folder, 3.0, 1.0, 21.0).values["done"]


def test_a_run_that_does_not_end_in_eight_hours_is_stopped(cycles: Path) -> None:
    run = Run("complete", 1_000)
    tell = run.person.tell

    def much_later(line: str) -> None:
        tell(line)
        run.clock.ms = BEGAN_MS + 8 * 3_600_000 + 10_000

    run.person.tell = much_later  # type: ignore[method-assign]
    with pytest.raises(StepFailed, match="did not end in eight hours"):
        identifying._run(run.visit, 1.0)
    assert run.line.kinds("stop") >= 1
