"""Walks through the steps that do not stand yet, and keeps every result."""

from __future__ import annotations

import contextlib

from glossbath.board.clock import iso
from glossbath.board.state import OFF
from glossbath.errors import GlossbathError, InputError, LinkError, OrderRefused

from . import page
from . import record as records
from .person import Left, Person
from .record import CommissionRecord, Result
from .session import Session
from .steps import STEPS, Step, standing, step_of, wanted_settings
from .visit import Passed, Visit


class Walk:
    """One rig's commissioning. `run` ends when all is signed or the person leaves.

    Raises InputError where the record belongs to another board, LinkError when the board is lost.
    """

    def __init__(self, session: Session, person: Person, rig: str) -> None:
        self._session = session
        self._person = person
        self._rig = rig
        self.record: CommissionRecord | None = None

    def run(self, resume: bool, again: str = "") -> bool:
        """Go on with (resume) or begin the commissioning; True once it is signed.

        again is the code of a step to be done again although it stands.
        """
        if again and step_of(again) is None:
            codes = ", ".join(step.code for step in STEPS)
            raise InputError(f"There is no step {again!r}: use {codes}.")
        try:
            self._session.meet()
            self._begin(resume)
            visit = self._visit()
            visit.who = visit.line("who", "Your name, for the record?")
            self._steps(visit, again)
        except Left:
            self._person.tell("Left here: go on with glossbath commission --resume.")
        finally:
            self._rest()
        return self._write_page()

    def _write_page(self) -> bool:
        """Write the page as things stand; whether all of them do."""
        if self.record is None:
            return False
        try:
            self._session.meet()  # the lease of a run on water may not have ended yet
            why = self._standing()
        except (LinkError, OrderRefused):
            self._person.tell(
                "No page: the board cannot be asked whether it still holds all this."
            )
            return False
        self._person.tell(f"The page to print: {page.write(self.record, why)}")
        return not any(why.values())

    def _begin(self, resume: bool) -> None:
        found = records.load(self._rig)
        hello = self._session.hello
        board = str(hello.get("id", ""))
        if resume:
            if found is None:
                raise InputError(
                    f"{self._rig} has no commissioning to go on with: leave --resume."
                )
            if found.board != board:
                raise InputError(
                    f"The record of {self._rig} is of board {found.board}, this is {board}: begin "
                    "anew, or use the rig's own board."
                )
            self.record = found
            return
        if found is not None and not self._visit().confirm(
            "anew", f"{self._rig} has been worked on since {found.begun[:10]}. Begin anew?"
        ):
            raise Left
        self.record = CommissionRecord(
            rig=self._rig,
            board=board,
            virtual=hello.get("rig") == "virtual",
            begun=self._now(),
        )

    def _visit(self) -> Visit:
        results = self.record.results if self.record else {}
        shown = {code: {"text": it.text, **it.values} for code, it in results.items()}
        return Visit(self._session, self._person, self._rig, shown)

    def _steps(self, visit: Visit, again: str) -> None:
        assert self.record is not None
        if self.record.virtual:
            visit.say("VIRTUAL RIG: nothing here was tried on a real one.")
        for number, step in enumerate(STEPS, 1):
            why = self._standing()[step.code]
            if not why and step.code != again:
                visit.say(f"{number}. {step.title}: stands.")
                continue
            visit.say(f"{number} of {len(STEPS)}. {step.title} ({why or 'again'}). {step.why}")
            visit.results = self._visit().results
            while not self._perform(step, visit):
                if not visit.confirm("try-again", "Try this step again?"):
                    raise Left
        visit.say("Everything stands.")

    def _standing(self) -> dict[str, str]:
        assert self.record is not None
        results = self.record.results
        held = {key: self._session.order("get", key=key) for key in wanted_settings(results)}
        return standing(results, str(self._session.hello.get("fw", "")), held)

    def _perform(self, step: Step, visit: Visit) -> bool:
        try:
            visit.clear_trip()
            passed = step.run(visit)
        except GlossbathError as error:
            self._rest()
            with contextlib.suppress(GlossbathError):
                self._session.meet()
            self._keep(step, visit, Passed(str(error)), ok=False)
            visit.say(f"NOT PASSED: {error}")
            return False
        self._keep(step, visit, passed, ok=True)
        visit.say(f"PASSED: {passed.text}")
        return True

    def _keep(self, step: Step, visit: Visit, passed: Passed, ok: bool) -> None:
        assert self.record is not None
        self.record.results[step.code] = Result(
            ok=ok,
            text=passed.text,
            when=self._now(),
            who=visit.who,
            firmware=str(self._session.hello.get("fw", "")),
            values=passed.values,
        )
        records.save(self.record)

    def _rest(self) -> None:
        """Leave the rig at rest, whatever happened."""
        session = self._session
        session.leasing = False
        if session.hello and session.state not in OFF:
            with contextlib.suppress(GlossbathError):
                session.order("stop")

    def _now(self) -> str:
        return iso(self._session.clock.wall_ns())
