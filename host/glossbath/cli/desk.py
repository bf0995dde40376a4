"""glossbath desk ...: every question of the desk as a command, made from its fields.

Sentences for a person, --json for programs. Bad input is one sentence on stderr, which names the
option, and exit code 2.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable, Mapping
from typing import Annotated, Any

import typer

from glossbath.desk import QUESTIONS
from glossbath.errors import InputError
from glossbath.forms.answer import Answer
from glossbath.forms.fahrenheit import in_fahrenheit
from glossbath.forms.fields import Field, Pair, Parts, YesNo
from glossbath.forms.question import Question
from glossbath.forms.signs import Signs

from .group import SentenceGroup
from .terminal import Json, print_json

Fahrenheit = Annotated[
    bool, typer.Option("--fahrenheit", help="Ask and answer in °F; --json stays in °C.")
]
_SUFFIXES = ("_c", "_s", "_g", "_share")


def option(field: Field) -> str:
    """What a field is called on the command line; for an argument its own name."""
    if isinstance(field, (Parts, Signs)) or field.option == "argument":
        return field.name.upper()
    name = next((field.name.removesuffix(s) for s in _SUFFIXES if field.name.endswith(s)), None)
    return field.option or "--" + (name or field.name).replace("_", "-")


def command(question: Question) -> Callable[..., None]:
    """The command that asks a question. Everything given is read by the question's own fields,
    so that a screen and the command line take and refuse the same."""

    def run(context: typer.Context, as_json: bool, fahrenheit: bool, **given: Any) -> None:
        asked = in_fahrenheit(question) if fahrenheit else question
        typed = {field.name: _text(given[field.name]) for field in asked.fields}
        for field in asked.fields:
            # A default is shown in °C and means the same temperature in °F.
            if field.has_default and _left_out(context, field.name):
                typed[field.name] = field.typed
        for field in asked.fields:
            if isinstance(field, Signs) and not given[field.name] and _may_ask(as_json, given):
                typed[field.name] = " ".join(ask(field))
        show(asked.answer(read(asked, typed)), as_json)

    parameters = [_keyword("context", typer.Context, inspect.Parameter.empty)]
    parameters += [_parameter(field) for field in question.fields]
    parameters.append(_keyword("fahrenheit", Fahrenheit, False))
    parameters.append(_keyword("as_json", Json, False))
    run.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    run.__annotations__ = {one.name: one.annotation for one in parameters}
    run.__doc__ = question.ask.__doc__
    return run


def read(question: Question, typed: Mapping[str, str]) -> dict[str, Any]:
    """The values of what is typed; raises InputError that names the option."""
    values = {}
    for field in question.fields:
        try:
            values[field.name] = field.read(typed[field.name])
        except InputError as error:
            raise InputError(f"{option(field)}: {error}") from error
    return values


def show(answer: Answer, as_json: bool) -> None:
    """Print an answer as sentences, or as one JSON object with the sentences in it."""
    if as_json:
        print_json(answer.plain())
        return
    for sentence in answer.sentences:
        typer.echo(sentence)


def ask(field: Signs, prompt: Callable[[str], str] = input) -> list[str]:
    """Ask for the signs one after the other; of when it showed only until one is so."""
    typer.echo("Answer y or n; just Enter for what you do not know.")
    (_, seen), (_, when), (_, stored) = field.groups()
    found = []
    for word, text in seen.items():
        typer.echo(field.drawing(word))
        found += [word] if _so(prompt, text) else []
    found += [word for word in [next((w for w in when if _so(prompt, when[w])), "")] if word]
    return found + [word for word, text in stored.items() if _so(prompt, text)]


def _may_ask(as_json: bool, given: Mapping[str, Any]) -> bool:
    return not as_json and not given.get("words") and sys.stdin.isatty()


def _left_out(context: typer.Context, name: str) -> bool:
    source = context.get_parameter_source(name)
    return source is not None and source.name == "DEFAULT"


def _so(prompt: Callable[[str], str], text: str) -> bool:
    try:
        return prompt(f"Is it so that {text}? ").strip().lower().startswith("y")
    except EOFError:
        return False


def _text(given: Any) -> str:
    """What was given on the command line as a person would type it into the field."""
    if isinstance(given, bool):
        return "yes" if given else "no"
    return " ".join(given) if isinstance(given, (list, tuple)) else given or ""


def _parameter(field: Field) -> inspect.Parameter:
    """The option or argument of a field, as Typer takes it. Text goes through unread."""
    name, default = option(field), field.default
    more = field.note or ("" if isinstance(field, YesNo) else field.hint())
    words = f"{field.label}: {more}".removesuffix(", or empty").removesuffix(": ") + "."
    kind: Any = str | None
    if isinstance(field, (Parts, Signs)):
        kind = list[str] | None
    elif isinstance(field, YesNo):
        kind = bool | None if default is None else bool
        name = f"{name}/{field.negative}" if field.negative else name
    elif isinstance(field, Pair):
        kind = tuple[str, str] | None
    is_argument = name == field.name.upper()
    how: Any = typer.Argument(help=words) if is_argument else typer.Option(name, help=words)
    if not is_argument and not isinstance(field, YesNo):
        how.metavar = field.kind.upper()
    text = default if isinstance(field, YesNo) else field.typed or None
    return _keyword(field.name, Annotated[kind, how], text if field.has_default else ...)


def _keyword(name: str, annotation: Any, default: Any) -> inspect.Parameter:
    return inspect.Parameter(
        name, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=annotation
    )


app = typer.Typer(
    cls=SentenceGroup,
    help="Sums and judgements for chocolate work, with or without a rig. All of it is advice.",
)
for question in QUESTIONS:
    app.command(question.name, rich_help_panel=question.group)(command(question))
