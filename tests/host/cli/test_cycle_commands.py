"""glossbath dip, test and done, against a keeper that says what a test tells it to say."""

from __future__ import annotations

import io
import json
import math
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from glossbath.chocolate.diptest import DipTest
from glossbath.cli.app import app
from glossbath.cli.cycle import follow, listener

from ..screens.fake_keeper import FakeKeeper, reading, snapshot

RUNNER = CliRunner()


@pytest.fixture
def keeper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[FakeKeeper]:
    """The keeper of a rig named `rig`."""
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))
    fake = FakeKeeper(tmp_path / "rig.keeper", [snapshot(), reading(room_c=21.0)])
    yield fake
    fake.close()


class Person:
    """Answers at its own times, on a clock that only moves while it is waited for."""

    def __init__(self, *answers: tuple[float, str]) -> None:
        self.now_s = 1000.0
        self._answers = [(1000.0 + at_s, word) for at_s, word in answers]

    def clock(self) -> float:
        return self.now_s

    def listen(self, longest_s: float | None) -> str | None:
        until_s = math.inf if longest_s is None else self.now_s + longest_s
        if not self._answers or self._answers[0][0] > until_s:
            if longest_s is None:
                raise EOFError
            self.now_s = until_s
            return None
        at_s, word = self._answers.pop(0)
        self.now_s = max(self.now_s, at_s)
        return word


def test_the_clock_reminds_and_the_judgement_comes_last() -> None:
    person = Person((5.0, ""), (245.0, ""), (610.0, "n"), (615.0, "n"))
    trial, out = DipTest(20.0), io.StringIO()
    assert follow(trial, person.listen, person.clock, out)
    assert out.getvalue().splitlines() == [
        "         Dip the tip of a clean, dry knife, lay it down, and press Enter.",
        "0:00:00  Leave it: it should set within the next 5 min.",
        "         Press Enter as soon as it has set, or say n when it does not set.",
        "0:03:00  Look at it: it should begin to set at its edges.",
        "0:04:00  It had set 4.0 min after the dip.",
        "         Does it show streaks? y or n, best answered ten minutes after the dip.",
        "0:10:00  Look at it now: set, even and glossy, or dull and streaky?",
        "         Is it dull? y or n.",
        "0:10:10  It set clean in 4 min: it is in temper.",
    ]
    assert trial.values()["result"] == "in temper"


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("out", "bells"), [(Terminal(), 2), (io.StringIO(), 0)])
def test_a_terminal_calls_whoever_dips_back_to_look(out: io.StringIO, bells: int) -> None:
    """After three minutes and, once it has set, after ten."""
    person = Person((5.0, ""), (245.0, ""), (610.0, "n"), (615.0, "n"))
    assert follow(DipTest(20.0), person.listen, person.clock, out)
    assert out.getvalue().count("\a") == bells


def test_leaving_gives_no_judgement() -> None:
    person = Person((0.0, ""))
    assert not follow(DipTest(20.0), person.listen, person.clock, io.StringIO())


def test_lines_of_a_pipe_are_heard_one_at_a_time() -> None:
    into, out = os.pipe()
    os.write(out, b"first\nsec")
    with os.fdopen(into, encoding="utf-8") as source:
        listen = listener(source)
        assert listen(1.0) == "first"
        assert listen(0.0) is None
        os.write(out, b"ond\n")
        assert listen(1.0) == "second"
        os.close(out)
        with pytest.raises(EOFError):
            listen(1.0)


def test_a_test_goes_into_the_record(keeper: FakeKeeper) -> None:
    result = RUNNER.invoke(app, ["test", "taste", "smooth, no grains"])
    assert result.exit_code == 0, result.output
    asked = keeper.asked()
    assert (asked.op, asked.values) == ("test", {"kind": "taste", "result": "smooth, no grains"})


def test_a_cooling_curve_is_judged_and_recorded(keeper: FakeKeeper, tmp_path: Path) -> None:
    cooling = [32 - 8 * (1 - math.exp(-t / 50)) - 0.012 * t for t in range(480)]
    rows = [
        f"{t},{celsius + 0.7 * (1 + math.tanh((t - 200) / 50))}"
        for t, celsius in enumerate(cooling)
    ]
    file = tmp_path / "curve.csv"
    file.write_text("\n".join(["time_s,chocolate_c", *rows]) + "\n")
    words = ["test", "curve", "--file", str(file), "--over-below", "-0.6", "--under-above", "0.6"]
    told = json.loads(RUNNER.invoke(app, [*words, "--json"]).stdout)
    assert told["ok"]
    values = keeper.asked().values
    assert values["kind"] == "curve"
    assert values["result"] == "good"
    assert -0.6 < values["slope_c_per_min"] < 0.6


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["test", "dip", "lovely"], "A dip test says in temper, out of temper or not sure"),
        (["test", "taste", " "], "The result of a test must have 1 to 200 characters"),
        (["test", "taste", "--file", "nowhere.csv"], "There is no file nowhere.csv"),
    ],
)
def test_what_cannot_be_a_test_is_refused(words: list[str], sentence: str) -> None:
    result = RUNNER.invoke(app, words)
    assert result.exit_code != 0
    assert sentence in result.output


def test_done_tells_what_the_keeper_says(keeper: FakeKeeper) -> None:
    assert RUNNER.invoke(app, ["done"]).output == "done was done.\n"
    assert keeper.asked().op == "done"
    keeper.refusal = "Nothing is asked for now."
    refused = RUNNER.invoke(app, ["done"])
    assert refused.exit_code == 1
    assert refused.output == "Nothing is asked for now.\n"


def test_a_remelt_says_so_in_its_order(keeper: FakeKeeper) -> None:
    keeper.refusal = "An invented refusal."
    RUNNER.invoke(app, ["run", "dark", "--remelt", "--in-temper", "--plain"])
    asked = keeper.asked()
    assert asked.op == "start"
    assert asked.values["remelt"] is True
    assert asked.values["in_temper"] is True
    alone = RUNNER.invoke(app, ["run", "dark", "--in-temper"])
    assert "give --remelt with it" in alone.output
