"""Runs a command of the user's choice when the rig trips or a cycle ends.

One thread runs the commands one after another, so the keeper never waits for them. A command gets
no shell; what happened is appended to its words and put into its environment:

    prog arg EVENT RIG CODE SENTENCE
    GLOSSBATH_EVENT     trip or end
    GLOSSBATH_RIG       the rig's name
    GLOSSBATH_CODE      the cut-off's code, or complete, stopped, tripped
    GLOSSBATH_TEXT      what happened, in one sentence
    GLOSSBATH_VIRTUAL   1 when no real rig was there, else 0
    GLOSSBATH_RECIPE    the recipe's name
    GLOSSBATH_FOLDER    the cycle's record, or empty
"""

from __future__ import annotations

import contextlib
import os
import queue
import selectors
import shlex
import shutil
import signal
import subprocess
import threading
import time
from collections.abc import Callable
from typing import NamedTuple

from glossbath.errors import InputError

LIMIT_S = 30.0
MOST_WAITING = 16
MOST_OUTPUT = 20_000  # bytes of one command's output that go to the log
_LOOK_S = 0.1

Log = Callable[[str], None]


class Occasion(NamedTuple):
    """What the command is told."""

    event: str
    rig: str
    code: str
    text: str
    virtual: bool
    recipe: str
    folder: str

    def environment(self) -> dict[str, str]:
        """The facts as variables."""
        return {
            "GLOSSBATH_EVENT": self.event,
            "GLOSSBATH_RIG": self.rig,
            "GLOSSBATH_CODE": self.code,
            "GLOSSBATH_TEXT": self.text,
            "GLOSSBATH_VIRTUAL": "1" if self.virtual else "0",
            "GLOSSBATH_RECIPE": self.recipe,
            "GLOSSBATH_FOLDER": self.folder,
        }


def command_words(command: str) -> list[str]:
    """The words of a command line; raises InputError for one that cannot be run."""
    try:
        words = shlex.split(command)
    except ValueError as error:
        raise InputError(f"The hook {command!r} cannot be split into words: {error}.") from error
    if not words:
        raise InputError("The hook is empty: name a program, or leave the option out.")
    found = shutil.which(words[0])
    if found is None:
        raise InputError(
            f"The hook's program {words[0]!r} is not found or not executable: give its whole path."
        )
    return [found, *words[1:]]


class Hook:
    """Runs one command for each occasion. log takes lines for the keeper's log, from any thread.

    Raises InputError when the command cannot be run.
    """

    def __init__(self, command: str, log: Log, limit_s: float = LIMIT_S) -> None:
        self._words = command_words(command)
        self._log = log
        self._limit_s = limit_s
        self._waiting: queue.Queue[Occasion] = queue.Queue(MOST_WAITING)
        self._failures: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._run, name="hook", daemon=True)
        self._thread.start()

    def call(self, occasion: Occasion) -> None:
        """Have the command run; never waits."""
        try:
            self._waiting.put_nowait(occasion)
        except queue.Full:
            self._failures.put(f"{MOST_WAITING} calls of it wait already")

    def failures(self) -> list[str]:
        """What went wrong since the last call; never waits."""
        failures = []
        with contextlib.suppress(queue.Empty):
            while True:
                failures.append(self._failures.get_nowait())
        return failures

    def close(self, timeout_s: float) -> None:
        """Give commands that wait or run this long to end."""
        until = time.monotonic() + timeout_s
        while self._waiting.unfinished_tasks and time.monotonic() < until:
            time.sleep(_LOOK_S / 10)

    def _run(self) -> None:
        while True:
            occasion = self._waiting.get()
            try:
                failure = self._once(occasion)
            except Exception as error:
                # Whatever a command does, the next one must still run.
                failure = str(error)
            if failure:
                self._log(f"hook: {failure}")
                self._failures.put(failure)
            self._waiting.task_done()

    def _once(self, occasion: Occasion) -> str:
        """Run the command; returns why it failed, or an empty text."""
        facts = [occasion.event, occasion.rig, occasion.code, occasion.text]
        process = subprocess.Popen(
            [*self._words, *facts],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            start_new_session=True,
            env={**os.environ, **occasion.environment()},
        )
        with process:
            code = self._hear_out(process)
        if code is None:
            return f"it took longer than {self._limit_s:g} s and was ended"
        return f"exit code {code}" if code else ""

    def _hear_out(self, process: subprocess.Popen[bytes]) -> int | None:
        """Log what it prints until it ends; its exit code, None if it had to be ended."""
        assert process.stdout is not None
        until = time.monotonic() + self._limit_s
        output = _Output(process.stdout.fileno(), self._log)
        with selectors.DefaultSelector() as selector:
            selector.register(output.fd, selectors.EVENT_READ)
            while process.poll() is None and time.monotonic() < until:
                if selector.select(_LOOK_S) and not output.copy():
                    time.sleep(_LOOK_S)  # it is closed: nothing to wait on but the end
        code = process.poll()
        if code is None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
        output.copy()
        output.end()
        return code


class _Output:
    """What a command prints, brought to the log in whole lines as far as there is room."""

    def __init__(self, fd: int, log: Log) -> None:
        self.fd = fd
        os.set_blocking(fd, False)
        self._log = log
        self._room = MOST_OUTPUT
        self._pending = b""

    def copy(self) -> bool:
        """Log the lines that are there to read; False when no more will come."""
        try:
            data = os.read(self.fd, 65536)
        except BlockingIOError:
            return True
        *lines, self._pending = (self._pending + data[: max(0, self._room)]).split(b"\n")
        self._room -= len(data)
        for line in lines:
            self._log(line.decode(errors="replace"))
        return bool(data)

    def end(self) -> None:
        """Log what has no line end."""
        if self._pending:
            self._log(self._pending.decode(errors="replace"))
