"""Where a keeper listens: its socket, its lock, and a way in for stops that no client can fill.

    RIG.keeper  stream socket, one connection a client
    RIG.stop    datagram socket, for stops alone
    RIG.lock    held by the keeper as long as it lives: one lock decides who serves

All have mode 0600. A file that a killed keeper left behind locks nothing.
"""

from __future__ import annotations

import contextlib
import os
import socket
from pathlib import Path

from glossbath.client.locks import lock_file, unlock
from glossbath.client.paths import check_length, stop_path
from glossbath.errors import InputError, KeeperError


class Place:
    """The sockets at path, bound. Raises KeeperError where a keeper of this name runs already,
    InputError where nothing can be bound."""

    def __init__(self, path: Path) -> None:
        self._path = check_length(path)
        self._stop_path = check_length(stop_path(path))
        self._lock_path = path.with_suffix(".lock")
        self._lock = self._take_lock()
        try:
            self.listener, self.stops = self._bind()
        except InputError:
            unlock(self._lock_path, self._lock)
            raise
        self._bound = self._identity()

    def _take_lock(self) -> int:
        try:
            return lock_file(self._lock_path, f"{os.getpid()}\n")
        except BlockingIOError:
            raise KeeperError(
                f"A keeper for {self._path.stem} runs already: use glossbath attach."
            ) from None
        except OSError as error:
            raise InputError(
                f"No keeper can listen at {self._path}: {error.strerror}. Set GLOSSBATH_RUN to a "
                "folder of yours."
            ) from error

    def _bind(self) -> tuple[socket.socket, socket.socket]:
        listener = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        stops = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        try:
            for end, path in ((stops, self._stop_path), (listener, self._path)):
                # Bound under another name: what lies at its own name listens already.
                fresh = path.with_suffix(".new")
                fresh.unlink(missing_ok=True)
                end.bind(str(fresh))
                fresh.chmod(0o600)
                end.setblocking(False)
                if end is listener:
                    end.listen(128)
                fresh.replace(path)
        except OSError as error:
            listener.close()
            stops.close()
            raise InputError(
                f"No keeper can listen at {self._path}: {error.strerror or error}. Set "
                "GLOSSBATH_RUN to a folder of yours."
            ) from error
        return listener, stops

    def _identity(self) -> list[tuple[int, int]]:
        """Which files lie at the places now; fewer than two where one is gone."""
        found = []
        for path in (self._path, self._stop_path, self._lock_path):
            with contextlib.suppress(OSError):
                about = os.lstat(path)
                found.append((about.st_dev, about.st_ino))
        return found

    def lost(self) -> bool:
        """Whether what lies there is no longer what was bound here."""
        return self._identity() != self._bound

    def again(self) -> None:
        """Bind again, in a folder that may have to be made. Where that fails, for one because
        another keeper has taken the name, the sockets reach nobody and `lost` stays true."""
        with contextlib.suppress(OSError):
            self._path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        try:
            lock = self._take_lock_anew()
            listener, stops = self._bind()
        except (InputError, KeeperError):
            return
        self.listener.close()
        self.stops.close()
        self._lock, self.listener, self.stops = lock, listener, stops
        self._bound = self._identity()

    def _take_lock_anew(self) -> int:
        """The lock, which is still held unless its file was taken away too."""
        with contextlib.suppress(OSError):
            if os.path.samestat(os.lstat(self._lock_path), os.fstat(self._lock)):
                return self._lock
        lock = self._take_lock()
        os.close(self._lock)
        return lock

    def close(self) -> None:
        """Listen no more; only what was bound here is removed."""
        self.listener.close()
        self.stops.close()
        if not self.lost():
            for path in (self._path, self._stop_path):
                path.unlink(missing_ok=True)
        unlock(self._lock_path, self._lock)
