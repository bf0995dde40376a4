"""The steps of an installation, in an order that can be cut anywhere.

The new packages go into a folder of their own, named after their content and that of boot.py and
main.py. Only when every hash agrees does one rename make that folder the active one. Until then
the old firmware starts, and afterwards the new one. A cut before boot.py or main.py is in place
leaves the new firmware under old ones: it sees that and does not heat until the installation is
repeated. Settings and trips are not touched.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import PurePosixPath

from glossbath.errors import GlossbathError, InputError
from glossbath_board.files import PREFIX

from .bundle import Bundle
from .shell import ACTIVE, Shell

OLDEST = (1, 29, 0)
BYTECODE = (6, 3)
"""The version of compiled files that mpy-cross makes."""
CHIPS = {"rpi_pico": "RP2040", "rpi_pico2": "RP2350"}
"""How MicroPython's name of the machine ends on each board: "... with RP2040"."""
_SPARE_BYTES = 40_000
Show = Callable[[str], None]


@dataclass(frozen=True)
class Plan:
    """What an installation would do."""

    engine: str
    free_bytes: int
    already_active: bool
    write: tuple[str, ...]
    remove: tuple[str, ...]


def plan(shell: Shell, bundle: Bundle) -> Plan:
    """Check the board and work out what has to be done.

    A firmware that is active already is written again where a file of it does not have its hash.
    Raises InputError where the board is another one, the interpreter too old or the board too
    full.
    """
    engine = _check_engine(shell)
    _check_chip(shell, bundle.board)
    _check_bytecode(shell, bundle)
    stat = shell.ask("__import__('os').statvfs('/')")
    free = int(stat[0]) * int(stat[3])
    names = shell.names("")
    already = ACTIVE in names and shell.read(ACTIVE).decode().strip() == bundle.folder
    whole = {f"{bundle.folder}/{path}": data for path, data in bundle.files.items()}
    write = [path for path in sorted(whole) if not already or _wrong(shell, path, whole[path])]
    write += [name for name, data in bundle.root.items() if _wrong(shell, name, data)]
    old = [name for name in names if _is_stale(name, bundle)]
    if bundle.folder in names:
        # Left by an installation that was cut, or put there by hand: the board would see a mix.
        old += [path for path in _all_files(shell, bundle.folder) if path not in whole]
    needed = sum(len(whole[path]) for path in write if path in whole) + _SPARE_BYTES
    if write and free < needed:
        raise InputError(
            f"The board has {free // 1000} kB free and needs {needed // 1000} kB: remove files."
        )
    return Plan(engine, free, already, tuple(write), tuple(old))


def _is_stale(name: str, bundle: Bundle) -> bool:
    """Whether a name at the root is left from another firmware: a folder of an installer, a
    package that was copied there by hand, or a file whose way into place was cut."""
    if name.startswith(PREFIX):
        return name != bundle.folder
    packages = {path.split("/", 1)[0] for path in bundle.files}
    return name in packages or name in [f"{own}.new" for own in (ACTIVE, *bundle.root)]


def _check_engine(shell: Shell) -> str:
    interpreter, version = shell.ask(
        "(__import__('sys').implementation.name, __import__('sys').implementation.version)"
    )
    version = tuple(part for part in version if isinstance(part, int))[:3]
    engine = f"{interpreter} {'.'.join(str(part) for part in version)}"
    if interpreter != "micropython" or version < OLDEST:
        wanted = ".".join(str(part) for part in OLDEST)
        raise InputError(f"The board runs {engine}: it needs MicroPython {wanted} or newer.")
    return engine


def _all_files(shell: Shell, folder: str) -> list[str]:
    found = []
    for name in shell.names(folder):
        path = f"{folder}/{name}"
        found += _all_files(shell, path) if shell.is_folder(path) else [path]
    return found


def _check_bytecode(shell: Shell, bundle: Bundle) -> None:
    if not any(name.endswith(".mpy") for name in bundle.files):
        return
    mark = int(shell.ask("getattr(__import__('sys').implementation, '_mpy', 0)"))
    if (mark & 0xFF, mark >> 8 & 3) != BYTECODE:
        raise InputError(
            f"The board takes compiled files of version {mark & 0xFF}.{mark >> 8 & 3}, these have "
            f"{BYTECODE[0]}.{BYTECODE[1]}: install with --source."
        )


def _check_chip(shell: Shell, board: str) -> None:
    """A firmware made for other pins could drive an output from an input's pin."""
    machine = str(shell.ask("getattr(__import__('sys').implementation, '_machine', '')"))
    chip = machine.rsplit(" with ", 1)[-1].split("-")[0]
    if chip == CHIPS[board]:
        return
    fitting = [name for name, other in CHIPS.items() if other == chip]
    what = f"give --board {fitting[0]}" if fitting else f"use one of {', '.join(CHIPS)}"
    raise InputError(
        f"The board calls itself '{machine}', but the firmware is for {board} with "
        f"{CHIPS[board]}: {what}."
    )


def install(shell: Shell, bundle: Bundle, show: Show) -> None:
    """Carry out the plan and restart the board; raises GlossbathError if a hash does not agree."""
    todo = plan(shell, bundle)
    for path in todo.remove:
        if path.startswith(f"{bundle.folder}/"):
            _remove(shell, path, show)
    for path in todo.write:
        if "/" in path:
            # A firmware that may start already is mended file by file, each in one step.
            put = _replace if todo.already_active else _put
            put(shell, path, bundle.files[path.split("/", 1)[1]], show)
    if not todo.already_active:
        _replace(shell, ACTIVE, bundle.folder.encode(), show)
    # Last, since without a firmware to start main.py would only restart the board again and again.
    for name, data in bundle.root.items():
        if name in todo.write:
            _replace(shell, name, data, show)
    for name in todo.remove:
        _remove(shell, name, show)
    show("restart")
    shell.restart()


def _remove(shell: Shell, path: str, show: Show) -> None:
    if shell.exists(path):  # what was to be put in place may be there by now
        show(f"remove {path}")
        shell.remove(path)


def _differs(shell: Shell, path: str, data: bytes) -> bool:
    return shell.sha256(path) != hashlib.sha256(data).digest()


def _wrong(shell: Shell, path: str, data: bytes) -> bool:
    return not shell.exists(path) or _differs(shell, path, data)


def _make_folders(shell: Shell, path: str) -> None:
    for parent in reversed(PurePosixPath(path).parents[:-1]):
        shell.make_folder(str(parent))


def _put(shell: Shell, path: str, data: bytes, show: Show) -> None:
    _make_folders(shell, path)
    if not _wrong(shell, path, data):
        return
    show(f"write {path}")
    shell.write(path, data)
    if _differs(shell, path, data):
        raise GlossbathError(f"{path} arrived damaged: check the cable and install again.")


def _replace(shell: Shell, path: str, data: bytes, show: Show) -> None:
    """Write beside, check, and put in place in one step."""
    show(f"replace {path}")
    _make_folders(shell, path)
    shell.write(path + ".new", data)
    if _differs(shell, path + ".new", data):
        raise GlossbathError(f"{path} arrived damaged: check the cable and install again.")
    shell.rename(path + ".new", path)
