"""The walk: which steps are done, what is kept of them, and that the rig is left at rest."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from glossbath.checks.trips import meaning
from glossbath.commission import Walk, load, page, record_path, steps, walk
from glossbath.commission.person import Idle, Question
from glossbath.commission.steps import Step
from glossbath.commission.visit import Passed, Visit
from glossbath.errors import InputError, LinkError, StepFailed

from .patient_board import PatientBoard
from .willing_person import WillingPerson

ANSWERS = {"who": "A. Baker", "try-again": "no"}  # invented


@pytest.fixture(autouse=True)
def rigs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GLOSSBATH_RIGS", str(tmp_path))
    return tmp_path


class Course:
    """A walk of two steps, which do as `does` says."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.board = PatientBoard()
        self.ran: list[str] = []
        self.does: dict[str, Callable[[Visit], object]] = {}
        table = (
            Step("one", "First", "It comes first.", self._run("one"), settings=self._settings),
            Step("two", "Second", "It follows.", self._run("two"), needs=("one",)),
        )
        for room in (steps, walk, page):
            monkeypatch.setattr(room, "STEPS", table)
        self.person = WillingPerson(self.board, {}, ANSWERS)

    def _run(self, code: str) -> Callable[[Visit], Passed]:
        def run(visit: Visit) -> Passed:
            self.ran.append(code)
            self.does.get(code, lambda visit: None)(visit)
            visit.session.put("kept", 1)
            return Passed(f"{code} is well.", {"kept": 1})

        return run

    def _settings(self, values: Mapping[str, Any]) -> dict[str, Any]:
        return {"kept": values["kept"]}

    def go(self, resume: bool = False, again: str = "", **answers: str) -> bool:
        """Walk once; answers by the code of what is asked, a bar for each hyphen."""
        given = {code.replace("_", "-"): said for code, said in answers.items()}
        self.person = WillingPerson(self.board, {}, {**ANSWERS, **given})
        return Walk(self.board, self.person, "kitchen").run(resume, again)  # type: ignore[arg-type]

    def results(self) -> dict[str, bool]:
        """What the record says of each step."""
        record = load("kitchen")
        return {} if record is None else {code: it.ok for code, it in record.results.items()}


@pytest.fixture
def course(monkeypatch: pytest.MonkeyPatch) -> Course:
    return Course(monkeypatch)


def fails(visit: Visit) -> None:
    raise StepFailed("Not well.")


def test_every_step_is_done_once_and_kept_with_who_and_when(course: Course, rigs: Path) -> None:
    assert course.go()
    assert course.ran == ["one", "two"]
    record = load("kitchen")
    assert record is not None
    assert (record.board, record.virtual, record.begun[:16]) == ("00", False, "2027-01-15T08:00")
    one = record.results["one"]
    assert (one.ok, one.text, one.who, one.firmware) == (True, "one is well.", "A. Baker", "0.2.0")
    assert one.values == {"kept": 1}
    told = course.person.told
    assert "1 of 2. First (not done yet). It comes first." in told
    assert "PASSED: two is well." in told
    assert "Everything stands." in told
    assert told[-1] == f"The page to print: {rigs / 'kitchen.html'}"
    assert not any("VIRTUAL" in line for line in told)
    assert course.go(resume=True)
    assert course.ran == ["one", "two"]
    assert "1. First: stands." in course.person.told


def test_a_step_knows_what_those_before_it_have_found(course: Course) -> None:
    known: list[dict[str, Any]] = []
    course.does["two"] = lambda visit: known.append(dict(visit.results))
    assert course.go()
    assert known == [{"one": {"text": "one is well.", "kept": 1}}]


def test_a_virtual_rig_is_called_one(course: Course) -> None:
    course.board.hello["rig"] = "virtual"
    assert course.go()
    assert course.person.told[0] == "VIRTUAL RIG: nothing here was tried on a real one."
    record = load("kitchen")
    assert record is not None and record.virtual


def test_a_step_that_fails_is_kept_and_ends_the_walk(course: Course) -> None:
    course.does["one"] = fails
    assert not course.go()
    assert course.ran == ["one"]
    assert course.results() == {"one": False}
    told = course.person.told
    assert "NOT PASSED: Not well." in told
    assert "Left here: go on with glossbath commission --resume." in told
    assert "Missing: First, Second" in record_path("kitchen").with_suffix(".html").read_text()
    course.does.clear()
    assert course.go(resume=True)
    assert "1 of 2. First (failed). It comes first." in course.person.told


