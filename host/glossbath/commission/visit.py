"""What every step works with: the line to the board, the person at the rig, and their talk."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from glossbath.checks.trips import meaning
from glossbath.errors import StepFailed

from .person import Person, Question
from .session import Session
from .words import INPUTS, shown

HAND_S = 120.0
"""How long a person may take to do what was asked."""
_TRIES = 5
_LONGEST_TEXT = 80


@dataclass(frozen=True)
class Passed:
    """A step that was passed: one sentence, and the numbers behind it."""

    text: str
    values: dict[str, Any] = field(default_factory=dict)


_STARVED = (
    " With ready units a limit thermostat that has opened looks the same: find why it did, then "
    "press its knob."
)


class Visit:
    """One visit to the rig. who is the person's name, results what earlier steps have found."""

    def __init__(
        self, session: Session, person: Person, rig: str, results: Mapping[str, dict[str, Any]]
    ) -> None:
        self.session = session
        self.rig = rig
        self.results = results
        self.who = ""
        self._person = person

    @property
    def ready_units(self) -> bool:
        """Whether the mains side is ready units: then the cut-outs act on their 12 V."""
        return self.results.get("identity", {}).get("variant") == "ready"

    # -- talk

    def say(self, line: str) -> None:
        """Tell the person something."""
        self._person.tell(line)

    def act(self, code: str, line: str) -> None:
        """Tell the person to do something now."""
        self._person.act(code, line)

    def confirm(self, code: str, text: str) -> bool:
        """A question that is answered with yes or no."""
        return self.choose(code, text, ("yes", "no")) == "yes"

    def expect(self, code: str, text: str, otherwise: str) -> None:
        """A question that has to be answered with yes; raises StepFailed(otherwise) else."""
        if not self.confirm(code, text):
            raise StepFailed(otherwise)

    def choose(self, code: str, text: str, choices: tuple[str, ...]) -> str:
        """One of the choices; the first letters are enough."""
        question = Question(code, text, choices)
        for _ in range(_TRIES):
            said = self._ask(question).lower()
            found = [choice for choice in choices if said and choice.startswith(said)]
            if len(found) == 1 or said in choices:
                return said if said in choices else found[0]
            self.say(f"Please answer with one of: {', '.join(choices)}.")
        raise StepFailed(f"No usable answer was given to: {text}")

    def number(self, code: str, text: str, low: float, high: float, unit: str) -> float:
        """A number from low to high."""
        question = Question(code, text, unit=unit, low=low, high=high)
        for _ in range(_TRIES):
            said = self._ask(question).replace(",", ".")
            try:
                value = float(said)
            except ValueError:
                value = math.nan
            if low <= value <= high:
                return value
            self.say(f"Please give a number from {low:g} to {high:g} {unit}, without the unit.")
        raise StepFailed(f"No usable answer was given to: {text}")

    def line(self, code: str, text: str) -> str:
        """One line of text, 1 to 80 printable characters."""
        for _ in range(_TRIES):
            said = self._ask(Question(code, text)).strip()
            if 0 < len(said) <= _LONGEST_TEXT and said.isprintable():
                return said
            self.say(f"Please give 1 to {_LONGEST_TEXT} characters.")
        raise StepFailed(f"No usable answer was given to: {text}")

    def _ask(self, question: Question) -> str:
        return self._person.answer(question, self.session.step).strip()

    # -- the rig

    def clear_trip(self) -> None:
        """Clear a trip that is left from before, once somebody has found its cause."""
        if self.session.state != "tripped":
            return
        reading = self.session.reading
        self.say(f"The board has tripped: {meaning(reading.trip if reading else '')[0]}")
        self.expect("clear-trip", "Has the cause been found and mended?", "The trip stands.")
        self.session.order("clear")

    def inputs(self) -> dict[str, Any]:
        """Levels of the switches by name (1, 0, None), and `stir_ma` and `supply_mv`."""
        return dict(
            zip((*INPUTS, "stir_ma", "supply_mv"), self.session.order("inputs"), strict=True)
        )

    def until_inputs(self, wanted: Mapping[str, int], within_s: float) -> dict[str, Any]:
        """The inputs once they are as wanted, or the last ones when they are not in time."""
        end_ms = self.session.now_ms + round(1000 * within_s)
        while True:
            now = self.inputs()
            good = all(now[name] == level for name, level in wanted.items())
            if good or self.session.now_ms >= end_ms:
                return now
            self.session.wait(0.25)

    def need_inputs(self, wanted: Mapping[str, int], within_s: float = HAND_S) -> dict[str, Any]:
        """As until_inputs, but raises StepFailed with the first input that is not as wanted."""
        now = self.until_inputs(wanted, within_s)
        for name, level in wanted.items():
            if now[name] != level:
                raise StepFailed(
                    f"Input {name} says {shown(name, now[name])} and should say "
                    f"{shown(name, level)}: look at its switch, its plug and its wire."
                    + (_STARVED if self.ready_units and name == "stop" else "")
                )
        return now

    def hold_arm(self) -> None:
        """Have the arm button pressed and held."""
        self.act("arm-press", "Press the arm button and keep it pressed.")
        self.need_inputs({"arm": 1})

    def release_arm(self) -> None:
        """Have the arm button released."""
        self.act("arm-release", "Let the arm button go.")
        self.need_inputs({"arm": 0})
