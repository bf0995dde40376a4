"""One question of the desk: its fields, what may be typed beside each, the answer."""

from __future__ import annotations

from collections.abc import Callable

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, VerticalScroll
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from glossbath.errors import GlossbathError
from glossbath.forms.answer import Answer
from glossbath.forms.fields import Field, Text
from glossbath.forms.form import Forms
from glossbath.forms.question import Question
from glossbath.forms.signs import Signs
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .key_bar import KeyBar
from .view_screen import Panel, ViewScreen


class FieldRow(Horizontal):
    """A field: its label with the unit, the place to type, and what may stand there."""

    def __init__(self, field: Field, typed: str) -> None:
        super().__init__(classes="-text" if isinstance(field, Text) else None)
        self.field = field
        self._typed = typed

    def compose(self) -> ComposeResult:
        yield Static(self.field.title, classes="field-label", markup=False)
        example = self.field.hint() if isinstance(self.field, Text) else ""
        yield Input(self._typed, example, id=f"field-{self.field.name}", compact=True)
        yield Panel(classes="field-beside")


class Marks(OptionList):
    """Signs to mark; what is marked reads [x], so it needs no colour."""

    BINDINGS = [Binding("space", "select", "Mark", show=False)]

    def __init__(self, signs: dict[str, str], marked: list[str]) -> None:
        self.marked = [word for word in signs if word in marked]
        self._signs = signs
        super().__init__(
            *(Option(self._prompt(word), id=word) for word in signs), markup=False, compact=True
        )

    def _prompt(self, word: str) -> str:
        return f"[{'x' if word in self.marked else ' '}] {self._signs[word]}"

    def turn(self, word: str) -> None:
        """Mark a sign, or take its mark away."""
        if word in self.marked:
            self.marked.remove(word)
        else:
            self.marked.append(word)
        self.replace_option_prompt(word, self._prompt(word))


