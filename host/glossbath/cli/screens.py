"""`glossbath` alone, glossbath desk, glossbath attach: what opens a screen."""

from __future__ import annotations

import sys
from typing import Annotated, Any

import typer

from glossbath import __version__
from glossbath.view.choices import Choices, kept_choices

from . import desk as desk_commands
from .terminal import USUAL_RIG, Ascii, Degrees, OneOf, Plain, on_terminal


def follow(rig: str, plain: bool, ascii_only: bool, fahrenheit: bool, out: Any) -> None:
    """Show a rig until the cycle has ended or the person leaves."""
    from glossbath.client.launch import connect

    from .demo import virtual_name

    choices = chosen(fahrenheit)
    if plain or not on_terminal():
        from .cycle import listener
        from .plain import follow_plain

        # A pipe is not a person: what it holds is nothing that was typed to this rig.
        typing = sys.stdin.isatty() and out.isatty()
        with connect(rig, steer=typing) as client:
            listen = listener(sys.stdin) if typing else None
            follow_plain(client, out, ascii_only, choices.fahrenheit, listen=listen)
        return
    from glossbath.tui.app import GlossbathApp

    GlossbathApp(lambda: connect(rig, steer=True), choices=choices, own_rig=virtual_name()).run()


def chosen(fahrenheit: bool) -> Choices:
    """What the person chose once, or says now."""
    choices = kept_choices()
    choices.fahrenheit = choices.fahrenheit or fahrenheit
    return choices


def _show_version(wanted: bool) -> None:
    if wanted:
        print(f"glossbath {__version__}")
        raise typer.Exit


def start(
    context: typer.Context,
    fahrenheit: Degrees = False,
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version."),
    ] = False,
) -> None:
    """Turns a slow cooker, a hobby board and a stirrer into a chocolate tempering bath.

    Without a command it opens the start screen: rigs, past cycles, recipes, the desk.
    """
    if context.invoked_subcommand is not None:
        return
    if not on_terminal():
        typer.echo(context.get_help())
        return
    from glossbath.tui.app import GlossbathApp
    from glossbath.tui.start_screen import Starter

    from .demo import ON_SCREEN_SPEED
    from .virtual_kitchen import VirtualKitchen

    with VirtualKitchen(ON_SCREEN_SPEED) as kitchen:
        starters: dict[str, Starter] = {"virtual": kitchen, "board": _board}
        GlossbathApp(
            choices=chosen(fahrenheit), starters=starters, own_rig=kitchen.rig, kitchen=kitchen
        ).run()


def _board() -> str:
    """Start a keeper for the one board that is plugged in; its rig's name."""
    from glossbath.away.alone import start_notifier
    from glossbath.board.link import find_port

    from .owner import keeper_of

    keeper_of(USUAL_RIG, find_port(), "")
    start_notifier()
    return USUAL_RIG


def desk(context: typer.Context) -> None:
    """Sums and judgements for chocolate work, with or without a rig. All of it is advice.

    Without a command it opens the desk on the screen.
    """
    if context.invoked_subcommand is not None:
        return
    if not on_terminal():
        typer.echo(context.get_help())
        return
    from glossbath.tui.desk_app import DeskApp

    DeskApp().run()


def attach(
    rig: OneOf = "",
    plain: Plain = False,
    ascii_only: Ascii = False,
    fahrenheit: Degrees = False,
) -> None:
    """Look at a rig whose keeper runs."""
    from glossbath.client.launch import the_rig

    follow(the_rig(rig), plain, ascii_only, fahrenheit, sys.stdout)


def mount(app: typer.Typer) -> None:
    """Put these commands under app, and the desk's screen under its commands."""
    app.callback(invoke_without_command=True)(start)
    desk_commands.app.callback(invoke_without_command=True)(desk)
    app.command()(attach)
