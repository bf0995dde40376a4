"""A virtual rig in real time beside a real keeper process; its heater's true power is the witness.

For tests/bench/siege_processes.py: the rig runs in a thread of the bench, so that its true power
is seen without asking any program; keeper and screens are processes of their own.
"""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from glossbath.cli.demo import begin
from glossbath.client.client import KeeperClient
from glossbath.recipe import dump, load
from glossbath.virtual.timekeeper import Timekeeper
from glossbath.virtual.virtual import Options, VirtualRig
from glossbath.virtual.wire import PtyWire

GLOSSBATH = [sys.executable, "-c", "from glossbath.cli.app import main; main()"]
SERVE = "from glossbath.keeper.serve import main; main()"
RIG = "north"
PATIENCE_S = 60.0
COLD = dump(load("dark").with_hold(600))


class Bench:
    """One rig, its keeper and a folder of its own. heat is (ms of the rig's time, share) for each
    pass: on a busy computer the rig is slower than the wall clock."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.runtime = folder / "run"
        self.runtime.mkdir(mode=0o700)
        self.cycles = folder / "cycles"
        self.environment = {
            **os.environ,
            "GLOSSBATH_RUN": str(self.runtime),
            "XDG_DATA_HOME": str(folder / "data"),
            "XDG_CONFIG_HOME": str(folder / "config"),
        }
        self.wire = PtyWire(folder / "port")
        self.rig = VirtualRig(folder / "world", self.wire, Options())
        self.heat: list[tuple[int, float]] = []
        self.keeper: subprocess.Popen[str] | None = None
        self.record = ""
        self._timekeeper = Timekeeper(folder / "clock", self.wire, 1.0)
        self._ending = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while not self._ending.is_set():
            self.rig.step(self._timekeeper)
            self.heat.append((self.rig.now_ms, self.rig.heat_share))

    def start_keeper(
        self, code: str = SERVE, limits: Callable[[], None] | None = None, cycles: str = ""
    ) -> None:
        """A keeper at the rig's port; code is what its Python runs, limits are set before that."""
        words = ("--port", self.wire.port, "--cycles", cycles or str(self.cycles))
        self.keeper = subprocess.Popen(
            [*(sys.executable, "-c", code, RIG), *words],
            env=self.environment,
            preexec_fn=limits,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        self.until(lambda: (self.runtime / f"{RIG}.keeper").exists(), "keeper")

    def client(self) -> KeeperClient:
        """A client of it."""
        return KeeperClient(self.runtime / f"{RIG}.keeper")

    def start_cycle(self) -> None:
        """Start a cycle and wait until heat flows."""
        with self.client() as client:
            self.record = begin(client, recipe=COLD, where="dark", batch_kg=1.0)
        self.until(lambda: self.heating(), "heat")

    def heating(self, within_s: float = 3.0) -> bool:
        """Whether heat flowed in the last seconds."""
        since = self.rig.now_ms - round(within_s * 1000)
        return any(share > 0 for at, share in self.heat[-50:] if at >= since)

    def heat_ended_s(self, after_ms: int, watch_s: float) -> float:
        """How long after a moment the last heat flowed, looked at for watch_s; 0 for none."""
        self.until(lambda: self.rig.now_ms >= after_ms + watch_s * 1000, "the end of the watch")
        late = [at - after_ms for at, share in self.heat if share > 0 and at > after_ms]
        return max(late, default=0) / 1000

    def typed(self, *words: str, **more: str) -> subprocess.CompletedProcess[str]:
        """A command in a terminal of its own."""
        return subprocess.run(
            [*GLOSSBATH, *words],
            env={**self.environment, **more},
            capture_output=True,
            text=True,
            timeout=PATIENCE_S,
            check=False,
        )

    def stop(self) -> tuple[bool, str]:
        """glossbath stop from a second terminal: whether confirmed, and its sentence."""
        done = self.typed("stop", "--rig", RIG, "--json")
        try:
            told: dict[str, Any] = json.loads(done.stdout)
        except ValueError:
            return False, (done.stderr or done.stdout).strip()
        return bool(told["confirmed"]), str(told["text"])

    def until(self, reached: Callable[[], object], what: str) -> None:
        """Wait for something; raises TimeoutError."""
        end = time.monotonic() + PATIENCE_S
        while not reached():
            if time.monotonic() > end:
                raise TimeoutError(f"{what} did not come")
            time.sleep(0.05)

    def close(self) -> None:
        """End everything."""
        if self.keeper is not None:
            with contextlib.suppress(ProcessLookupError):
                self.keeper.kill()
            self.keeper.communicate()
        self._ending.set()
        self._thread.join(15.0)
        self._timekeeper.close()
        self.rig.close()


@contextlib.contextmanager
def bench(**keeper: Any) -> Iterator[Bench]:
    """A rig whose keeper waits for a cycle."""
    with tempfile.TemporaryDirectory(prefix="siege-") as folder:
        made = Bench(Path(folder))
        try:
            made.start_keeper(**keeper)
            yield made
        finally:
            made.close()
