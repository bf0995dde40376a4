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

from .failed import LAST_STOPS_MS
from .hook import Hook
from .keeper import Keeper
from .learner import Learner
from .server import Server
from .sleep_inhibitor import SleepInhibitor

IDLE_S = 300.0
MEET_S = 25.0
"""A board answers within a second or two of its start; a port that never does is the wrong one."""
NEVER_MET = "No board answered at this port: check the cable, the port and the firmware."
FAILED_CODE = 3
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


class _Life:
    """How long a keeper's process goes on, by the computer's own clock."""

    def __init__(self, keeper: Keeper, server: Server, stay: bool) -> None:
        self._keeper = keeper
        self._server = server
        self._stay = stay
        self._began_s = self._busy_s = time.monotonic()

    def why_end(self) -> str:
        """Why the keeper is to end now; empty while it goes on."""
        now_s = time.monotonic()
        if self._keeper.over:
            return self._keeper.failure or "closed"
        if not self._keeper.met and not self._stay and now_s - self._began_s > MEET_S:
            return NEVER_MET
        if self._server.clients or self._keeper.running:
            self._busy_s = now_s
        return "" if self._stay or now_s - self._busy_s <= IDLE_S else "idle"


def _run(keeper: Keeper, link: Link, clock: Clock, life: _Life, stop: threading.Event) -> str:
    """Step the keeper until it is to end; gives the reason."""
    awake, was_running = SleepInhibitor(), False
    why = ""
    while not stop.is_set() and not (why := life.why_end()):
        clock.wait(link.caught_up, link.written)
        keeper.step()
        running = keeper.running
        if running and not was_running and not clock.virtual:
            keeper.mention("awake", awake.ask())
        elif was_running and not running:
            awake.release()
        was_running = running
    return why


def _stop_first(keeper: Keeper, link: Link, clock: Clock) -> None:
    """Go on until the board has confirmed the stop, for a bounded time."""
    until_ms = clock.now_ms() + LAST_STOPS_MS
    while keeper.stop_to_end() and clock.now_ms() < until_ms:
        clock.wait(link.caught_up, link.written)
        keeper.step()


def _parts(arguments: argparse.Namespace) -> tuple[Hook | None, Server, Clock, Link]:
    """What a keeper needs; raises GlossbathError where it cannot be had."""
    hook = Hook(arguments.hook, _log) if arguments.hook else None
    server = Server(socket_path(arguments.rig))
    try:
        clock: Clock = SteppedClock(arguments.clock) if arguments.clock else RealClock()
        owner = f"the keeper of rig '{arguments.rig}'"
        link = Link(arguments.port, clock, not arguments.no_dtr, owner)
        if not arguments.clock and not link.open() and link.taken:
            raise KeeperError(link.obstacle)
    except GlossbathError:
        server.close()
        raise
    return hook, server, clock, link


def main() -> None:
    """Run a keeper until it is told to end. Exit code 3: its own program failed."""
    os.umask(0o077)  # socket, log and record are this user's alone, whatever the shell says
    arguments = _arguments()
    stop = threading.Event()
    told = ""

    def obey(number: int, frame: FrameType | None) -> None:
        nonlocal told
        told = signal.Signals(number).name
        stop.set()

    for number in (signal.SIGTERM, signal.SIGHUP, signal.SIGINT):
        signal.signal(number, obey)
    try:
        hook, server, clock, link = _parts(arguments)
    except GlossbathError as error:
        print(error, file=sys.stderr)
        sys.exit(error.exit_code)
    cycles = arguments.cycles or default_folder()
    keeper = Keeper(
        link, clock, arguments.rig, cycles, server.publish, arguments.speed, hook, Learner()
    )
    server.keeper = keeper
    serving = threading.Thread(target=server.run, daemon=True)
    serving.start()
    try:
        reason = _run(keeper, link, clock, _Life(keeper, server, arguments.stay), stop) or told
        _stop_first(keeper, link, clock)
    except KeeperError as error:
        reason = str(error)
    badly = bool(keeper.failure) or reason == NEVER_MET
    if badly:
        _log(reason)  # before the clients are let go, since they tell it on
    keeper.shut_down(reason)
    if hook is not None:
        hook.close(_HOOK_PATIENCE_S)
    server.end()
    serving.join(1.0)
    server.close()
    if badly:
        sys.exit(FAILED_CODE if keeper.failure else 1)


if __name__ == "__main__":
    main()
