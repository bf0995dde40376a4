"""Two past cycles over each other, and the settings in which they differ, for a screen."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from glossbath.words import Degrees, Line

from .chart import Chart, Points

if TYPE_CHECKING:
    from glossbath.record import PastCycle

MOST_POINTS = 1000


@dataclass(frozen=True)
class Overlay:
    """The first cycle as the chart's chocolate, the second as its bath."""

    chart: Chart
    lines: list[Line]


def overlay(one: Path, other: Path, degrees: Degrees) -> Overlay:
    """Read two cycles; raises LogError."""
    from glossbath.record import open_cycle
    from glossbath.report.compare import SAME, cycle_names, differences
    from glossbath.report.findings import judge

    cycles = [open_cycle(one), open_cycle(other)]
    curves = [_points(cycle, degrees) for cycle in cycles]
    points = [point for curve in curves for point in curve]
    times = [time_s for time_s, _ in points] or [0.0]
    values = [value for _, value in points] or [20.0, 50.0]
    chart = Chart(
        [curves[0]] if curves[0] else [],
        [curves[1]] if curves[1] else [],
        [],
        [],
        [],
        (0.0, max(600.0, *times)),
        (min(values), max(values)),
    )
    lines: list[Line] = []
    for mark, name, cycle in zip(("⠤⠤", "⠠⠄"), cycle_names(cycles), cycles, strict=True):
        verdict = judge(cycle, degrees=degrees).verdict[0]
        kind: Line = [(" VIRTUAL ", "virtual"), (" ", "")] if cycle.virtual else []
        lines += [[(f"{mark} ", "strong"), *kind, (name, "strong")], [(f"   {verdict}", "")]]
    rows = differences(cycles[0], cycles[1], degrees)
    lines += [[], [("Settings that differ", "strong")]]
    lines += [[(f"  {a:<15}", "dim"), (f"{b:<28} ", ""), (c, "")] for a, b, c in rows]
    return Overlay(chart, lines if rows else [*lines, [(SAME, "dim")]])


def _points(cycle: PastCycle, degrees: Degrees) -> Points:
    data = cycle.columns("time_s", "chocolate_c")
    step = max(1, len(data["time_s"]) // MOST_POINTS)
    pairs = zip(data["time_s"][::step].tolist(), data["chocolate_c"][::step].tolist(), strict=True)
    return [(time_s, degrees.value(celsius)) for time_s, celsius in pairs if celsius == celsius]
