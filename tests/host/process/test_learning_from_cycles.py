"""Which cycle teaches a rig's model, which part of it, and what is kept of the lesson.

The fit itself is tested where it is made; here it says what the test wants.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import msgspec
import pytest

from glossbath.client.messages import Event, Reading
from glossbath.errors import InputError
from glossbath.process import learning
from glossbath.recipe import load
from glossbath.record import CycleHeader
from glossbath.record.package import facts_of
from glossbath.thermal.model import RigModel, load_learned, save_model

from .bowl import Bowl

FOLDER = Path("2027-01-15_08-00-00_utc_dark_aaaa")
TAUGHT = RigModel(heater_w=240.0, uncertainty_shares={"heater_w": 0.04})


@pytest.fixture(autouse=True)
def models(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GLOSSBATH_MODELS", str(tmp_path))


def reading(**changed: Any) -> Reading:
    return msgspec.structs.replace(Bowl(phase="melt").reading(30.0, 40.0), **changed)


class Cycle:
    """A cycle's record, the fit of it, and how long a batch takes by each model."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        header = CycleHeader("kitchen", False, "", "00", "0.2.0", load("dark"), 0, 1.5)
        self.facts: Any = facts_of(header)
        self.result = "complete"
        self.took_s = {240.0: 100.0}
        """By the heater of the model that steers; 200 s where it is not here."""
        self.stuck: set[float] = set()
        self.events: list[Event] = []
        self.fitted: list[tuple[list[Reading], Any]] = []
        self.starts: list[Any] = []
        record = SimpleNamespace(
            readings=lambda: iter([reading(), reading(time_s=1.0)]), events=lambda: self.events
        )
        monkeypatch.setattr(learning, "open_cycle", lambda folder: self._of(record, folder))
        monkeypatch.setattr("glossbath.thermal.tuning.fit", self._fit)
        monkeypatch.setattr(learning, "Beginning", self._beginning)

    def _of(self, record: SimpleNamespace, folder: Path) -> SimpleNamespace:
        record.folder = folder
        record.facts, record.result = self.facts, self.result
        return record

    def _fit(self, readings: Iterable[Reading], known: Any) -> SimpleNamespace:
        self.fitted.append((list(readings), known))
        return SimpleNamespace(model=TAUGHT)

    def _beginning(
        self, recipe: Any, rig: RigModel, start: Any, kg: float, kitchen: Any, by: RigModel
    ) -> SimpleNamespace:
        self.starts.append((start, kg, kitchen.room_c))
        watts = round(by.heater_w)
        course = SimpleNamespace(stuck=watts in self.stuck, total_s=self.took_s.get(watts, 200.0))
        return SimpleNamespace(course=lambda: course)


@pytest.fixture
def cycle(monkeypatch: pytest.MonkeyPatch) -> Cycle:
    return Cycle(monkeypatch)


@pytest.mark.parametrize("result", ["complete", "stopped"])
def test_a_cycle_teaches_its_own_rig(cycle: Cycle, result: str) -> None:
    cycle.result = result
    rig, changed = learning.learn(FOLDER)
    assert rig == "kitchen"
    learned = load_learned("kitchen")
    assert learned is not None
    assert learned.lessons == [f"{FOLDER.name}: {changed or 'nothing new'}"]
    ((readings, known),) = cycle.fitted
    assert len(readings) == 2
    assert known.water_kg == RigModel.default().water_kg
    with pytest.raises(InputError, match="has taught kitchen already: it would count twice"):
        learning.learn(FOLDER)
    learning.learn(FOLDER.with_name("another"), water_kg=4.0)
    assert cycle.fitted[1][1].water_kg == 4.0
    learned = load_learned("kitchen")
    assert learned is not None and len(learned.lessons) == 2


def test_a_real_cycle_may_teach_a_rig_of_another_name(cycle: Cycle) -> None:
    assert learning.learn(FOLDER, "attic")[0] == "attic"
    assert load_learned("attic") is not None
    assert load_learned("kitchen") is None


def _change(cycle: Cycle, **changed: Any) -> None:
    cycle.facts = msgspec.structs.replace(cycle.facts, **changed)