class FormScreen(ViewScreen):
    """Fills in a form. `post` is None without a rig."""

    CSS_PATH = "desk.tcss"
    AUTO_FOCUS = "Input, Marks"
    BINDINGS = [
        Binding("f2", "answer", "Answer", key_display="F2"),
        Binding("f5", "readings", "Readings of the rig", key_display="F5"),
        Binding("f8", "record", "Into the record", key_display="F8"),
        Binding("up", "app.focus_previous", "Field before", show=False),
        Binding("down", "app.focus_next", "Next field", show=False),
    ]

    def __init__(
        self,
        look: Callable[[], tuple[RigView, float, Line]],
        head: Callable[[RigView, int], Line],
        question: Question,
        forms: Forms,
        post: Callable[..., None] | None,
    ) -> None:
        super().__init__(look)
        self._head = head
        self._question = question
        self._forms = forms
        self._form = forms.open(question)
        self._post = post
        self._asked: str = ""
        """The field whose error sentence is shown although it is still empty."""

    @property
    def _how(self) -> str:
        if any(isinstance(field, Signs) for field in self._form.fields):
            return "Enter marks a line; F2 answers."
        return "Enter answers."

    # --- what is seen ---------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        yield Panel(id="header")
        yield Panel(id="desk-title")
        with VerticalScroll(id="form-fields", can_focus=False):
            for field in self._form.fields:
                if isinstance(field, Signs):
                    yield from _lists(field, self._form.typed[field.name].split())
                else:
                    yield FieldRow(field, self._form.typed[field.name])
        with VerticalScroll(id="form-answer", can_focus=False):
            yield Panel(id="form-said")
        yield KeyBar()

    def on_mount(self) -> None:
        """Say what stands beside the fields from the start."""
        super().on_mount()
        self._say_beside()
        self._say_answer()

    def show(self, view: RigView, now_s: float, answer: Line) -> None:
        self.query_one("#header", Panel).put([self._head(view, self.size.width)])
        title: Line = [(self._question.title, "strong"), (f"   {self._question.group}", "dim")]
        self.query_one("#desk-title", Panel).put([title, answer] if answer else [title])

    def _say_beside(self) -> None:
        for row in self.query(FieldRow):
            words, wrong = self._form.beside(row.field)
            if row.field.name == self._asked and not wrong:
                words, wrong = self._form.problem(row.field) or words, True
            row.query_one(Panel).put([[(words, "strong" if wrong else "dim")]])
            row.set_class(wrong, "-wrong")

    def _say_answer(self, words: str = "", *, wrong: bool = False) -> None:
        lines: list[Line] = [[(words, "strong" if wrong else "dim")]] if words else []
        if not words and self._form.said is not None:
            lines = [[(sentence, "")] for sentence in self._form.said.sentences]
        elif not words:
            lines = [[(self._how, "dim")]]
        self.query_one("#form-said", Panel).put(lines)
        self.query_one("#form-answer").scroll_home(animate=False)
        self.refresh_bindings()

    # --- what a person does ---------------------------------------------------------------

    def on_input_changed(self, event: Input.Changed) -> None:
        """Keep what is typed, and look at it at once."""
        name = (event.input.id or "").removeprefix("field-")
        if event.value == self._form.typed[name]:
            return
        self._form.type(name, event.value)
        self._asked = ""
        self._say_beside()
        self._say_answer()

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """A sign is drawn while nothing has been answered."""
        signs = next((one for one in self._form.fields if isinstance(one, Signs)), None)
        if signs is not None and self._form.said is None and event.option_id is not None:
            rows = signs.drawing(event.option_id).splitlines()
            lines: list[Line] = [[(row, "")] for row in rows]
            self.query_one("#form-said", Panel).put([*lines, [(self._how, "dim")]])

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Signs are kept as their words."""
        if isinstance(event.option_list, Marks) and event.option_id is not None:
            event.option_list.turn(event.option_id)
        marked = [word for box in self.query(Marks) for word in box.marked]
        field = next(field for field in self._form.fields if isinstance(field, Signs))
        self._form.type(field.name, " ".join(marked))
        self._say_answer()

    def on_input_submitted(self) -> None:
        """Enter answers."""
        self.action_answer()

    def action_answer(self) -> None:
        """Ask for the answer; a field that stands in the way gets the cursor."""
        problem = self._form.first_problem()
        if problem is not None:
            field, sentence = problem
            self._asked = field.name
            self.query_one(f"#field-{field.name}").focus()
            self._say_beside()
            self._say_answer(sentence, wrong=True)
            return
        self._say_answer("Working it out …")
        self._work()

    @work(thread=True, exclusive=True, exit_on_error=False)
    def _work(self) -> None:
        # A plan takes a while and a library may have to be loaded: keys and STOP go before.
        typed = dict(self._form.typed)
        try:
            answer: Answer | None = self._form.answer()
            refused = ""
        except GlossbathError as error:
            answer, refused = None, str(error)
        self.app.call_from_thread(self._take, typed, answer, refused)

    def _take(self, typed: dict[str, str], answer: Answer | None, refused: str) -> None:
        if not self.is_mounted or typed != self._form.typed:
            return  # something else stands there by now
        self._form.said = answer
        self._say_answer(refused, wrong=True)

    def action_readings(self) -> None:
        """Take the rig's readings into the fields, over what was typed there."""
        self._form.fill_again(self._forms.live())
        for row in self.query(FieldRow):
            row.query_one(Input).value = self._form.typed[row.field.name]
        self._say_beside()
        self._say_answer()

    def action_record(self) -> None:
        """Write the test into the record of the cycle."""
        test = self._form.test()
        if self._post is not None and test:
            self._post("test", **test)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer only what can be done now."""
        if action == "record":
            return self._post is not None and bool(self._form.test())
        if action == "readings":
            return self._post is not None
        return True


def _lists(field: Signs, marked: list[str]) -> list[Widget]:
    """A list to mark for each group of signs, under its heading."""
    widgets: list[Widget] = []
    for heading, signs in field.groups():
        widgets.append(Static(heading, classes="field-heading", markup=False))
        widgets.append(Marks(signs, marked))
    return widgets
