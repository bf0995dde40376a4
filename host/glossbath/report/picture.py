"""The curve of a cycle as SVG text: chocolate, bath, windows, phases, events, outputs."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from glossbath.client.messages import Event
from glossbath.errors import LogError
from glossbath.record import PastCycle
from glossbath.words import Degrees

from .chart import Chart
from .findings import PhaseFinding, judge

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

_INK = "#222222"
_MOST_POINTS = 1500
_MARKED = ("trip", "note", "test")


def write_pictures(folder: Path, degrees: Degrees) -> list[Path]:
    """Write a cycle's curve beside its record, for a page or to share: curve.svg and curve.png.
    Raises LogError."""
    from glossbath.record import open_cycle

    cycle = open_cycle(folder)
    findings = judge(cycle)
    if not findings.phases:
        raise LogError(f"{folder} has no readings of any phase: there is no curve to draw.")
    facts = cycle.facts
    title = f"{facts.recipe.name}, {facts.started[:10]}" if facts else folder.name
    figure = _curve(cycle, findings.phases, cycle.events(), degrees)
    figure.suptitle(f"VIRTUAL RIG, simulated: {title}" if cycle.virtual else title)
    paths = [folder / "curve.svg", folder / "curve.png"]
    try:
        paths[0].write_text(_svg(figure), encoding="utf-8")
        figure.savefig(paths[1], dpi=150)
    except OSError as error:
        raise LogError(f"{folder} cannot be written: {error.strerror}; check the disk.") from error
    return paths


def curve_svg(
    cycle: PastCycle, phases: tuple[PhaseFinding, ...], events: list[Event], degrees: Degrees
) -> str:
    """The picture, readable in grey: lines differ in dash and weight, not only in colour."""
    return _svg(_curve(cycle, phases, events, degrees))


def _curve(
    cycle: PastCycle, phases: tuple[PhaseFinding, ...], events: list[Event], degrees: Degrees
) -> Figure:
    from matplotlib.figure import Figure

    data = cycle.columns(
        "time_s", "chocolate_c", "bath_c", "heat_share", "chill_share", "stir_share"
    )
    step = max(1, len(data["time_s"]) // _MOST_POINTS)
    data = {name: values[::step] for name, values in data.items()}
    minutes = data["time_s"] / 60
    figure = Figure(figsize=(9.6, 5.4), layout="constrained")
    top, bottom = figure.subplots(2, 1, sharex=True, height_ratios=(4, 1))
    _windows(top, phases, degrees)
    bath, chocolate = (_shown(data[name], degrees) for name in ("bath_c", "chocolate_c"))
    top.plot(minutes, bath, color="#888888", linewidth=1.0, dashes=(4, 2), label="bath")
    top.plot(minutes, chocolate, color=_INK, linewidth=2.0, label="chocolate")
    _marks(top, events)
    top.set_ylabel(degrees.sign)
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
    return figure


def overlay_svg(cycles: list[tuple[str, PastCycle]], degrees: Degrees) -> str:
    """The chocolate of several cycles from their start, each with its name."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.6, 4.6), layout="constrained")
    axes = figure.subplots()
    for (name, cycle), dashes in zip(cycles, ((1, 0), (5, 2), (1, 2)), strict=False):
        data = cycle.columns("time_s", "chocolate_c")
        step = max(1, len(data["time_s"]) // _MOST_POINTS)
        chocolate = _shown(data["chocolate_c"][::step], degrees)
        axes.plot(
            data["time_s"][::step] / 60, chocolate, color=_INK, linewidth=1.6, dashes=dashes,
            label=name,
        )  # fmt: skip
    axes.set_ylabel(degrees.sign)
    axes.set_xlabel("minutes from the start")
    axes.grid(color="#dddddd", linewidth=0.6)
    axes.legend(loc="upper right", frameon=False)
    return _svg(figure)


def _shown(celsius: NDArray[np.float64], degrees: Degrees) -> NDArray[np.float64]:
    return celsius * 1.8 + 32.0 if degrees.fahrenheit else celsius


def _windows(axes: Axes, phases: tuple[PhaseFinding, ...], degrees: Degrees) -> None:
    for phase in phases:
        window = phase.plan.window
        start, end = phase.start_s / 60, phase.end_s / 60
        axes.fill_between(
            [start, end], degrees.value(window.low_c), degrees.value(window.high_c),
            color="#cccccc", alpha=0.7, linewidth=0,
        )  # fmt: skip
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


def chart_svg(chart: Chart, unit: str) -> str:
    """An individuals chart: one point a cycle, centre line, and three-sigma limits where there
    are cycles enough for them to mean something."""
    from matplotlib.figure import Figure
    from matplotlib.ticker import MaxNLocator

    figure = Figure(figsize=(9.6, 2.4), layout="constrained")
    axes = figure.subplots()
    places = np.arange(1, len(chart.values) + 1)
    axes.plot(places, chart.values, color=_INK, marker="o", markersize=4)
    limits = [(chart.low, (4, 3)), (chart.high, (4, 3))] if chart.enough else []
    for level, dashes in ((chart.centre, (1, 0)), *limits):
        axes.axhline(level, color="#888888", linewidth=0.9, dashes=dashes)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    axes.set_ylabel(unit)
    axes.set_xlabel("cycle, oldest first")
    return _svg(figure)


def _svg(figure: Figure) -> str:
    import matplotlib

    text = io.StringIO()
    # Text stays text (small, searchable) and ids do not change from run to run.
    with matplotlib.rc_context({"svg.fonttype": "none", "svg.hashsalt": "glossbath"}):
        figure.savefig(text, format="svg", metadata={"Date": None})
    svg = text.getvalue()
    return svg[svg.index("<svg") :]
