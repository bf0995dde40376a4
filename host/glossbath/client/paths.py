"""Where keepers put their sockets: one folder, private to the user."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path

from glossbath.errors import InputError, KeeperError

VIRTUAL = "virtual-"
"""How the name of a virtual rig begins; its keeper ends with the program that started it."""

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")


def runtime_folder() -> Path:
    """The folder of sockets, made if needed with mode 0700; GLOSSBATH_RUN names another one.

    Raises KeeperError if it belongs to somebody else.
    """
    named = os.environ.get("GLOSSBATH_RUN")
    if named:
        folder = Path(named)
    elif runtime := os.environ.get("XDG_RUNTIME_DIR"):
        folder = Path(runtime) / "glossbath"
    else:
        folder = Path(tempfile.gettempdir()) / f"glossbath-{os.getuid()}"
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if folder.stat().st_uid != os.getuid():
        raise KeeperError(f"The folder {folder} belongs to another user: set GLOSSBATH_RUN.")
    return folder


def check_name(rig: str) -> str:
    """A rig's name; raises InputError unless it is 1 to 32 letters, digits, dashes."""
    if not _NAME.fullmatch(rig):
        raise InputError(
            f"The rig name {rig!r} must be 1 to 32 letters, digits, dashes or underscores, "
            "beginning with a letter or digit."
        )
    return rig


def socket_path(rig: str) -> Path:
    """The socket of a rig's keeper."""
    return runtime_folder() / f"{check_name(rig)}.keeper"


def keepers() -> list[tuple[str, Path]]:
    """(rig, socket) of every keeper's socket that lies there, answering or not."""
    return sorted((path.stem, path) for path in runtime_folder().glob("*.keeper"))
