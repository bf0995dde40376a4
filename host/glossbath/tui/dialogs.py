"""Questions to the person: one of a few choices, or a line of text.

The STOP key works over both: it is a priority key of the app.
"""

from __future__ import annotations

from dataclasses import dataclass

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from glossbath.client.messages import LONGEST_NOTE


@dataclass(frozen=True)
class Answer:
    """One choice: the key that takes it, what it is called inside, and its words."""

    key: str
    name: str
    words: str


class Choice(ModalScreen[str]):
    """Asks a question; gives the name of the answer. The first answer is marked at the start and
    must be the one that changes nothing, since Enter takes it."""

    BINDINGS = [Binding("escape", "stay", "Stay")]

    def __init__(self, question: str, answers: list[Answer]) -> None:
        super().__init__()
        self._question = question
        self._answers = answers

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog"):
            yield Static(self._question, markup=False, classes="question")
            yield OptionList(
                *(Option(f"{a.key:<6}{a.words}", id=a.name) for a in self._answers), markup=False
            )
            yield Static("s     STOP works here too", classes="hint")

    def on_key(self, event: Key) -> None:
        for answer in self._answers:
            if event.key.lower() == answer.key:  # caps lock may be on
                event.stop()
                self.dismiss(answer.name)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(event.option_id)

    def action_stay(self) -> None:
        """Change nothing."""
        self.dismiss(self._answers[0].name)


class Ask(ModalScreen[str]):
    """Asks for a line of text; gives None when the person thinks better of it."""

    BINDINGS = [Binding("escape", "leave", "Leave")]

    def __init__(self, question: str, example: str = "", text: str = "") -> None:
        super().__init__()
        self._question, self._example, self._text = question, example, text

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog"):
            yield Static(self._question, markup=False, classes="question")
            yield Input(self._text, max_length=LONGEST_NOTE, placeholder=self._example)
            yield Static(
                "Enter keeps it, Escape leaves. While you type, STOP is F9.", classes="hint"
            )

    def on_input_submitted(self, event: Input.Submitted) -> None:
        self.dismiss(event.value.strip())

    def action_leave(self) -> None:
        """Change nothing."""
        self.dismiss(None)
