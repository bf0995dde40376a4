"""The page of details: every probe, output and counter, with words for what is wrong."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from glossbath.view import facts
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .key_bar import KeyBar
from .view_screen import Panel, ViewScreen

NARROW = 72


class DetailsScreen(ViewScreen):
    """Rows of name, value and remark."""

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="doing")
        with VerticalScroll(classes="page"):
            yield Panel(id="facts")
        yield KeyBar()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.put_head(view)
        lines: list[Line] = []
        for title, rows in facts.sections(view, now_s):
            lines += [[(title, "strong")], *(_line(row, self.size.width) for row in rows)]
        self.put("facts", *lines)


def _line(row: facts.Row, width: int) -> Line:
    name, value, remark = row
    return [
        (f"  {name:<16}", "dim"),
        (f"{value:<{18 if width >= NARROW else 10}} ", ""),
        (remark, "dim"),
    ]
