"""The trend as rows of text: a label stands where its temperature is, and lines are where theirs
are, to a quarter of a row."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glossbath.view.chart import Chart, chart, what_matters
from glossbath.view.plot import GUTTER, plot, scale
from glossbath.view.rig_view import RigView

from .fake_keeper import reading, snapshot


def rows(drawn: Chart, width: int = 80, height: int = 14) -> list[str]:
    return ["".join(text for text, _ in line) for line in plot(drawn, width, height)]


def flat(celsius: float, values: tuple[float, float]) -> Chart:
    """A target that stays where it is, and nothing else."""
    points = [(float(second), celsius) for second in range(0, 600, 10)]
    return Chart([], [], points, [], [], (0.0, 600.0), values)


def view_of(*, phase_index: int = 4, celsius: float = 30.52) -> RigView:
    view = RigView()
    told = {"phase": "hold", "phase_index": phase_index, "target_c": 30.5}
    readings = [reading(float(s), celsius, **told) for s in range(0, 3600, 10)]
    view.fold([snapshot(history=[], forecast=[]), *readings], 0.0)
    return view


@given(st.floats(-20.0, 120.0), st.floats(0.2, 150.0), st.integers(3, 40))
def test_labels_stand_at_even_steps_and_every_value_has_its_row(
    low: float, span: float, height: int
) -> None:
    found = scale((low, low + span), height)
    labelled = [row for row in range(height) if found.label(row)]
    assert len({b - a for a, b in pairwise(labelled)}) <= 1
    bottom, top = found.low - found.a_row / 2, found.low + (height - 0.5) * found.a_row
    assert bottom <= low + 1e-6
    assert top >= low + span - 1e-6
    for row in labelled:
        assert float(found.label(row)) == pytest.approx(found.low + row * found.a_row, abs=0.051)


@pytest.mark.parametrize("celsius", [27.5, 28.5, 30.0, 49.0])
def test_a_target_is_drawn_beside_its_own_label(celsius: float) -> None:
    drawn = rows(flat(celsius, (celsius - 1.0, celsius + 1.0)))
    [row] = [line for line in drawn if any("⠀" < c <= "⣿" for c in line[GUTTER:])]
    assert row[:GUTTER].split()[0] == f"{celsius:.1f}"


def test_a_tenth_of_a_degree_can_be_seen_in_the_hold() -> None:
    view = view_of()
    assert what_matters(view) == "zoom"
    drawn = chart(view, 70, "now")
    assert drawn.span == "zoom"
    found = scale(drawn.values, 13)
    assert found.a_row / 4 <= 0.1
    low, high = (edge[-1][1] for edge in drawn.window)
    assert (low, high) == (30.0, 31.0)
    assert drawn.values[0] < low < high < drawn.values[1]


def test_far_from_its_window_the_whole_cycle_is_shown() -> None:
    view = view_of(phase_index=2, celsius=40.0)
    assert what_matters(view) == "whole"
    assert chart(view, 70, "now").span == "whole"


def test_the_last_twenty_minutes_are_no_more_than_that() -> None:
    begin_s, _ = chart(view_of(), 70, "recent").times_s
    assert 3600.0 - 1200.0 - 40.0 <= begin_s <= 3600.0 - 1100.0


@pytest.mark.parametrize(("width", "height"), [(0, 0), (80, 2), (10, 20), (3, 3)])
def test_where_there_is_no_room_there_is_no_picture(width: int, height: int) -> None:
    assert plot(flat(30.0, (28.0, 32.0)), width, height) == []


def test_no_row_is_wider_than_its_place() -> None:
    drawn = chart(view_of(), 60)
    for width in (40, 77, 130):
        assert max(len(line) for line in rows(drawn, width)) <= width
