"""The curve of a cycle as SVG text: chocolate, bath, windows, phases, events, outputs."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import numpy as np

from glossbath.client.messages import Event
from glossbath.record import PastCycle

from .findings import PhaseFinding

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_INK = "#222222"
_MOST_POINTS = 1500
_MARKED = ("trip", "note", "test")


def curve_svg(cycle: PastCycle, phases: tuple[PhaseFinding, ...], events: list[Event]) -> str:
    """The picture, readable in grey: lines differ in dash and weight, not only in colour."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    data = cycle.columns(
        "time_s", "chocolate_c", "bath_c", "heat_share", "chill_share", "stir_share"
    )
    step = max(1, len(data["time_s"]) // _MOST_POINTS)
    data = {name: values[::step] for name, values in data.items()}
    minutes = data["time_s"] / 60
    figure = Figure(figsize=(9.6, 5.4), layout="constrained")
    FigureCanvasSVG(figure)
    top, bottom = figure.subplots(2, 1, sharex=True, height_ratios=(4, 1))
    _windows(top, phases)
    top.plot(minutes, data["bath_c"], color="#888888", linewidth=1.0, dashes=(4, 2), label="bath")
    top.plot(minutes, data["chocolate_c"], color=_INK, linewidth=2.0, label="chocolate")
    _marks(top, events)
    top.set_ylabel("°C")
    top.grid(color="#dddddd", linewidth=0.6)
    top.legend(loc="upper right", frameon=False)
    for name, style in (("heat", "-"), ("chill", "--"), ("stir", ":")):
        bottom.plot(
            minutes, data[f"{name}_share"] * 100, color=_INK, linestyle=style, linewidth=0.9,
            label=name,
        )  # fmt: skip
    bottom.set_ylabel("%")
    bottom.set_ylim(-5, 105)
    bottom.set_xlabel("minutes")
    bottom.legend(loc="upper right", frameon=False, ncols=3, fontsize="small")
    return _svg(figure)


def _windows(axes: Axes, phases: tuple[PhaseFinding, ...]) -> None:
    for phase in phases:
        window = phase.plan.window
        start, end = phase.start_s / 60, phase.end_s / 60
        axes.fill_between(
            [start, end], window.low_c, window.high_c, color="#cccccc", alpha=0.7, linewidth=0
        )
        axes.axvline(start, color="#bbbbbb", linewidth=0.6)
        axes.annotate(
            phase.plan.name, (start, 1.0), xycoords=("data", "axes fraction"),
            xytext=(2, -3), textcoords="offset points", va="top", fontsize="small", rotation=90,
        )  # fmt: skip


def _marks(axes: Axes, events: list[Event]) -> None:
    for event in events:
        if event.kind in _MARKED:
            axes.axvline(event.time_s / 60, color=_INK, linewidth=0.8, linestyle=":")
            axes.annotate(
                event.kind, (event.time_s / 60, 0.0), xycoords=("data", "axes fraction"),
                xytext=(2, 3), textcoords="offset points", fontsize="small", rotation=90,
            )  # fmt: skip


def chart_svg(values: list[float], centre: float, low: float, high: float, unit: str) -> str:
    """An individuals chart: one point a cycle, centre line, three-sigma limits."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.6, 2.4), layout="constrained")
    FigureCanvasSVG(figure)
    axes = figure.subplots()
    axes.plot(np.arange(1, len(values) + 1), values, color=_INK, marker="o", markersize=4)
    for level, dashes in ((centre, (1, 0)), (low, (4, 3)), (high, (4, 3))):
        axes.axhline(level, color="#888888", linewidth=0.9, dashes=dashes)
    axes.set_ylabel(unit)
    axes.set_xlabel("cycle, oldest first")
    return _svg(figure)


def _svg(figure: object) -> str:
    import matplotlib

    text = io.StringIO()
    # Text stays text (small, searchable) and ids do not change from run to run.
    with matplotlib.rc_context({"svg.fonttype": "none", "svg.hashsalt": "glossbath"}):
        figure.savefig(text, format="svg", metadata={"Date": None})  # type: ignore[attr-defined]
    svg = text.getvalue()
    return svg[svg.index("<svg") :]
