"""A board's file system and interpreter, reached through mpremote's transport.

mpremote says that its library interface may change, so it is pinned and used in this file only.
"""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator
from typing import Any

from mpremote.transport import TransportError
from mpremote.transport_serial import SerialTransport

from glossbath.errors import LinkError

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
        """Hard reset: pins go back to inputs and boot.py runs."""
        self.restarted = True
        with contextlib.suppress(TransportError, OSError):
            self._transport.exec_raw_no_follow("import machine\nmachine.reset()")


@contextlib.contextmanager
def open_shell(port: str, timeout_s: float = 10.0, *, restart: bool = False) -> Iterator[Shell]:
    """A board's raw prompt; raises LinkError where there is none or where the line breaks.

    `restart`: the board is restarted at the end, whatever happened, so that a firmware which let
    the prompt in runs again.
    """
    talk = io.StringIO()
    transport, shell = None, None
    try:
        with contextlib.redirect_stdout(talk):
            transport = SerialTransport(port, baudrate=115200, timeout=5.0)
            transport.enter_raw_repl(soft_reset=False, timeout_overall=timeout_s)
        shell = Shell(transport)
        yield shell
    except (TransportError, OSError) as error:
        raise LinkError(
            f"The board at {port} does not give a prompt ({error}). Its firmware may still run: "
            "let it rest, then try again; a new board needs MicroPython first."
        ) from error
    finally:
        if restart and shell is not None and not shell.restarted:
            shell.restart()
        if transport is not None:
            with contextlib.suppress(TransportError, OSError):
                transport.close()
