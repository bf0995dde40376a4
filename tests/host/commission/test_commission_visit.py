"""What a person types is taken as meant or asked again; a board that goes on is not signed for."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from types import SimpleNamespace

import pytest

from glossbath.commission import provoking
from glossbath.commission.person import Idle, Question
from glossbath.commission.visit import Visit
from glossbath.errors import StepFailed

METHODS = ("ice", "thermometer", "gallium", "boiling", "done")


class Typist:
    """A person who types these lines, and is told things."""

    def __init__(self, *typed: str) -> None:
        self.typed = list(typed)
        self.told: list[str] = []

    def tell(self, line: str) -> None:
        self.told.append(line)

    def act(self, code: str, line: str) -> None:
        self.told.append(code)

    def answer(self, question: Question, idle: Idle) -> str:
        return self.typed.pop(0)


def visit(person: Typist, session: object = None) -> Visit:
    board = session or SimpleNamespace(step=lambda: None)
    return Visit(board, person, "kitchen", {})  # type: ignore[arg-type]


# ---------------------------------------------------------------- answers


@pytest.mark.parametrize(
    ("typed", "choices", "taken"),
    [
        ("ice", METHODS, "ice"),
        (" ICE ", METHODS, "ice"),
        ("b", METHODS, "boiling"),
        ("therm", METHODS, "thermometer"),
        ("pt100", ("pt100", "pt1000"), "pt100"),  # whole, and the beginning of the other
        ("pt1000", ("pt100", "pt1000"), "pt1000"),
    ],
)
def test_first_letters_are_enough(typed: str, choices: tuple[str, ...], taken: str) -> None:
    person = Typist(typed)
    assert visit(person).choose("x", "Which?", choices) == taken
    assert person.told == []


@pytest.mark.parametrize("typed", ["", "pt", "p", "pt10000", "x"])
def test_what_could_mean_two_things_or_none_is_asked_again(typed: str) -> None:
    person = Typist(typed, "pt1000")
    assert visit(person).choose("x", "Which?", ("pt100", "pt1000")) == "pt1000"
    assert person.told == ["Please answer with one of: pt100, pt1000."]


def test_a_question_is_asked_five_times_and_no_more() -> None:
    last = Typist("?", "?", "?", "?", "yes")
    assert visit(last).confirm("x", "Is it?")
    with pytest.raises(StepFailed, match="No usable answer was given to: Is it"):
        visit(Typist(*"?????", "yes")).confirm("x", "Is it?")
    number = Typist("?", "?", "?", "?", "7")
    assert visit(number).number("x", "How much?", 0, 9, "kg") == 7
    with pytest.raises(StepFailed, match="No usable answer was given to: How much"):
        visit(Typist(*"?????", "7")).number("x", "How much?", 0, 9, "kg")


def test_a_no_fails_with_what_to_do() -> None:
    visit(Typist("y")).expect("x", "Is it?", "Mend it.")
    with pytest.raises(StepFailed, match="Mend it"):
        visit(Typist("n")).expect("x", "Is it?", "Mend it.")


@pytest.mark.parametrize(
    ("typed", "taken"), [("84", 84.0), ("92", 92.0), (" 91,5 ", 91.5), ("9.1e1", 91.0)]
)
def test_a_number_counts_up_to_and_with_its_limits(typed: str, taken: float) -> None:
    assert visit(Typist(typed)).number("x", "At what?", 84, 92, "°C") == taken


@pytest.mark.parametrize("typed", ["83.99", "92.01", "nan", "inf", "-inf", "90 °C", "", "9 0"])
def test_a_number_outside_its_limits_is_asked_again(typed: str) -> None:
    person = Typist(typed, "90")
    assert visit(person).number("x", "At what?", 84, 92, "°C") == 90.0
    assert person.told == ["Please give a number from 84 to 92 °C, without the unit."]


@pytest.mark.parametrize("typed", ["A", " A. Baker ", "x" * 80])
def test_a_line_has_one_to_eighty_characters(typed: str) -> None:
    assert visit(Typist(typed)).line("who", "Your name?") == typed.strip()


@pytest.mark.parametrize("typed", ["", "   ", "x" * 81, "A\x07Baker", "A\x1b[2J"])
def test_a_line_that_cannot_be_kept_is_asked_again_five_times(typed: str) -> None:
    person = Typist(typed, "A. Baker")
    assert visit(person).line("who", "Your name?") == "A. Baker"
    assert person.told == ["Please give 1 to 80 characters."]
    with pytest.raises(StepFailed, match="No usable answer was given to: Your name"):
        visit(Typist(*[typed] * 5, "A. Baker")).line("who", "Your name?")


# ---------------------------------------------------------------- lid and water


class Board:
    """A board that answers at once: its outputs follow the inputs unless it is wrong."""

    def __init__(self, obeys: bool = True, gives_back: bool = True, idle: str = "") -> None:
        self.obeys = obeys
        self.gives_back = gives_back
        self.idle = idle
        self.held = {"lid": 1, "water": 1}
        self.gone = {"lid": False, "water": False}
        self.now_ms = 0

    def act(self, code: str) -> None:
        name = "lid" if "lid" in code else "water"
        there = code.startswith(("put", "float-up"))
        self.held[name] = int(there)
        if self.obeys:
            self.gone[name] = not there or not self.gives_back

    @property
    def reading(self) -> SimpleNamespace:
        return SimpleNamespace(
            stir_share=0.0 if self.gone["lid"] or self.idle == "stir" else 1.0,
            heat_share=0.0 if self.gone["water"] or self.idle == "heat" else 0.3,
        )

    def order(self, kind: str) -> list[int]:
        return [0, 1, self.held["lid"], 0, self.held["water"], 0, 12_000]

    def until(self, wanted: Callable[[], bool], within_s: float) -> bool:
        return wanted()

    def wait(self, seconds: float) -> None:
        self.now_ms += round(1000 * seconds)

    def step(self) -> None:
        """Nothing goes on meanwhile."""


class Hand(Typist):
    """A hand that does as it is told."""

    def __init__(self, board: Board) -> None:
        super().__init__()
        self._board = board

    def act(self, code: str, line: str) -> None:
        self._board.act(code)


@pytest.fixture(autouse=True)
def heats(monkeypatch: pytest.MonkeyPatch) -> None:
    @contextlib.contextmanager
    def heated(visit: Visit) -> Iterator[int]:
        yield 0

    monkeypatch.setattr(provoking, "heated", heated)


def test_lid_and_water_that_take_away_and_give_back_pass() -> None:
    board = Board()
    assert "both came back" in provoking.interlocks(visit(Hand(board), board)).text


@pytest.mark.parametrize(
    ("board", "words"),
    [
        (Board(obeys=False), "The stirrer turns with the lid off: do not use the rig"),
        (Board(gives_back=False), "taken away with the lid off did not come back"),
        (Board(idle="stir"), "Nothing to take away with the lid off"),
        (Board(idle="heat"), "Nothing to take away with the float down"),
    ],
)
def test_a_board_that_goes_on_or_stands_anyway_is_not_signed_for(board: Board, words: str) -> None:
    with pytest.raises(StepFailed, match=words):
        provoking.interlocks(visit(Hand(board), board))


def test_heat_that_goes_on_without_water_is_not_signed_for() -> None:
    board = Board()
    obey = board.act

    def act(code: str) -> None:
        obey(code)
        board.gone["water"] = False

    board.act = act  # type: ignore[method-assign]
    with pytest.raises(StepFailed, match="Heat goes on with the float down: do not use the rig"):
        provoking.interlocks(visit(Hand(board), board))
