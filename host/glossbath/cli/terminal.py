"""What commands share: the options that mean the same everywhere, and what a terminal is."""

from __future__ import annotations

import codecs
import io
import json
import os
import sys
from typing import Annotated, Any

import typer

from glossbath.errors import InputError

USUAL_RIG = "rig"

Json = Annotated[bool, typer.Option("--json", help="Print one JSON object for programs.")]
Plain = Annotated[bool, typer.Option("--plain", help="Plain lines, no screen.")]
Ascii = Annotated[bool, typer.Option("--ascii", help="Plain lines in ASCII only.")]
Degrees = Annotated[bool, typer.Option("--fahrenheit", help="Show °F.")]
Rig = Annotated[str, typer.Option("--rig", help="Which rig, by its name.")]
OneOf = Annotated[
    str, typer.Option("--rig", help="Which rig, by its name; may be left out where one runs.")
]


ASCII = str.maketrans({"°": " deg ", "–": "-", "—": "-", "…": "...", "×": "x", "·": ",", "’": "'"})
"""What stands for a character where a terminal has only ASCII."""


def _in_ascii(error: UnicodeError) -> tuple[str, int]:
    """For codecs: what a terminal's encoding has not, in characters that it has."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    text = error.object[error.start : error.end].translate(ASCII)
    return text.encode("ascii", "replace").decode(), error.end


def speak_to_any_terminal() -> None:
    """Let nothing that is printed fail by the terminal's encoding."""
    codecs.register_error("glossbath", _in_ascii)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="glossbath")


def check_arguments(words: list[str]) -> None:
    """Raise InputError for an argument that is not UTF-8: it could be neither shown nor stored."""
    for number, word in enumerate(words):
        try:
            word.encode()
        except UnicodeEncodeError:
            shown = word.encode("utf-8", "replace").decode()
            raise InputError(
                f"Argument {number} of the command, {shown!r}, is not UTF-8: type it again, or "
                "set the terminal to UTF-8."
            ) from None


def on_terminal() -> bool:
    """Whether a person sits before a terminal that can show a screen: one that cannot move its
    cursor gets plain lines."""
    able = os.environ.get("TERM", "") not in ("dumb", "unknown")
    return able and sys.stdin.isatty() and sys.stdout.isatty()


def print_json(content: Any) -> None:
    """One JSON object on one line."""
    print(json.dumps(content, ensure_ascii=False))
