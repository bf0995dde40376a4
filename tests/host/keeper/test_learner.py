"""A whole cycle of chocolate on a real rig teaches what the rig is; nothing else does."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from patience import until
from stand_in_board import Rig

from glossbath.keeper.keeper import Keeper
from glossbath.keeper.learner import Learner
from glossbath.recipe import dump, load
from glossbath.thermal.tuning import identify_recipe

HOLD = len(load("dark").phases) - 1


class FakeLearner:
    """Keeps what it was asked for; said is what the lesson will say."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, str]] = []
        self.said = ""
        self.failing = False

    def begin(self, folder: str, rig: str) -> None:
        if self.failing:
            raise OSError("No more processes.")
        self.asked.append((Path(folder).name, rig))

    def news(self) -> str:
        said, self.said = self.said, ""
        return said


class TaughtRig(Rig):
    """A rig with a learner. real: its board and its clock say that it is no virtual one."""

    def __init__(self, folder: Path, real: bool = True) -> None:
        super().__init__(folder)
        self.learner = FakeLearner()
        self.keeper = Keeper(
            self.board,  # type: ignore[arg-type]
            self.clock,
            "north",
            folder,
            self.messages.append,
            learner=self.learner,  # type: ignore[arg-type]
        )
        if real:
            self.board.rig = "real"
            self.clock.virtual = False
        self.board.boot += 1
        self.run(3)

    def end(self, state: str, phase: int = HOLD) -> None:
        """The cycle that runs comes to this phase, and there to its end."""
        self.board.values["ph"] = phase
        self.run(3)
        self.board.values.update(st=state, h=0, s=0)
        self.run(3)


@pytest.mark.parametrize("state", ["complete", "stopped"])
def test_a_cycle_that_came_to_its_hold_teaches_its_rig(tmp_path: Path, state: str) -> None:
    rig = TaughtRig(tmp_path)
    assert rig.start().ok
    rig.end(state)
    assert rig.result == state
    assert rig.learner.asked == [(Path(rig.keeper.batch.folder).name, "north")]  # type: ignore[union-attr]
    rig.learner.said = "Learned from it: heater power 250 to 231 W."
    rig.run(1)
    assert [event.text for event in rig.events("keeper")][-1] == (
        "Learned from it: heater power 250 to 231 W."
    )


@pytest.mark.parametrize(
    ("state", "phase", "real"),
    [("stopped", HOLD - 1, True), ("tripped", HOLD, True), ("complete", HOLD, False)],
)
def test_nothing_is_learned_from_less(tmp_path: Path, state: str, phase: int, real: bool) -> None:
    rig = TaughtRig(tmp_path, real)
    assert rig.start().ok
    if state == "tripped":
        rig.board.values["e"] = "bath-hot"
    rig.end(state, phase)
    assert rig.result == state
    assert rig.learner.asked == []


def test_a_bowl_of_water_is_for_the_identification(tmp_path: Path) -> None:
    rig = TaughtRig(tmp_path)
    assert rig.ask("start", recipe=dump(identify_recipe()), where="water", batch_kg=1.0).ok
    rig.end("complete")
    assert rig.result == "complete"
    assert rig.learner.asked == []


def test_a_lesson_that_cannot_begin_is_told_and_the_next_cycle_runs(tmp_path: Path) -> None:
    rig = TaughtRig(tmp_path)
    rig.learner.failing = True
    assert rig.start().ok
    rig.end("complete")
    assert rig.result == "complete"
    assert "learning-failed" in rig.alarms()
    rig.board.values.update(st="idle", ph=0)
    rig.run(2)
    assert rig.start().ok


def _waited_for(learner: Learner) -> str:
    said: list[str] = []

    def look() -> bool:
        said.append(learner.news())
        return bool(said[-1])

    until(look)
    return said[-1]


def test_a_lesson_runs_in_a_process_of_its_own_and_says_what_came_of_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path / "models"))
    learner = Learner()
    assert learner.news() == ""
    learner.begin(str(tmp_path / "gone"), "north")
    said = _waited_for(learner)
    assert said.startswith("Nothing was learned from gone: ")
    assert learner.news() == ""
    assert not (tmp_path / "models").exists()


def test_a_lesson_that_dies_is_over_and_the_next_can_begin(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    learner = Learner()
    pipe = tmp_path / "gone" / "datapackage.json"
    pipe.parent.mkdir()
    os.mkfifo(pipe)  # whoever reads it waits for ever
    learner.begin(str(pipe.parent), "north")
    learner.begin(str(pipe.parent), "north")  # is not begun, since one runs
    process: Any = learner._process
    assert learner.news() == ""
    process.kill()
    assert _waited_for(learner) == "Nothing was learned from the last cycle."
    learner.begin(str(tmp_path / "none"), "north")
    assert _waited_for(learner).startswith("Nothing was learned from none: ")
