"""A picture of an identification: what the probes said, what the model says, and the rest."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from glossbath.errors import InputError

from .fitting import Identified
from .trace import PROBES

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_LINES = {"chocolate": ("#5b3216", "o"), "bath": ("#1f6fb2", "s"), "body": ("#b8442c", "^")}
_LABELS = {"chocolate": "bowl", "bath": "bath", "body": "heater body"}
_MARKS = 12


def picture(identified: Identified, path: Path, title: str = "Identification") -> None:
    """Draw measured and predicted temperatures, heat and chill, and residuals to a file.

    The ending chooses the format (png, svg, pdf). Raises InputError when it cannot be written.
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.0, 8.0), layout="constrained")
    upper, middle, lower = figure.subplots(3, 1, sharex=True, height_ratios=(5, 2, 3))
    _draw_fit(upper, identified)
    _draw_inputs(middle, identified)
    _draw_residuals(lower, identified)
    figure.suptitle(f"{title}: residuals {identified.rms_k:.2f} K (root mean square)")
    try:
        figure.savefig(path, dpi=120)
    except (OSError, ValueError) as error:
        raise InputError(
            f"The picture {path} cannot be written: {error}; use a name ending in .png, .svg or "
            ".pdf in a folder that exists."
        ) from error


def _draw_fit(axes: Axes, identified: Identified) -> None:
    minutes = identified.time_s / 60.0
    for column, name in enumerate(PROBES):
        colour, mark = _LINES[name]
        axes.plot(minutes, identified.predicted_c[:, column], color=colour, linewidth=1.2)
        axes.plot(
            minutes[:: len(minutes) // _MARKS],
            identified.measured_c[:: len(minutes) // _MARKS, column],
            mark,
            color=colour,
            fillstyle="none",
            label=_LABELS[name],
        )
    axes.set_ylabel("°C (marks: measured, lines: model)")
    axes.legend(loc="upper right")
    axes.grid(alpha=0.3)


def _draw_inputs(axes: Axes, identified: Identified) -> None:
    minutes, trace = identified.time_s / 60.0, identified.trace
    axes.plot(minutes, 100.0 * trace.heat_share, color=_LINES["body"][0], label="heat")
    axes.plot(minutes, 100.0 * trace.chill_share, "--", color=_LINES["bath"][0], label="chill")
    axes.plot(minutes, 100.0 * trace.stir_share, ":", color="#555555", label="stirrer")
    axes.set_ylabel("share in %")
    axes.set_ylim(-5.0, 105.0)
    axes.legend(loc="lower right", bbox_to_anchor=(1.0, 0.98), ncols=3, frameon=False)
    axes.grid(alpha=0.3)


def _draw_residuals(axes: Axes, identified: Identified) -> None:
    minutes = identified.time_s / 60.0
    misfit_k = identified.measured_c - identified.predicted_c
    for column, name in enumerate(PROBES):
        colour, mark = _LINES[name]
        axes.plot(
            minutes,
            misfit_k[:, column],
            color=colour,
            marker=mark,
            markevery=len(minutes) // _MARKS,
            fillstyle="none",
            linewidth=0.8,
            label=_LABELS[name],
        )
    axes.axhline(0.0, color="black", linewidth=0.6)
    axes.set_ylabel("measured less model in K")
    axes.set_xlabel("time in min")
    axes.grid(alpha=0.3)
