"""The command line. A command imports what it needs when it runs, so that starting is quick."""

from __future__ import annotations

import sys

import typer

from . import (
    advice,
    commission_commands,
    cycle_commands,
    install_commands,
    log_commands,
    recipe_commands,
    run_commands,
    screen_commands,
    steer_commands,
)
from .advice.group import SentenceGroup
from .errors import GlossbathError

app = typer.Typer(cls=SentenceGroup, add_completion=False, pretty_exceptions_enable=False)
screen_commands.mount(app)
run_commands.mount(app)
app.add_typer(log_commands.app, name="log")
app.add_typer(advice.app, name="desk")
app.add_typer(recipe_commands.app, name="recipe")
steer_commands.mount(app)
cycle_commands.mount(app)
commission_commands.mount(app)
install_commands.mount(app)


def main() -> None:
    """Run a command; a failure that was foreseen is one sentence and an exit code."""
    try:
        app()
    except GlossbathError as error:
        print(f"glossbath: {error}", file=sys.stderr)
        sys.exit(error.exit_code)
    except KeyboardInterrupt:
        sys.exit(130)
