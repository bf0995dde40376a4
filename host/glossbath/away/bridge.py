"""The process that brings the rigs of one computer to a broker: glossbath bridge --broker URL.

It only publishes; it subscribes to nothing, so no message can order anything. While the broker is
away what it would have said waits on disk.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from glossbath.errors import GlossbathError

from .broker import Broker
from .rigs import Rigs
from .spool import Spool
from .topics import AT_LEAST_ONCE, Composer, Post

LOOK_S = 0.25
IN_FLIGHT = 200
"""Messages that a broker has been given and has not acknowledged."""
KEEPALIVE_S = 20

Say = Callable[[str], None]


class Bridge:
    """Publishes what rigs say. connect() first; step() again and again; close() last.

    say is called with one sentence whenever the broker comes or goes.
    """

    def __init__(self, rigs: Rigs, broker: Broker, computer: str, spool: Path, say: Say) -> None:
        self._rigs = rigs
        self._broker = broker
        self._say = say
        self._composer = Composer(computer)
        self._spool = Spool(spool)
        self._lock = threading.Lock()
        self._in_flight: dict[int, Post] = {}
        self._early: set[int] = set()
        self.online = False
        self.sent = 0
        self._said = ""
        self._client = self._made(broker)

    def _made(self, broker: Broker) -> Any:
        client = broker.client(f"glossbath-{self._composer.computer}", self._say_once)
        client.max_inflight_messages_set(IN_FLIGHT)
        client.on_connect = self._on_connect
        client.on_disconnect = self._on_disconnect
        client.on_publish = self._on_publish
        will = self._composer.presence(False, datetime.now(UTC))
        client.will_set(will.topic, will.payload, AT_LEAST_ONCE, will.retain)
        return client

    def connect(self) -> None:
        """Begin to reach the broker; goes on trying for as long as the bridge runs."""
        self._client.connect_async(self._broker.host, self._broker.port, KEEPALIVE_S)
        self._client.loop_start()

    def step(self, now_s: float, now: datetime) -> None:
        """Look once and hand on what is new; what cannot be handed on now waits on disk."""
        posts = list(self._composer.posts(self._rigs.look(now_s), now_s, now))
        if not self.online or len(self._spool):
            self._spool.put(posts)
            posts = self._spool.take(self._room()) if self.online else []
        room = self._room()
        self._spool.put(posts[room:])
        for post in posts[:room]:
            self._publish(post)

    def close(self) -> None:
        """Say farewell; what the broker has not acknowledged waits on disk for the next time."""
        if self.online:
            self._publish(self._composer.presence(False, datetime.now(UTC)))
            until = time.monotonic() + 2.0
            while self._in_flight and time.monotonic() < until:
                time.sleep(0.02)
        self._client.disconnect()
        self._client.loop_stop()
        self._spool.put(list(self._in_flight.values()))
        self._spool.close()
        self._rigs.close()

    @property
    def waiting(self) -> int:
        """Messages that no broker has acknowledged."""
        return len(self._spool) + len(self._in_flight)

    def _room(self) -> int:
        return max(0, IN_FLIGHT - len(self._in_flight))

    def _publish(self, post: Post) -> None:
        info = self._client.publish(post.topic, post.payload, AT_LEAST_ONCE, post.retain)
        with self._lock:
            # The acknowledgement may be faster than this thread.
            if info.mid in self._early:
                self._early.discard(info.mid)
            else:
                self._in_flight[info.mid] = post

    def _on_publish(self, _client: Any, _data: Any, mid: int, *_: Any) -> None:
        with self._lock:
            self.sent += 1
            if self._in_flight.pop(mid, None) is None:
                self._early.add(mid)

    def _on_connect(self, _client: Any, _data: Any, _flags: Any, reason: Any, _: Any) -> None:
        if reason.is_failure:
            self._say_once(f"The broker {self._broker} refuses: {reason}.")
            return
        self.online, self._said = True, ""
        self._publish(self._composer.presence(True, datetime.now(UTC)))
        self._say(f"The broker {self._broker} is there; {len(self._spool)} messages waited.")

    def _say_once(self, sentence: str) -> None:
        """What keeps the bridge from the broker, when it is something new."""
        if sentence != self._said:
            self._said = sentence
            self._say(f"{sentence} It is tried again; messages wait on disk.")

    def _on_disconnect(self, _client: Any, _data: Any, _flags: Any, reason: Any, _: Any) -> None:
        if self.online:
            self._say(f"The broker {self._broker} is away ({reason}); messages wait on disk.")
        self.online = False


def run(bridge: Bridge, stop: threading.Event) -> None:
    """Bring the rigs to the broker until stop is set. Raises GlossbathError."""
    try:
        bridge.connect()
    except (OSError, ValueError) as error:
        raise GlossbathError(f"The broker cannot be reached: {error}.") from error
    try:
        while not stop.wait(LOOK_S):
            bridge.step(time.monotonic(), datetime.now(UTC))
    finally:
        bridge.close()
