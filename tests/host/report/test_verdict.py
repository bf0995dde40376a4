"""The verdict is about the chocolate: the recipe, the last dip test, what follows.

Cycles, rigs and lots are invented.
"""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from glossbath.chocolate.phase import Window
from glossbath.client.messages import PRACTICE, Event
from glossbath.keeper.cycle_writer import CycleHeader, CycleWriter
from glossbath.recipe import Recipe, load
from glossbath.record import open_cycle
from glossbath.report.compare import differences, write_overlay
from glossbath.report.findings import judge
from glossbath.report.page import write_report
from glossbath.words import Degrees

from .test_page import STARTED_NS, _reading

WALL = "2027-01-15T08:00:00.000Z"


def cycle(
    parent: Path,
    *events: Event,
    result: str = "complete",
    phases: int = 5,
    kg: float = 1.0,
    recipe: Recipe | None = None,
) -> Path:
    """Each phase five minutes at its target, so that the recipe is kept."""
    recipe = recipe or load("dark").with_hold(600)
    header = CycleHeader("bench", True, "invented", "b1", "0", recipe, STARTED_NS, kg, "A1")
    writer = CycleWriter(parent, header)
    for index, phase in enumerate(recipe.phases[:phases]):
        for second in range(300):
            at_s = index * 300.0 + second
            told = _reading(at_s, phase.target_c, phase.name, index, None)
            writer.reading(told, int(at_s * 1000), "1", 0, 0)
    for event in events:
        writer.event(event)
    writer.finish(result, STARTED_NS + 10**12)
    assert writer.close()
    return Path(writer.folder)


def dip(at_s: float, result: str) -> Event:
    return Event(at_s, WALL, "test", "dip", f"dip: {result}", {"kind": "dip", "result": result})


def verdict(folder: Path, fahrenheit: bool = False) -> tuple[str, ...]:
    return judge(open_cycle(folder), degrees=Degrees(fahrenheit)).verdict


@pytest.mark.parametrize(
    ("events", "first"),
    [
        (
            [dip(1300, "in temper")],
            "In temper by the dip test at 22 min, and the recipe was kept.",
        ),
        ([dip(1300, "out of temper")], "Out of temper: the dip test at 22 min said so."),
        (
            [dip(1300, "not sure")],
            "The recipe was kept, but temper is not known: the dip test at 22 min was not sure.",
        ),
        (
            [],
            "The recipe was kept, but temper is not known: no dip test of it is recorded.",
        ),
        # The last one counts.
        (
            [dip(1300, "out of temper"), dip(1400, "in temper")],
            "In temper by the dip test at 23 min, and the recipe was kept.",
        ),
        # Cool lasts until 900 s: what is dipped before that was not worked yet.
        (
            [dip(700, "in temper")],
            "The recipe was kept, but temper is not known: no dip test of it is recorded.",
        ),
    ],
)
def test_what_the_first_sentence_says(tmp_path: Path, events: list[Event], first: str) -> None:
    assert verdict(cycle(tmp_path, *events))[0] == first


def test_out_of_temper_says_what_follows(tmp_path: Path) -> None:
    said = " ".join(verdict(cycle(tmp_path, dip(1300, "out of temper"))))
    assert "Do not mould it: melt it and temper it again" in said


@pytest.mark.parametrize(
    ("tested", "ended", "good"),
    [
        ("in temper", "complete", True),
        ("not sure", "complete", True),
        ("out of temper", "complete", False),
        ("in temper", "stopped", False),
        ("out of temper", "stopped", False),
    ],
)
def test_a_cycle_to_think_about_has_a_double_line_on_the_page(
    tmp_path: Path, tested: str, ended: str, good: bool
) -> None:
    page = write_report(cycle(tmp_path, dip(1300, tested), result=ended)).read_text("utf-8")
    assert ".left { border-left-style: double; }" in page
    assert ('class="verdict left"' not in page) == good


def test_an_early_test_is_left_out_and_that_is_said(tmp_path: Path) -> None:
    assert any("left out" in line for line in verdict(cycle(tmp_path, dip(700, "in temper"))))


def test_a_trip_says_where_and_why(tmp_path: Path) -> None:
    why = "The stirrer stood still."
    folder = cycle(tmp_path, Event(700, WALL, "trip", "stall", why), result="tripped", phases=3)
    assert f"The rig tripped in cool: {why}" in verdict(folder)


def test_practice_is_told(tmp_path: Path) -> None:
    note = Event(700, WALL, "note", "note", f"{PRACTICE}the lid was taken off.")
    assert any("practise" in line for line in verdict(cycle(tmp_path, note)))


def test_two_cycles_over_each_other_with_what_differs(tmp_path: Path) -> None:
    one, other = cycle(tmp_path / "a"), cycle(tmp_path / "b", kg=1.5)
    rows = differences(open_cycle(one), open_cycle(other), Degrees())
    assert rows == [("batch", "1 kg", "1.5 kg")]
    page = write_overlay(one, other).read_text(encoding="utf-8")
    for words in ("VIRTUAL RIG", "1.5 kg", "<svg", "Settings that differ"):
        assert words in page


def test_every_phase_that_was_set_otherwise_is_told(tmp_path: Path) -> None:
    usual = load("dark").with_hold(600)
    *others, hold = usual.phases
    cooler = msgspec.structs.replace(
        hold,
        target_c=30.4,
        window=Window(29.5, 30.8),
        dwell_s=1200.0,
        stir_share=0.25,
    )
    changed = msgspec.structs.replace(usual, phases=(*others, cooler))
    one, other = cycle(tmp_path / "a"), cycle(tmp_path / "b", recipe=changed)
    rows = differences(open_cycle(one), open_cycle(other), Degrees())
    assert [(name, now) for name, _, now in rows] == [
        ("hold target", "30.4 °C"),
        ("hold window", "29.5 to 30.8 °C"),
        ("hold inside", "20 min"),
        ("hold stir", "25 %"),
    ]
