"""The command line. A command imports what it needs when it runs, so that starting is quick."""

from __future__ import annotations

import sys

import typer

from glossbath.errors import GlossbathError

from . import (
    bridge,
    commission,
    cycle,
    desk,
    install,
    log,
    look,
    notify,
    parts,
    recipe,
    run,
    screens,
    steer,
    tune,
)
from .group import SentenceGroup
from .terminal import check_arguments, speak_to_any_terminal

app = typer.Typer(cls=SentenceGroup, pretty_exceptions_enable=False)
screens.mount(app)
run.mount(app)
app.add_typer(log.app, name="log")
app.add_typer(notify.app, name="notify")
app.add_typer(desk.app, name="desk")
app.add_typer(recipe.app, name="recipe")
app.add_typer(tune.app, name="tune")
steer.mount(app)
cycle.mount(app)
commission.mount(app)
install.mount(app)
look.mount(app)
parts.mount(app)
bridge.mount(app)


def main() -> None:
    """Run a command; a failure that was foreseen is one sentence and an exit code."""
    try:
        speak_to_any_terminal()
        check_arguments(sys.argv)
        app()
    except GlossbathError as error:
        print(f"glossbath: {error}", file=sys.stderr)
        sys.exit(error.exit_code)
    except KeyboardInterrupt:
        sys.exit(130)
