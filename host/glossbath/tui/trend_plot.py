"""The trend: textual-plot's widget fed with the points the chart gives."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Grid
from textual.strip import Strip
from textual_hires_canvas import Canvas, HiResMode
from textual_plot import PlotWidget
from textual_plot.axis_formatter import AxisFormatter
from textual_plot.plot_widget import Legend

from glossbath.view.chart import CELLS_A_LABEL, Chart, tick_label, time_ticks, value_ticks

# Style by how much it is looked at; the shapes differ too, so it reads without colour.
CHOCOLATE = "bold #f0f1f2"
BATH = "#7d8287"
TARGET = "#b9bdc1"
WINDOW = "#6f757a"
LEGEND = "⠤⠤ chocolate   ⠄⠄ bath   ── target   ┄┄ window   ∙∙ forecast"


class _TimeLabels(AxisFormatter):
    def get_ticks(self, min_: float, max_: float, max_ticks: int = 8) -> list[float]:
        return time_ticks((min_, max_), max_ticks * CELLS_A_LABEL)

    def get_labels_for_ticks(self, ticks: Sequence[float]) -> list[str]:
        return [tick_label(tick) for tick in ticks]


class _Canvas(Canvas):
    """A canvas without a size gives an empty piece without a style, which Textual's filter for
    NO_COLOR cannot take."""

    def render_line(self, y: int) -> Strip:
        strip = super().render_line(y)
        return strip if strip.cell_length else Strip([])


class TrendPlot(PlotWidget):
    """Draws a Chart; it takes no keys, so every key stays with the screen."""

    can_focus = False

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id, allow_pan_and_zoom=False)
        self.set_x_formatter(_TimeLabels())
        self._chart: Chart | None = None

    def on_mount(self) -> None:
        """The margins belong to parts which exist from here on."""
        self.margin_top = 0
        self.margin_bottom = 1
        self.margin_left = 5

    def compose(self) -> ComposeResult:
        """The parts PlotWidget looks for by their names."""
        with Grid():
            for name in ("margin-top", "margin-left", "plot", "margin-bottom"):
                yield _Canvas(1, 1, id=name)
        yield Legend(id="legend")

    @property
    def cells(self) -> int:
        """Width of the picture inside its frame."""
        return max(10, self.size.width - self.margin_left - 2)

    def on_resize(self) -> None:
        """Labels that fitted the old size may not fit this one."""
        if self._chart is not None:
            self.draw(self._chart)

    def draw(self, chart: Chart) -> None:
        """Show a chart instead of what was there."""
        self._chart = chart
        self.clear()
        self.set_xlimits(*chart.times_s)
        self.set_ylimits(*chart.values)
        self.set_xticks(time_ticks(chart.times_s, self.cells))
        self.set_yticks(value_ticks(chart.values, max(2, (self.size.height - 3) // 2)))
        for edge in chart.window:
            self._dots(edge, "┄", WINDOW)
        self._dots(chart.target, "─", TARGET)
        self._dots(chart.forecast, "∙", TARGET)
        for run in chart.bath:
            self._dots(run, "", BATH, HiResMode.BRAILLE)
        for run in chart.chocolate:
            times, values = zip(*run, strict=True)
            self.plot(times, values, line_style=CHOCOLATE, hires_mode=HiResMode.BRAILLE)

    def _dots(
        self,
        points: list[tuple[float, float]],
        marker: str,
        style: str,
        mode: HiResMode | None = None,
    ) -> None:
        if points:
            times, values = zip(*points, strict=True)
            self.scatter(times, values, marker=marker, marker_style=style, hires_mode=mode)