def test_a_step_is_tried_again_as_long_as_a_person_wants(course: Course) -> None:
    def mended(visit: Visit) -> None:
        if len(course.ran) < 3:
            fails(visit)

    course.does["one"] = mended
    assert course.go(try_again="yes")
    assert course.ran == ["one", "one", "one", "two"]


@pytest.mark.parametrize(
    ("state", "stops"),
    [("running", 1), ("waiting", 1), ("held", 1), ("idle", 0), ("stopped", 0), ("complete", 0)],
)
def test_whatever_fails_the_rig_is_left_at_rest(course: Course, state: str, stops: int) -> None:
    def leave(visit: Visit) -> None:
        course.board.leasing = True
        course.board.state = state
        fails(visit)

    course.does["one"] = leave
    assert not course.go()
    assert not course.board.leasing
    assert sum(kind == "stop" for kind, _ in course.board.asked) == stops


def test_the_rig_rests_while_a_person_thinks_whether_to_try_again(course: Course) -> None:
    seen: list[tuple[str, bool]] = []

    def leave(visit: Visit) -> None:
        course.board.leasing, course.board.state = True, "running"
        answer = course.person.answer

        def think(question: Question, idle: Idle) -> str:
            seen.append((course.board.state, course.board.leasing))
            return answer(question, idle)

        course.person.answer = think  # type: ignore[method-assign]
        fails(visit)

    course.does["one"] = leave
    assert not course.go()
    assert seen == [("stopped", False)]


def test_an_error_that_nobody_thought_of_leaves_the_rig_at_rest_too(course: Course) -> None:
    def crash(visit: Visit) -> None:
        course.board.leasing, course.board.state = True, "running"
        raise ZeroDivisionError("invented")

    course.does["one"] = crash
    with pytest.raises(ZeroDivisionError):
        course.go()
    assert not course.board.leasing
    assert course.board.state == "stopped"


def test_a_board_that_is_lost_in_a_step_is_met_again_before_the_next(course: Course) -> None:
    def lose(visit: Visit) -> None:
        raise LinkError("The board did not answer: check the cable, then go on.")

    course.does["one"] = lose
    assert not course.go()
    assert course.results() == {"one": False}
    assert course.board.met == 3  # at first, after the step, and for the page


def test_a_board_that_stays_lost_gets_no_page(course: Course) -> None:
    def lose(visit: Visit) -> None:
        course.board.lost = "It is gone."
        raise LinkError("It is gone.")

    course.does["two"] = lose
    assert not course.go()
    assert course.results() == {"one": True, "two": False}
    assert course.person.told[-1].startswith("No page: the board cannot be asked")
    assert not record_path("kitchen").with_suffix(".html").exists()


def test_a_trip_that_stands_is_cleared_first_by_a_person_who_has_mended_it(
    course: Course,
) -> None:
    course.board.trip("lease")
    assert not course.go(clear_trip="no")
    assert course.ran == []
    assert f"The board has tripped: {meaning('lease')[0]}" in course.person.told
    assert "NOT PASSED: The trip stands." in course.person.told
    assert course.board.state == "tripped"
    assert course.go(resume=True)
    assert course.board.state == "idle"


def test_begun_anew_only_where_a_person_says_so(course: Course) -> None:
    assert course.go()
    begun = load("kitchen")
    course.board.now_ms += 60_000
    assert not course.go(anew="no")
    assert load("kitchen") == begun
    assert (
        "kitchen has been worked on since 2027-01-15. Begin anew?" in course.person.words["anew"]
    )
    assert course.go(anew="yes")
    assert course.ran == ["one", "two"] * 2
    assert load("kitchen") != begun


def test_one_step_is_done_again_by_its_code(course: Course) -> None:
    assert course.go()
    assert course.go(resume=True, again="two")
    assert course.ran == ["one", "two", "two"]
    assert "2 of 2. Second (again). It follows." in course.person.told
    with pytest.raises(InputError, match="There is no step 'three': use one, two"):
        course.go(resume=True, again="three")


def test_what_the_board_does_not_hold_any_more_is_done_again(course: Course) -> None:
    assert course.go()
    course.board.settings.clear()
    assert course.go(resume=True)
    assert course.ran == ["one", "two", "one"]


def test_another_boards_record_is_not_gone_on_with(course: Course) -> None:
    with pytest.raises(InputError, match="kitchen has no commissioning to go on with"):
        course.go(resume=True)
    assert course.go()
    course.board.hello["id"] = "77"
    with pytest.raises(InputError, match="record of kitchen is of board 00, this is 77"):
        course.go(resume=True)
    assert course.ran == ["one", "two"]
