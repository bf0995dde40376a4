"""The trend as lines to draw: which points, over which time, between which temperatures."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from .rig_view import RigView
from .trend import Column, Range

LEAST_SPAN_S = 600.0
LEAST_SPAN = 4.0
"""Degrees shown at least, so that a tenth of a degree of noise does not look like a storm."""
RECENT_S, RECENT_AHEAD_S = 1200.0, 600.0
ZOOM_S = 1800.0
NEAR_K = 1.5
"""A chocolate this near to its window is worked to tenths: that is what matters then."""

SPANS = {
    "now": "what matters now",
    "whole": "whole cycle",
    "recent": "last 20 min",
    "zoom": "window close up",
}
"""What a trend may show: the name and the words of each; `now` is one of the others."""

CELLS_A_LABEL, LONGEST_LABEL = 9, 5

Points = list[tuple[float, float]]


@dataclass(frozen=True)
class Chart:
    """Points are (time_s, temperature in the person's unit)."""

    chocolate: list[Points]
    """Runs without a gap; a gap is where the probe had no good value."""
    bath: list[Points]
    target: Points
    window: list[Points]
    """The lower and the upper edge, as far as the phases had one."""
    forecast: Points
    times_s: tuple[float, float]
    values: tuple[float, float]
    """What must be seen; points outside are not drawn."""
    span: str = "whole"


def what_matters(view: RigView) -> str:
    """The span that a person wants to see now: the window once tenths count, else the cycle."""
    place = view.position
    worked = view.plan is not None and view.plan.name in ("cool", "reheat", "hold")
    return "zoom" if worked and place.where and place.by_k <= NEAR_K else "whole"


def chart(view: RigView, cells: int, span: str = "whole") -> Chart:
    """A span of the trend and the forecast, for a picture `cells` cells wide.

    Temperatures have at most two points a cell; target and window have one in every cell.
    """
    convert = view.degrees.value
    if span == "now":
        span = what_matters(view)
    if span == "zoom" and view.plan is None:
        span = "recent"
    back_s, ahead_s = {
        "recent": (RECENT_S, RECENT_AHEAD_S),
        "zoom": (ZOOM_S, RECENT_AHEAD_S),
    }.get(span, (math.inf, math.inf))
    newest = view.trend.columns[-1].time_s if view.trend.columns else 0.0
    columns = view.trend.since(newest - back_s, cells)
    begin_s = columns[0].time_s if columns else 0.0
    # The forecast may fill as much of the picture as the past does, not more.
    horizon_s = newest + min(ahead_s, max(newest - begin_s, LEAST_SPAN_S))
    told = view.snapshot.forecast if view.snapshot else []
    forecast = [(t, convert(c)) for t, c in told if newest <= t <= horizon_s]
    chocolate = _runs(columns, lambda column: column.chocolate, convert)
    bath = _runs(columns, lambda column: column.bath, convert)
    end_s = max([newest, begin_s + LEAST_SPAN_S, *(t for t, _ in forecast)])
    grid_s = [begin_s + (end_s - begin_s) * cell / max(1, cells - 1) for cell in range(cells)]
    past = _at([time_s for time_s in grid_s if time_s <= newest], columns)
    target = [(t, convert(c.target_c)) for t, c in past if c.target_c is not None]
    windows = [(t, c.window) for t, c in past if c.window is not None]
    lows = [(t, convert(w.low_c)) for t, w in windows]
    highs = [(t, convert(w.high_c)) for t, w in windows]
    if span == "zoom" and view.plan is not None:
        window = view.plan.window
        beyond_k = max(0.5, (window.high_c - window.low_c) / 2)
        values = convert(window.low_c - beyond_k), convert(window.high_c + beyond_k)
    else:
        drawn = [*chocolate, *bath, target, lows, highs, forecast]
        values = _values(value for points in drawn for _, value in points)
    return Chart(chocolate, bath, target, [lows, highs], forecast, (begin_s, end_s), values, span)


def _at(times_s: list[float], columns: list[Column]) -> list[tuple[float, Column]]:
    """The column each moment falls into."""
    begins_s = [column.time_s for column in columns]
    places = [bisect_right(begins_s, time_s) - 1 for time_s in times_s]
    return [(t, columns[place]) for t, place in zip(times_s, places, strict=True) if place >= 0]


def _runs(
    columns: list[Column], pick: Callable[[Column], Range], convert: Callable[[float], float]
) -> list[Points]:
    """Lowest and highest of each column as one line, cut where there was no value."""
    runs: list[Points] = [[]]
    for column in columns:
        seen = pick(column)
        if seen.low_c is None or seen.high_c is None:
            if runs[-1]:
                runs.append([])
            continue
        runs[-1].append((column.time_s, convert(seen.low_c)))
        if seen.high_c > seen.low_c:
            runs[-1].append((column.time_s, convert(seen.high_c)))
    return [run for run in runs if run]


def _values(values: Iterable[float]) -> tuple[float, float]:
    """The lowest and highest value, at least LEAST_SPAN apart."""
    known = list(values)
    if not known:
        return 20.0, 50.0
    low, high = min(known), max(known)
    spare = max(0.0, LEAST_SPAN - (high - low)) / 2
    return low - spare, high + spare


def time_ticks(times_s: tuple[float, float], cells: int) -> list[float]:
    """Round moments to label where `cells` cells stand for the whole time: whole minutes,
    quarters or hours apart, none so near to the end that its label would be cut off."""
    most = max(2, cells // CELLS_A_LABEL)
    begin_s, end_s = times_s
    steps_min = (1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 1440)
    for step_s in (60.0 * minutes for minutes in steps_min):
        first = math.ceil(begin_s / step_s)
        last = math.floor(end_s / step_s)
        if last - first + 1 <= most:
            break
    ticks = [index * step_s for index in range(first, last + 1)][:most]
    room_s = (end_s - begin_s) / max(1, cells) * LONGEST_LABEL / 2
    return [tick for tick in ticks if tick <= end_s - room_s]


def tick_label(time_s: float) -> str:
    """A moment since the start as h:mm."""
    minutes = round(time_s / 60)
    return f"{minutes // 60}:{minutes % 60:02d}"
