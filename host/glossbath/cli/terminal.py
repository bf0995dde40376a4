"""What commands share: the options that mean the same everywhere, and what a terminal is."""

from __future__ import annotations

import json
import sys
from typing import Annotated, Any

import typer

USUAL_RIG = "rig"

Json = Annotated[bool, typer.Option("--json", help="Print one JSON object for programs.")]
Plain = Annotated[bool, typer.Option("--plain", help="Plain lines, no screen.")]
Ascii = Annotated[bool, typer.Option("--ascii", help="Plain lines in ASCII only.")]
Degrees = Annotated[bool, typer.Option("--fahrenheit", help="Show °F.")]
Rig = Annotated[str, typer.Option("--rig", help="Which rig, by its name.")]
OneOf = Annotated[
    str, typer.Option("--rig", help="Which rig, by its name; may be left out where one runs.")
]


def on_terminal() -> bool:
    """Whether a person sits before a terminal: a screen makes sense."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def print_json(content: Any) -> None:
    """One JSON object on one line."""
    print(json.dumps(content, ensure_ascii=False))