def test_what_a_cycle_cannot_teach_is_said_and_nothing_is_kept(cycle: Cycle) -> None:
    whole = cycle.facts
    for facts, result, rig, words in (
        (None, "complete", "kitchen", f"{FOLDER} does not say what was in the bowl"),
        (whole, "tripped", "", "ended as tripped: only one that is complete, or was stopped by"),
        (whole, "running", "", "ended as running"),
        (msgspec.structs.replace(whole, virtual=True), "complete", "attic", "virtual rig kitchen"),
        (
            msgspec.structs.replace(
                whole, recipe=msgspec.structs.replace(whole.recipe, fat_share=0.0)
            ),
            *("complete", "", "had water in its bowl: use glossbath tune fit"),
        ),
    ):
        cycle.facts, cycle.result = facts, result
        with pytest.raises(InputError, match=words.replace(".", r"\.")):
            learning.learn(FOLDER, rig)
    assert cycle.fitted == []
    assert load_learned("kitchen") is load_learned("attic") is None


@pytest.mark.parametrize(("kind", "code"), [("note", "ice"), ("order", "back")])
def test_a_cycle_whose_chill_was_mended_teaches_nothing(
    cycle: Cycle, kind: str, code: str
) -> None:
    cycle.events = [Event(1.0, "", "note", "note", "ice cream"), Event(2.0, "", kind, code, "")]
    with pytest.raises(InputError, match="ice was put in, or its cooling was given up"):
        learning.learn(FOLDER)
    assert load_learned("kitchen") is None and cycle.fitted == []


def test_a_virtual_cycle_teaches_its_own_virtual_rig(cycle: Cycle) -> None:
    _change(cycle, virtual=True)
    assert learning.learn(FOLDER, "kitchen")[0] == "kitchen"


def test_only_what_ran_undisturbed_teaches() -> None:
    waiting = reading(state="waiting")
    blind = [reading(**{f"{probe}_c": None}) for probe in ("chocolate", "bath", "body")]
    first, later = reading(time_s=5.0), reading(time_s=6.0, chocolate_c=None)
    early = reading(phase="hold", phase_elapsed_s=600.0)
    late = reading(phase="hold", phase_elapsed_s=600.1)
    taken = learning.undisturbed([waiting, *blind, first, later, early, late, first])
    assert taken == [first, later, early]
    held = reading(phase="cool", phase_elapsed_s=9_000.0)
    assert learning.undisturbed([first, held]) == [first, held]
    with pytest.raises(InputError, match="no running cycle in which all probes were read"):
        learning.undisturbed([waiting, *blind])


@pytest.mark.parametrize(
    ("took_s", "stuck", "better"),
    [
        (198.9, set(), True),
        (199.1, set(), False),  # half a per cent is no gain
        (300.0, set(), False),
        (100.0, {240}, False),
        (300.0, {300}, True),
    ],
)
def test_control_goes_by_what_was_learned_where_a_batch_is_through_sooner(
    cycle: Cycle, took_s: float, stuck: set[float], better: bool
) -> None:
    cycle.took_s, cycle.stuck = {240.0: took_s}, stuck
    identified = RigModel(heater_w=300.0)
    first = reading()
    found = learning.steers_better(load("dark"), 1.5, first, TAUGHT, identified)
    assert found == better
    (start, kg, room_c), _ = cycle.starts
    assert (start.chocolate_c, start.bath_c, start.body_c) == (30.0, 40.0, 30.0)
    assert (kg, room_c) == (1.5, 22.0)
    learning.steers_better(load("dark"), 1.5, reading(room_c=17.0), TAUGHT, identified)
    assert cycle.starts[-1][2] == 17.0


def test_the_lesson_of_a_process_is_one_line(
    cycle: Cycle, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    polite: list[int] = []
    monkeypatch.setattr("os.nice", polite.append)
    monkeypatch.setattr(sys, "argv", ["learning", str(FOLDER), "kitchen"])
    save_model("kitchen", TAUGHT)
    learning.main()
    assert capsys.readouterr().out.startswith(f"Learned from {FOLDER.name}: ")
    cycle.result = "tripped"
    learning.main()
    said = capsys.readouterr().out
    assert said.startswith(f"Nothing was learned from {FOLDER.name}: This cycle ended as tripped")
    assert said.count("\n") == 1
    assert min(polite) > 0  # the next cycle on this computer comes first
