"""Predicted crystals of a record, labelled as such and held against dip tests.

The cycles are invented. What is checked is the direction, which the science supports (shear and
the right window make form V: Mazzanti et al. 2007, Greweling 2007), never a number.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from glossbath.client.messages import Event, Reading
from glossbath.keeper.cycle_writer import CycleHeader, CycleWriter
from glossbath.recipe import load
from glossbath.record import open_cycle
from glossbath.report.crystals import predict
from glossbath.report.page import write_report

STARTED_NS = 1_800_000_000_000_000_000
COURSE = [("melt", 48.0, 20), ("soak", 48.0, 10), ("cool", 28.5, 30), ("reheat", 31.5, 5)]
WALL = "2027-01-15T08:00:00.000Z"


def record(
    folder: Path,
    course: list[tuple[str, float, int]] = COURSE,
    tests: Sequence[tuple[float, str]] = (),
    seeded: bool = False,
    gap_min: int = 0,
) -> Path:
    """A cycle as (phase, °C, minutes) with dip tests as (min, result)."""
    header = CycleHeader("bench", True, "invented", "b1", "0", load("dark"), STARTED_NS, 1.0, "")
    writer = CycleWriter(folder, header)
    at_s = 0.0
    for index, (phase, celsius, minutes) in enumerate(course):
        for _ in range(minutes * 6):
            writer.reading(_reading(at_s, celsius, phase, index), int(at_s * 1000), "1", 0, 0)
            at_s += 10.0
        at_s += gap_min * 60
    for minute, result in tests:
        writer.event(Event(minute * 60.0, WALL, "test", "dip", "dip", {"result": result}))
    if seeded:
        writer.event(Event(1900.0, WALL, "test", "seed", "seed", {"crystal_share": 0.02}))
    writer.finish("complete", STARTED_NS + 10**12)
    assert writer.close()
    return writer.folder


def _reading(at_s: float, celsius: float, phase: str, index: int) -> Reading:
    return Reading(
        time_s=at_s, wall=WALL, chocolate_c=celsius, bath_c=celsius, body_c=celsius,
        target_c=celsius, bath_target_c=celsius, heat_share=0.0, chill_share=0.0, stir_share=0.6,
        state="running", phase=phase, phase_index=index, phase_elapsed_s=0.0, phase_left_s=None,
        cycle_left_s=None,
    )  # fmt: skip


def test_a_cycle_is_predicted_with_bounds_and_says_that_it_is_a_prediction(tmp_path: Path) -> None:
    found = predict(open_cycle(record(tmp_path)))
    assert found.at_end is not None
    assert found.at_end.good_least[-1] <= found.at_end.good_share[-1] <= found.at_end.good_most[-1]
    lines = found.sentences()
    assert lines[0].startswith("Prediction, not a measurement:")
    assert lines[-1] == "No dip test of this cycle is recorded that could confirm it."


def test_each_dip_test_stands_beside_what_was_predicted_for_its_moment(tmp_path: Path) -> None:
    # At 29 min the chocolate has only been hot, at 64 min it has been cooled and worked.
    tests = [(29.0, "in temper"), (29.5, "out of temper"), (64.0, "not sure")]
    found = predict(open_cycle(record(tmp_path, tests=tests)))
    assert [one.forecast.temper for one in found.compared][:2] == ["none", "none"]
    assert [one.agrees for one in found.compared] == [False, True, None]
    said = found.sentences()
    assert (
        "At 29 min the dip test said in temper, the prediction 'none', which does not agree."
        in said
    )
    assert "which leaves it open." in said[-1]


def test_seed_that_was_added_counts(tmp_path: Path) -> None:
    warm = [("melt", 48.0, 20), ("soak", 48.0, 10), ("cool", 32.0, 10)]
    plain = predict(open_cycle(record(tmp_path / "a", warm))).at_end
    seeded = predict(open_cycle(record(tmp_path / "b", warm, seeded=True))).at_end
    assert plain is not None
    assert seeded is not None
    assert seeded.good_share[-1] >= 0.015 > plain.good_share[-1]


@pytest.mark.parametrize(
    ("course", "gap_min", "why"),
    [
        ([("reheat", 30.5, 20)], 0, "does not show the chocolate melted"),
        (COURSE, 20, "has a gap of"),
        ([("melt", 48.0, 0)], 0, "does not show the chocolate melted"),
    ],
)
def test_a_record_that_says_nothing_is_told(
    tmp_path: Path, course: list[tuple[str, float, int]], gap_min: int, why: str
) -> None:
    found = predict(open_cycle(record(tmp_path, course, gap_min=gap_min)))
    assert found.at_end is None
    (sentence,) = found.sentences()
    assert sentence.startswith("Crystals cannot be predicted from this record:")
    assert why in sentence


def test_the_report_shows_it(tmp_path: Path) -> None:
    page = write_report(record(tmp_path, tests=[(64.0, "in temper")])).read_text(encoding="utf-8")
    assert "Crystals, a prediction" in page
    assert "Prediction, not a measurement" in page
    assert "At 64 min the dip test said in temper" in page
