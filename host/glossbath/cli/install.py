"""glossbath install: the firmware onto a board."""

from __future__ import annotations

from typing import Annotated

import typer

from glossbath.errors import InputError


def install(
    port: Annotated[
        str, typer.Argument(help="The board's port, or auto.", show_default=False)
    ] = "",
    board: Annotated[str, typer.Option(help="rpi_pico or rpi_pico2.")] = "rpi_pico",
    source: Annotated[
        bool, typer.Option("--source", help="Install source, not compiled files.")
    ] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only show what would be done.")
    ] = False,
) -> None:
    """Put the firmware on a board; settings stay."""
    from glossbath.board.link import find_port
    from glossbath.install import bundle
    from glossbath.install.visit import unseen, visit

    files = bundle(board, not source)
    if not port and not dry_run:
        raise InputError(
            "Which board? Name its port, or auto for the only one: glossbath install auto."
        )
    if port == "auto":
        port = find_port()
    for line in visit(port, files, dry_run, print) if port else unseen(files):
        print(line)


def mount(app: typer.Typer) -> None:
    """Put this command under app."""
    app.command()(install)
