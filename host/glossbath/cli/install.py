"""glossbath install: the firmware onto a board."""

from __future__ import annotations

from typing import Annotated

import typer


def install(
    port: Annotated[str, typer.Argument(help="The board's port.")],
    board: Annotated[str, typer.Option(help="rpi_pico or rpi_pico2.")] = "rpi_pico",
    source: Annotated[
        bool, typer.Option("--source", help="Install source, not compiled files.")
    ] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only show what would be done.")
    ] = False,
) -> None:
    """Put the firmware on a board; settings stay."""
    from glossbath.install import bundle
    from glossbath.install.visit import visit

    for line in visit(port, bundle(board, not source), dry_run, print):
        print(line)


def mount(app: typer.Typer) -> None:
    """Put this command under app."""
    app.command()(install)
