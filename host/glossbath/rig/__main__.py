"""The virtual rig as a process: python -m glossbath.rig FOLDER [--speed N] [--wire pty|socket].

Prints one JSON line with the port and the clock's socket, then runs until its standard input ends
or it is told to stop.
"""

from __future__ import annotations

import argparse
import json
import select
import signal
import sys
from pathlib import Path

from .chocolates import KINDS, bowl_of
from .timekeeper import Timekeeper
from .virtual import Options, VirtualRig
from .wire import PtyWire, SocketWire


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="glossbath.rig")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--speed", type=float, default=1.0)
    parser.add_argument("--wire", choices=("pty", "socket"), default="pty")
    parser.add_argument("--cpython", action="store_true", help="run the firmware on CPython")
    parser.add_argument("--chocolate", choices=KINDS, default="dark")
    parser.add_argument("--seed", type=int, default=1)
    return parser.parse_args()


def _obey(rig: VirtualRig) -> bool:
    """Take orders for the virtual hand from standard input; False when it has ended."""
    while select.select([sys.stdin], [], [], 0)[0]:
        line = sys.stdin.readline()
        if not line:
            return False
        words = line.split()
        if words == ["unplug"]:
            rig.wire.unplug()
        elif words == ["plug"]:
            rig.wire.plug()
        elif words == ["hands", "off"]:
            rig.hand.willing = False
    return True


def main() -> None:
    """Run until told to stop."""
    arguments = _arguments()
    for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(number, lambda *_: sys.exit(0))
    folder: Path = arguments.folder
    folder.mkdir(parents=True, exist_ok=True)
    wire = SocketWire() if arguments.wire == "socket" else PtyWire(folder / "port")
    options = Options(
        parameters=bowl_of(arguments.chocolate),
        micropython=not arguments.cpython,
        seed=arguments.seed,
    )
    rig = VirtualRig(folder, wire, options)
    keeper = Timekeeper(folder / "clock", wire, arguments.speed)
    print(json.dumps({"port": wire.port, "clock": str(folder / "clock")}), flush=True)
    try:
        passes = 0
        while True:
            rig.step(keeper)
            passes += 1
            if passes % 20 == 0 and not _obey(rig):
                return
    finally:
        keeper.close()
        rig.close()


if __name__ == "__main__":
    main()
