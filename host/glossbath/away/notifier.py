"""The process that tells: python -m glossbath.away.notifier [--stay].

One thread looks at the rigs, one has the letters sent, a few send. It never steers. Without --stay
it ends by itself when there has been no rig for a while and nothing waits to be told.
"""

from __future__ import annotations

import argparse
import signal
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import datetime

from glossbath.client import away_status
from glossbath.errors import GlossbathError, KeeperError
from glossbath.view.choices import kept_choices

from . import targets as addresses
from .alone import only_one
from .heartbeat import Heartbeat
from .notice import Notices
from .outbox import Letter, Outbox, urgency, words
from .rigs import Rigs
from .targets import Settings, Target

LOOK_S = 0.5
IDLE_S = 600.0
SENDERS = 4

Deliver = Callable[[Target, str, str, str], bool]


class Notifier:
    """Looks at rigs and tells targets. deliver may block for as long as a network does."""

    def __init__(self, rigs: Rigs, read: Callable[[], Settings], deliver: Deliver) -> None:
        self._rigs = rigs
        self._read = read
        self._deliver = deliver
        self._notices = Notices()
        self._outbox = Outbox()
        self._heartbeat = Heartbeat()
        self._pool = ThreadPoolExecutor(SENDERS, thread_name_prefix="tell")
        self._sent: list[tuple[Letter, Future[bool]]] = []
        self.busy_at_s = time.monotonic()
        """When there last was a rig to look at or something to tell."""

    def step(self, now_s: float, now: datetime) -> None:
        """Look once, and have sent what is due. Does not wait for a network."""
        settings = self._read()
        rigs = self._rigs.look(now_s)
        for notice in self._notices.new(rigs):
            self._outbox.add(notice, list(settings.targets), now_s, now)
        self._collect(now_s)
        for letter in self._outbox.take_due(now_s, now):
            title, text = words(letter, now)
            task = self._pool.submit(self._deliver, letter.target, title, text, urgency(letter))
            self._sent.append((letter, task))
        healthy = not any(rig.lost_in_a_cycle for rig in rigs)
        self._heartbeat.step(settings.heartbeat if healthy else "", now_s)
        if rigs or len(self._outbox) or self._sent:
            self.busy_at_s = now_s
        self._report(settings)

    def close(self) -> None:
        """End; what is being sent gets a moment."""
        self._pool.shutdown(wait=False, cancel_futures=True)
        self._rigs.close()
        away_status.remove(away_status.NOTIFIER)

    def _collect(self, now_s: float) -> None:
        """Settle the letters whose sending has ended."""
        for letter, task in [each for each in self._sent if each[1].done()]:
            self._sent.remove((letter, task))
            self._outbox.settle(letter, not task.exception() and task.result(), now_s)

    def _report(self, settings: Settings) -> None:
        """What a screen shows of this process."""
        failing = self._outbox.failing_since
        names = {target.name: target.shown for target in settings.targets}
        away_status.write(
            away_status.NOTIFIER,
            away_status.AwayStatus(
                targets=len(settings.targets),
                delivered=self._outbox.delivered,
                waiting=len(self._outbox) + len(self._sent),
                not_delivered={
                    names.get(name, name): since.strftime("%H:%M")
                    for name, since in failing.items()
                },
                heartbeat=self._heartbeat.problem,
            ),
        )


def main() -> None:
    """Tell until told to end, or until there is nothing left to look at."""
    parser = argparse.ArgumentParser(prog="glossbath.away.notifier")
    parser.add_argument("--stay", action="store_true", help="do not end when idle")
    stay = parser.parse_args().stay
    stop = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(number, lambda *_: stop.set())
    try:
        with only_one(away_status.NOTIFIER):
            run(stop, stay)
    except KeeperError as error:
        sys.exit(str(error))
    # A sender that waits for a network must not keep the process alive.
    sys.stderr.flush()


def run(stop: threading.Event, stay: bool) -> None:
    """Look and tell until stop is set, or until idle where it need not stay."""
    last = Settings()

    def settings() -> Settings:
        nonlocal last
        try:
            last = addresses.read()
        except GlossbathError as error:
            print(error, file=sys.stderr)
        return last

    rigs = Rigs(fahrenheit=kept_choices().fahrenheit)
    notifier = Notifier(rigs, settings, addresses.deliver)
    try:
        while not stop.is_set():
            now_s = time.monotonic()
            notifier.step(now_s, datetime.now())
            if not stay and now_s - notifier.busy_at_s > IDLE_S:
                return
            stop.wait(LOOK_S)
    finally:
        notifier.close()


if __name__ == "__main__":
    main()
