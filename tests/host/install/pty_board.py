"""A board on a pseudo-terminal that goes away at every reset and comes back, as USB does.

Its firmware is scripted: it greets, and lets other tools in when it is asked to and may. At its
prompt it is MicroPython's unix port over the folder that stands for its flash.
"""

from __future__ import annotations

import contextlib
import os
import select
import subprocess
import sys
import threading
import time
import tty
from collections.abc import Iterator
from pathlib import Path

from glossbath_board.frame import Decoder, encode
from glossbath_board.version import PROTOCOL, VERSION

STAND_IN = Path(__file__).parent / "stand_in"
RUN = "import sys; from micropython_run import run_main; run_main(['micropython'] + sys.argv[1:])"
PICO = "Raspberry Pi Pico with RP2040"
OLD = "0.1.0"


class PtyBoard:
    """One board; port is the name it comes back under. away_s is how long each reset takes."""

    def __init__(self, folder: Path, machine: str = PICO, away_s: float = 0.3) -> None:
        self.flash = folder / "flash"
        self.flash.mkdir(exist_ok=True)
        self.port = str(folder / "port")
        self.machine = machine
        self.away_s = away_s
        self.refuses: dict[str, object] | None = None
        """What its firmware answers to whoever asks to be let in, where it does not let in."""
        self.at_prompt = False
        """Whether it waits at its prompt, as a failed installation may leave it."""
        self.old_folder = ""
        self.phases: list[str] = []
        self._ending = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    @property
    def installed(self) -> bool:
        """Whether there is a firmware to start."""
        return (self.flash / "active").exists()

    @property
    def runs(self) -> str:
        """What the board does now."""
        return self.phases[-1]

    def _run(self) -> None:
        while not self._ending.is_set():
            near, far = os.openpty()
            tty.setraw(far)
            link = Path(self.port)
            link.unlink(missing_ok=True)
            link.symlink_to(os.ttyname(far))
            prompt, self.at_prompt = self.at_prompt or not self.installed, False
            self.phases.append("prompt" if prompt else "firmware")
            try:
                self._prompt(near) if prompt else self._firmware(near)
            finally:
                link.unlink(missing_ok=True)
                os.close(near)
                os.close(far)
            self._ending.wait(self.away_s)

    def _prompt(self, near: int) -> None:
        words = [str(STAND_IN / "raw_prompt.py"), str(STAND_IN), self.machine]
        process = subprocess.Popen(
            [sys.executable, "-I", "-c", RUN, *words],
            stdin=near,
            stdout=near,
            stderr=subprocess.DEVNULL,
            cwd=self.flash,
        )
        while process.poll() is None and not self._ending.is_set():
            time.sleep(0.02)
        process.kill()
        process.wait()

    def _firmware(self, near: int) -> None:
        decoder, number, boot = Decoder("h"), 0, 1000 + len(self.phases)
        active = (self.flash / "active").read_text()
        version = OLD if active == self.old_folder else VERSION
        hello = {"k": "hello", "v": PROTOCOL, "fw": version, "eng": "x", "id": "ab", "rig": "real"}
        while not self._ending.is_set():
            if not select.select([near], [], [], 0.05)[0]:
                continue
            for message in decoder.feed(os.read(near, 4096)):
                answer: dict[str, object] = {"k": "a", "i": message["i"], "ok": 1}
                replies: list[dict[str, object]] = [answer]
                if message["k"] == "hello":
                    replies.append(hello)
                elif message["k"] == "maintain":
                    answer.update(self.refuses or {"v": "idle"})
                for reply in replies:
                    os.write(near, encode({**reply, "n": number, "b": boot}))
                    number += 1
                if message["k"] == "maintain" and not self.refuses:
                    time.sleep(0.1)  # the answer leaves before the reset
                    self.at_prompt = True
                    return

    def start(self) -> None:
        """Power."""
        self._thread.start()
        while not self.phases:
            time.sleep(0.01)

    def stop(self) -> None:
        """Unplug."""
        self._ending.set()
        self._thread.join()


@contextlib.contextmanager
def plugged(board: PtyBoard) -> Iterator[PtyBoard]:
    """A board that has power inside the context."""
    board.start()
    try:
        yield board
    finally:
        board.stop()
