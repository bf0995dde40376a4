"""The keeper as a process: python -m glossbath.keeper.serve RIG --port PORT.

One thread steps the keeper, one serves the clients of its Unix socket (mode 0600). It ends when
told to, when asked by a client, or when it has had neither cycle nor client for a while.
"""

from __future__ import annotations

import argparse
import os
import signal
import sys
import threading
import time
from pathlib import Path
from types import FrameType

from glossbath.board.clock import Clock, RealClock, SteppedClock
from glossbath.board.link import Link
from glossbath.client.paths import socket_path
from glossbath.errors import GlossbathError, KeeperError
from glossbath.record import default_folder

from .hook import Hook
from .keeper import Keeper
from .server import Server
from .sleep_inhibitor import SleepInhibitor

IDLE_S = 300.0
_HOOK_PATIENCE_S = 5.0  # a keeper that ends gives the last command this long


def _log(line: str) -> None:
    """A line for the keeper's log, which is its standard error."""
    print(line, file=sys.stderr, flush=True)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="glossbath.keeper.serve")
    parser.add_argument("rig")
    parser.add_argument("--port", required=True)
    parser.add_argument("--cycles", type=Path, default=None)
    parser.add_argument("--clock", type=Path, default=None)
    parser.add_argument("--speed", type=float, default=1.0)
    parser.add_argument("--no-dtr", action="store_true")
    parser.add_argument(
        "--hook",
        default=os.environ.get("GLOSSBATH_HOOK", ""),
        help="command to run on a trip and at the end of a cycle",
    )
    parser.add_argument("--stay", action="store_true", help="do not end when idle")
    return parser.parse_args()


def _run(
    keeper: Keeper, link: Link, clock: Clock, server: Server, stop: threading.Event, stay: bool
) -> None:
    busy_at = time.monotonic()
    awake, was_running = SleepInhibitor(), False
    while not stop.is_set() and not keeper.closing:
        clock.wait(link.caught_up, link.written)
        keeper.step()
        running = keeper.batch is not None and keeper.batch.running
        if running and not was_running and not clock.virtual:
            keeper.mention("awake", awake.ask())
        elif was_running and not running:
            awake.release()
        was_running = running
        if server.clients or running:
            busy_at = time.monotonic()
        if not stay and time.monotonic() - busy_at > IDLE_S:
            return


def main() -> None:
    """Run a keeper until it is told to end."""
    arguments = _arguments()
    stop = threading.Event()
    reason = "closed"

    def obey(number: int, frame: FrameType | None) -> None:
        nonlocal reason
        reason = signal.Signals(number).name
        stop.set()

    for number in (signal.SIGTERM, signal.SIGHUP, signal.SIGINT):
        signal.signal(number, obey)
    hook: Hook | None = None
    try:
        if arguments.hook:
            hook = Hook(arguments.hook, _log)
        server = Server(socket_path(arguments.rig))
        clock: Clock = SteppedClock(arguments.clock) if arguments.clock else RealClock()
    except GlossbathError as error:
        print(error, file=sys.stderr)
        sys.exit(error.exit_code)
    owner = f"the keeper of rig '{arguments.rig}'"
    link = Link(arguments.port, clock, not arguments.no_dtr, owner)
    cycles = arguments.cycles or default_folder()
    keeper = Keeper(link, clock, arguments.rig, cycles, server.publish, arguments.speed, hook)
    server.keeper = keeper
    serving = threading.Thread(target=server.run, daemon=True)
    serving.start()
    try:
        _run(keeper, link, clock, server, stop, arguments.stay)
    except KeeperError as error:
        reason = str(error)
    keeper.shut_down(reason)
    if hook is not None:
        hook.close(_HOOK_PATIENCE_S)
    server.ending = True
    serving.join(1.0)
    server.close()


if __name__ == "__main__":
    main()
