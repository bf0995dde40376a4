"""The desk: every sum and judgement of the trade, as a list to choose from.

It lies over the main screen when a rig is attached and stands alone when there is none.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import groupby
from typing import Any

from textual.app import ComposeResult
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from glossbath.desk import BY_NAME, QUESTIONS
from glossbath.forms.fahrenheit import in_fahrenheit
from glossbath.forms.form import Forms
from glossbath.view import panels
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .form_screen import FormScreen
from .key_bar import KeyBar
from .view_screen import Panel, ViewScreen

Post = Callable[..., None]
"""Sends an order with its values to the keeper."""


def head(view: RigView, width: int) -> Line:
    """The rig in one row, or that there is none."""
    if view.snapshot is None and not view.lost:
        return [(" Desk · no rig attached: type the readings yourself", "strong")]
    return panels.header(view, width)


class DeskScreen(ViewScreen):
    """The list of questions. `post` is None without a rig."""

    CSS_PATH = "desk.tcss"

    def __init__(
        self,
        look: Callable[[], tuple[RigView, float, Line]],
        forms: Forms,
        post: Post | None,
    ) -> None:
        super().__init__(look)
        self._forms = forms
        self._post = post

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="desk-title")
        yield OptionList(*_options(), id="desk-items", markup=False)
        yield KeyBar()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open the form of a question."""
        question = BY_NAME[event.option_id or ""]
        if self._look()[0].degrees.fahrenheit:
            question = in_fahrenheit(question)
        self.app.push_screen(FormScreen(self._look, head, question, self._forms, self._post))

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.query_one("#header", Panel).put([head(view, self.size.width)])
        title: Line = [("Choose what you want to know, then Enter. All of it is advice.", "dim")]
        self.query_one("#desk-title", Panel).put([title])


def _options() -> list[Any]:
    """Questions under the heads of their groups; a head cannot be chosen."""
    options: list[Any] = []
    for group, questions in groupby(QUESTIONS, key=lambda question: question.group):
        options.append(Option(group, disabled=True))
        options += [Option(f"  {one.title}", id=one.name) for one in questions]
    return options
