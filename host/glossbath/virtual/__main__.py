"""The virtual rig as a process: python -m glossbath.virtual FOLDER [--speed N] [--wire pty].

Prints one JSON line with the port and the clock's socket, then runs until its standard input ends
or it is told to stop.
"""

from __future__ import annotations

import argparse
import json
import os
import select
import signal
import sys
from dataclasses import replace
from pathlib import Path

from .chocolates import KINDS, bowl_of
from .hands import obey
from .timekeeper import Timekeeper
from .virtual import Options, VirtualRig
from .wire import PtyWire, SocketWire

_NICENESS = 5
"""A rig that is watched gives way to the screen before it."""
_LISTEN_PASSES = 4  # about a second of the rig's time


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="glossbath.virtual")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--speed", type=float, default=1.0)
    parser.add_argument("--wire", choices=("pty", "socket"), default="pty")
    parser.add_argument("--cpython", action="store_true", help="run the firmware on CPython")
    parser.add_argument("--chocolate", choices=KINDS, default="dark")
    parser.add_argument("--batch", type=float, default=1.0, help="kg of chocolate")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--blank", action="store_true", help="a rig that was never commissioned")
    return parser.parse_args()


class Orders:
    """Lines for the virtual hands from standard input; ended once it has been closed."""

    def __init__(self) -> None:
        self._heard = b""
        self.ended = False

    def lines(self) -> list[str]:
        """The whole lines that have come since the last call."""
        while not self.ended and select.select([0], [], [], 0)[0]:
            data = os.read(0, 4096)
            self.ended = not data
            self._heard += data
        *lines, self._heard = self._heard.split(b"\n")
        return [line.decode(errors="replace").strip() for line in lines]


def main() -> None:
    """Run until told to stop."""
    arguments = _arguments()
    for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(number, lambda *_: sys.exit(0))
    folder: Path = arguments.folder
    folder.mkdir(parents=True, exist_ok=True)
    if arguments.speed > 0:
        os.nice(_NICENESS)
    wire = SocketWire() if arguments.wire == "socket" else PtyWire(folder / "port")
    options = Options(
        parameters=replace(bowl_of(arguments.chocolate), chocolate_kg=arguments.batch),
        micropython=not arguments.cpython,
        seed=arguments.seed,
        commissioned=not arguments.blank,
    )
    rig = VirtualRig(folder, wire, options)
    keeper = Timekeeper(folder / "clock", wire, arguments.speed)
    print(json.dumps({"port": wire.port, "clock": str(folder / "clock")}), flush=True)
    try:
        passes = 0
        orders = Orders()
        while not orders.ended:
            rig.step(keeper)
            passes += 1
            if passes % _LISTEN_PASSES == 0:
                for line in orders.lines():
                    obey(rig, line)
    finally:
        keeper.close()
        rig.close()


if __name__ == "__main__":
    main()
