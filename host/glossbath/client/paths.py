"""Where keepers put their sockets: one folder, private to the user."""

from __future__ import annotations

import os
import re
import stat
import tempfile
from pathlib import Path

from glossbath.errors import InputError

VIRTUAL = "virtual-"
"""How the name of a virtual rig begins; its keeper ends with the program that started it."""

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")
_LONGEST_PATH = 103  # bytes of sockaddr_un.sun_path: 108 on Linux, 104 on macOS, with the NUL
_ADVICE = "Set GLOSSBATH_RUN to a folder of yours."


def runtime_folder() -> Path:
    """The folder of sockets, made if needed with mode 0700; GLOSSBATH_RUN names another one.

    Raises InputError if it cannot be made or used, belongs to somebody else, or is not a folder
    but a link that somebody may have put there.
    """
    named = os.environ.get("GLOSSBATH_RUN")
    if named:
        folder = Path(named)
    elif runtime := os.environ.get("XDG_RUNTIME_DIR"):
        folder = Path(runtime) / "glossbath"
    else:
        folder = Path(tempfile.gettempdir()) / f"glossbath-{os.getuid()}"
    try:
        made = not folder.exists()
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        found = folder.stat() if named else folder.lstat()
        ours = found.st_uid == os.getuid()
        if ours and stat.S_ISDIR(found.st_mode) and (made or not named):
            folder.chmod(0o700)  # whatever the umask was when it was made
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        raise InputError(
            f"The folder {folder} cannot be made or used: {why}. {_ADVICE}"
        ) from error
    if not stat.S_ISDIR(found.st_mode):
        raise InputError(f"{folder} is a link or a file, not a folder. {_ADVICE}")
    if not ours:
        raise InputError(f"The folder {folder} belongs to another user. {_ADVICE}")
    if not os.access(folder, os.W_OK | os.X_OK):
        raise InputError(f"The folder {folder} cannot be written to. {_ADVICE}")
    return folder


def check_name(rig: str) -> str:
    """A rig's name; raises InputError unless it is 1 to 32 letters, digits, dashes."""
    if not _NAME.fullmatch(rig):
        raise InputError(
            f"The rig name {rig!r} must be 1 to 32 letters, digits, dashes or underscores, "
            "beginning with a letter or digit."
        )
    return rig


def check_length(path: Path) -> Path:
    """A socket's path; raises InputError for one longer than the system takes."""
    length = len(os.fsencode(path))
    if length > _LONGEST_PATH:
        raise InputError(
            f"The socket's path {path} has {length} bytes, at most {_LONGEST_PATH} are possible. "
            "Set GLOSSBATH_RUN to a folder with a shorter name."
        )
    return path


def socket_path(rig: str) -> Path:
    """The socket of a rig's keeper."""
    return check_length(runtime_folder() / f"{check_name(rig)}.keeper")


def stop_path(socket: Path) -> Path:
    """The way in for stops, beside a keeper's socket."""
    return socket.with_suffix(".stop")


def rigs_folder() -> Path:
    """Where commissionings are kept: the folder that the environment's GLOSSBATH_RIGS names, else
    the user's data folder."""
    named = os.environ.get("GLOSSBATH_RIGS")
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("glossbath", appauthor=False) / "rigs"


def begun_rigs() -> list[str]:
    """The real rigs whose commissioning has begun."""
    names = sorted(path.stem for path in rigs_folder().glob("*.json"))
    return [name for name in names if not name.startswith(VIRTUAL)]


def keepers() -> list[tuple[str, Path]]:
    """(rig, socket) of every keeper's socket that lies there, answering or not."""
    return sorted((path.stem, path) for path in runtime_folder().glob("*.keeper"))
