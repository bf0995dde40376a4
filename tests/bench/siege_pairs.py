"""Keepers of one name started at the same instant: one serves, the other says so."""

from __future__ import annotations

import contextlib
import io
import os
import pty
import signal
import sys
import tempfile
import time
from pathlib import Path

from glossbath.client.launch import answers
from glossbath.keeper import serve


def _child(barrier: int, log: int, port: str) -> None:
    """A keeper in a forked process, begun when the barrier's pipe is closed."""
    sys.argv = ["serve", "twin", "--port", port]
    os.dup2(log, 2)
    sys.stderr = io.TextIOWrapper(io.FileIO(2, "w", closefd=False), line_buffering=True)
    os.read(barrier, 1)
    code = 0
    try:
        serve.main()
    except SystemExit as error:
        code = int(error.code or 0)
    except BaseException as error:
        print(f"Traceback {error!r}", file=sys.stderr)
        code = 99
    sys.stderr.flush()
    os._exit(code)


def _pair(port: str, log: Path) -> str:
    """What was wrong with one pair."""
    gate, opener = os.pipe()
    fd = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_APPEND, 0o600)
    children = []
    for _ in range(2):
        child = os.fork()
        if child == 0:
            os.close(opener)
            _child(gate, fd, port)
        children.append(child)
    os.close(gate)
    os.close(opener)
    os.close(fd)
    ended: dict[int, int] = {}
    until = time.monotonic() + 20.0
    while time.monotonic() < until and not (ended and answers("twin")):
        for child in children:
            if child not in ended:
                pid, status = os.waitpid(child, os.WNOHANG)
                if pid:
                    ended[child] = os.waitstatus_to_exitcode(status)
        time.sleep(0.005)
    serves = answers("twin")
    for child in children:
        if child not in ended:
            with contextlib.suppress(ProcessLookupError):
                os.kill(child, signal.SIGTERM)
            os.waitpid(child, 0)
    said = log.read_text()
    if len(ended) != 1:
        return f"{2 - len(ended)} of 2 served: {said[:100]}"
    if list(ended.values()) != [1] or "Traceback" in said:
        return f"exit code {list(ended.values())}: {said[-150:]}"
    if "runs already" not in said and "is held by" not in said:
        return f"no sentence: {said[:100]}"
    return "" if serves else "nobody serves: the socket was taken away"


def run(count: int, minutes: float) -> int:
    """Start so many pairs, or as many as there is time for; prints a row, gives how many were
    wrong."""
    until_s = time.monotonic() + 60 * minutes
    done = 0
    far, near = pty.openpty()
    wrong: dict[str, int] = {}
    with tempfile.TemporaryDirectory(prefix="siege-") as folder:
        os.environ["GLOSSBATH_RUN"] = folder
        while done < count and time.monotonic() < until_s:
            done += 1
            if said := _pair(os.ttyname(near), Path(folder) / "said"):
                wrong[said] = wrong.get(said, 0) + 1
        del os.environ["GLOSSBATH_RUN"]
    os.close(far)
    os.close(near)
    print(f"{'pairs started at the same instant':40} {done:4} trials, {sum(wrong.values())} wrong")
    for sentence, times in wrong.items():
        print(f"    {times} times: {sentence}")
    return sum(wrong.values())
