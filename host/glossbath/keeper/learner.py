"""Has a cycle that has ended teach what its rig is, in a process of its own.

The fit takes up to a minute of a small computer and needs nothing of the keeper, which goes on
with its rig meanwhile. Whatever happens to that process, the next cycle has the model it had.
"""

from __future__ import annotations

import subprocess
import sys
import time

LIMIT_S = 900.0
_MODULE = "glossbath.process.learning"


class Learner:
    """One lesson at a time."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[str] | None = None
        self._until_s = 0.0

    def begin(self, folder: str, rig: str) -> None:
        """Have the record in folder teach the rig's model; never waits. A lesson that still runs
        is not disturbed, and this cycle then teaches nothing. Raises OSError where no process can
        be started."""
        if self._process is not None:
            return
        self._until_s = time.monotonic() + LIMIT_S
        self._process = subprocess.Popen(
            [sys.executable, "-m", _MODULE, folder, rig],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )

    def news(self) -> str:
        """What was learned, in one sentence, once; else empty. Never waits."""
        process = self._process
        if process is None:
            return ""
        if process.poll() is None:
            if time.monotonic() < self._until_s:
                return ""
            process.kill()
        with process:
            assert process.stdout is not None
            said = process.stdout.read().strip()
        self._process = None
        return said.splitlines()[-1] if said else "Nothing was learned from the last cycle."
