"""A board's file system and interpreter, reached through mpremote's transport.

mpremote warns that its library interface may change, so it is pinned and used in this file only.
"""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator
from typing import Any

from mpremote.transport import TransportError
from mpremote.transport_serial import SerialTransport

from glossbath.board.portlock import PortLock
from glossbath.errors import LinkError
from glossbath_board.memory import EXPECTED, MARKS

from .maintenance import OWNER

ACTIVE = "active"
"""The file that names the folder of the firmware that starts."""

_CHUNK = 1024


class Shell:
    """An open raw prompt on a board."""

    def __init__(self, transport: Any) -> None:
        self._transport = transport
        self.restarted = False

    def ask(self, expression: str) -> Any:
        """The value of an expression on the board."""
        return self._transport.eval(expression)

    def exists(self, path: str) -> bool:
        """Whether a file or folder is there."""
        return bool(self._transport.fs_exists(path))

    def names(self, path: str) -> list[str]:
        """The names in a folder."""
        return [entry.name for entry in self._transport.fs_listdir(path)]

    def is_folder(self, path: str) -> bool:
        """Whether path is a folder."""
        return bool(self._transport.fs_isdir(path))

    def make_folder(self, path: str) -> None:
        """Make a folder unless it is there."""
        if not self.exists(path):
            self._transport.fs_mkdir(path)

    def write(self, path: str, data: bytes) -> None:
        """Write a file."""
        self._transport.fs_writefile(path, data, chunk_size=_CHUNK)

    def sha256(self, path: str) -> bytes:
        """The hash of a file, worked out on the board."""
        return bytes(self._transport.fs_hashfile(path, "sha256"))

    def read(self, path: str) -> bytes:
        """A file's content."""
        return bytes(self._transport.fs_readfile(path))

    def rename(self, old: str, new: str) -> None:
        """Replace new by old in one step; the board's file system survives a power cut in it."""
        self._transport.exec(f"import os\nos.rename({old!r}, {new!r})")

    def remove(self, path: str) -> None:
        """Remove a file, or a folder with all that is in it."""
        if self.is_folder(path):
            for name in self.names(path):
                self.remove(f"{path}/{name}")
            self._transport.fs_rmdir(path)
        else:
            self._transport.fs_rmfile(path)

    def restart(self) -> None:
        """Hard reset: pins go back to inputs and boot.py runs. The firmware does not count it."""
        self.restarted = True
        with contextlib.suppress(TransportError, OSError):
            self._transport.exec_raw_no_follow(_RESTART)


_RESTART = f"""
import machine, os
try:
    os.stat({ACTIVE!r})
    with open({MARKS!r}, "w") as file:
        file.write({EXPECTED!r})
except OSError:
    pass
machine.reset()
"""


@contextlib.contextmanager
def open_shell(port: str, timeout_s: float = 10.0) -> Iterator[Shell]:
    """A board's raw prompt; raises LinkError where there is none or where the line breaks.

    The board is restarted at the end, whatever happened, so that a firmware runs if it has one.
    """
    lock = PortLock(port, OWNER)
    if held := lock.take():
        raise LinkError(f"{held.rstrip('.')}: end that program first.")
    talk = io.StringIO()
    transport, shell = None, None
    try:
        with contextlib.redirect_stdout(talk):
            transport = _transport(port, timeout_s)
            transport.enter_raw_repl(soft_reset=False, timeout_overall=timeout_s)
        shell = Shell(transport)
        yield shell
    except (TransportError, OSError) as error:
        raise LinkError(
            _LOST.format(port=port, error=error)
            if shell
            else _NO_PROMPT.format(port=port, error=error)
        ) from error
    finally:
        if shell is not None and not shell.restarted:
            shell.restart()
        if transport is not None:
            with contextlib.suppress(TransportError, OSError):
                transport.close()
        lock.release()


_NO_PROMPT = (
    "The board at {port} does not give a prompt ({error}). A new board needs MicroPython first; "
    "else unplug it, plug it in, which starts its firmware, and try again."
)
_LOST = (
    "The line to the board at {port} broke ({error}). What ran before runs again once the board "
    "is unplugged and plugged in, or the new firmware; then install again."
)


def _transport(port: str, timeout_s: float) -> SerialTransport:
    """The port, opened for this program alone; a system that has just seen it come back may need
    a moment until it can be opened."""
    # mpremote tries once a second, one time more than this.
    return SerialTransport(
        port, baudrate=115200, wait=int(timeout_s // 4), exclusive=True, timeout=5.0
    )
