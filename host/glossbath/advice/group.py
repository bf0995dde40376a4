"""A group of commands in which every refusal is one sentence on stderr and an exit code."""

from __future__ import annotations

from typing import Any

import typer
from typer.core import TyperGroup

from glossbath.errors import GlossbathError

UsageError: Any = typer.BadParameter.__mro__[1]
"""Typer's own error for a wrong option; it has no public name of its own."""


class SentenceGroup(TyperGroup):
    """Runs a command; wrong options and refused input end in one sentence."""

    def invoke(self, ctx: Any) -> Any:
        """Run the command that was asked for. Exits with the error's code, 2 for input."""
        try:
            return super().invoke(ctx)
        except GlossbathError as error:
            raise _refused(str(error), error.exit_code) from None
        except UsageError as error:
            message = error.format_message()
            raise _refused(" ".join(message.split()), 2) from None


def _refused(sentence: str, exit_code: int) -> typer.Exit:
    typer.echo(f"glossbath: {sentence}", err=True)
    return typer.Exit(exit_code)
