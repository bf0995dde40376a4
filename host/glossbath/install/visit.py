"""One visit of the installer to a board, from the firmware that runs to the one that runs then.

However it ends, the board is restarted, and what then runs, or does not, is reported.
"""

from __future__ import annotations

from collections.abc import Callable

from glossbath.errors import GlossbathError, LinkError

from .bundle import Bundle
from .maintenance import ask_for_maintenance, running_version
from .port_return import PortReturn
from .procedure import Plan, install, plan
from .shell import ACTIVE, open_shell

_TRY_AGAIN = "unplug it and plug it in, then install again"
Show = Callable[[str], None]


def visit(port: str, files: Bundle, dry_run: bool, show: Show) -> list[str]:
    """Install files on the board at port, or with dry_run show what would be done.

    Gives the last lines to show. Raises what the steps raise, with what runs on the board added.
    """
    back = PortReturn(port, show)
    if ask_for_maintenance(port):
        show("The firmware lets other tools in; the board restarts.")
        port = back.wait()
    back = PortReturn(port, show)
    try:
        with open_shell(port) as shell:
            had_one = ACTIVE in shell.names("")
            if dry_run:
                lines = _shown(plan(shell, files), files)
            else:
                install(shell, files, show)
                had_one = True
                lines = ["Done."]
    except LinkError:
        raise  # its sentence has how the board is started
    except GlossbathError as error:
        error.args = (f"{error} {_state(back, had_one)}", *error.args[1:])
        raise
    return [*lines, _state(back, had_one), *_AFTERWARDS[: not dry_run]]


def unseen(files: Bundle) -> list[str]:
    """What an installation writes on a board that has nothing yet, without any board."""
    return [
        f"Firmware {files.folder} for {files.board}, {files.size // 1000} kB. With a port this "
        "also shows what the board has already, and whether all fits.",
        *(f"would write {files.folder}/{path}" for path in sorted(files.files)),
        *(f"would write {path}" for path in files.root),
    ]


_AFTERWARDS = ["The board refuses to heat until it has been commissioned."]


def _shown(todo: Plan, files: Bundle) -> list[str]:
    lines = [f"{todo.engine}, {todo.free_bytes // 1000} kB free, firmware {files.folder}"]
    lines += [f"would write {path}" for path in todo.write]
    lines += [f"would remove {path}" for path in todo.remove]
    if not todo.write and not todo.remove:
        lines.append("The board has this firmware already.")
    return lines


def _state(back: PortReturn, expected: bool) -> str:
    """What runs on the board after its restart, in a sentence."""
    if not expected:
        return "There is no firmware on the board yet."
    try:
        version = running_version(back.wait())
    except LinkError as error:
        return f"Whether its firmware runs is not known: {error}"
    if version:
        return f"The board runs firmware {version}."
    return f"The board's firmware does not answer: {_TRY_AGAIN}."
