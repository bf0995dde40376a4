"""A keeper in this process whose board and clock are moved by hand, behind its real socket.

The board takes every order and does what it is told; the rig is invented.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from glossbath.client.client import KeeperClient
from glossbath.client.messages import Event, Message, Reply, Snapshot
from glossbath.keeper.keeper import Keeper
from glossbath.keeper.server import Server
from glossbath.recipe import dump, load

BOOT = 99


class HandClock:
    """Clocks that stand until they are moved."""

    virtual = True

    def __init__(self) -> None:
        self.time_ms = 0

    def now_ms(self) -> int:
        return self.time_ms

    def boot_ms(self) -> int:
        return self.time_ms

    def wall_ns(self) -> int:
        return (1_800_000_000_000 + self.time_ms) * 1_000_000

    def wait(self, caught_up: Callable[[int], None], written: Callable[[], int]) -> None:
        raise AssertionError("the test steps the keeper itself")

    def opened(self) -> None:
        pass

    def wake(self) -> None:
        pass


class HandBoard:
    """Stands where the link does: takes orders, answers, and reports what the test says."""

    connected = True
    good = bad = lost = 0
    opened_count = 1

    def __init__(self) -> None:
        self.orders: list[dict[str, Any]] = []
        self.refusal: dict[str, Any] = {}
        """What every start is refused with; empty to take it."""
        self.state = "idle"
        self.phase = 0
        self._said: list[dict[str, Any]] = []

    def open(self) -> bool:
        return True

    def close(self) -> None:
        pass

    def drain(self) -> list[dict[str, Any]]:
        said, self._said = self._said, []
        return said

    def send(self, message: dict[str, Any], alone: bool = False) -> bool:
        self.orders.append(message)
        kind = message["k"]
        answer = {"k": "a", "b": BOOT, "i": message.get("i"), "ok": 1}
        if kind == "hello":
            self._said.append(
                {
                    "k": "hello",
                    "v": 1,
                    "b": BOOT,
                    "eng": "stand-in",
                    "id": "hand",
                    "fw": "0",
                    "rig": "real",
                }
            )
        elif kind == "start" and self.refusal:
            answer |= {"ok": 0, **self.refusal}
        elif kind in ("start", "resume", "hold", "stop", "clear"):
            became = {"hold": "held", "stop": "stopped", "clear": "idle"}
            self.state = became.get(kind, "running")
        elif kind == "step":
            self.phase = message["to"]
        if kind in ("stop", "clear"):
            answer["v"] = self.state
        self._said.append(answer)
        return True

    def report(self, time_ms: int, chocolate_c: float = 30.5) -> None:
        """Say a reading."""
        reading = {"k": "r", "b": BOOT, "t": time_ms, "c": round(chocolate_c * 1000)}
        reading |= {"w": 32_000, "y": 33_000, "h": 0, "x": 0, "s": 500}
        reading |= {"st": self.state, "ph": self.phase, "pt": 0, "d": 0}
        self._said.append(reading)


class HandKeeper:
    """The keeper, its board, its clock and its socket."""

    def __init__(self, folder: Path) -> None:
        self.board, self.clock = HandBoard(), HandClock()
        self.published: list[Message] = []
        self.heard: dict[KeeperClient, list[Message]] = {}
        """Everything each client was told."""
        self._server = Server(folder / "hand.keeper")
        self.path = self._server.path
        self.keeper = Keeper(
            self.board,  # type: ignore[arg-type]
            self.clock,
            "hand",
            folder / "cycles",
            self._publish,
        )
        self._server.keeper = self.keeper
        self._serving = threading.Thread(target=self._server.run, daemon=True)
        self._serving.start()
        self.pass_time(1)

    def _publish(self, message: Message) -> None:
        self.published.append(message)
        self._server.publish(message)

    def pass_time(self, seconds: int, chocolate_c: float = 30.5) -> None:
        """Let time pass, with a reading and a step each second."""
        for _ in range(seconds):
            self.clock.time_ms += 1_000
            self.board.report(self.clock.time_ms, chocolate_c)
            self.keeper.step()

    def client(self, steer: bool = False) -> KeeperClient:
        """A connected client; whatever it asked for when connecting is done."""
        client = KeeperClient(self.path, steer=steer)
        self.ask(client, "acknowledge")
        return client

    def ask(self, client: KeeperClient, op: str, **values: Any) -> Reply:
        """A client's order over the socket, and its answer."""
        number = client.post(op, **values)
        found = self.seen(client, lambda m: isinstance(m, Reply) and m.id == number)
        assert isinstance(found, Reply)
        return found

    def seen(self, client: KeeperClient, wanted: Callable[[Message], bool]) -> Message:
        """The first message that is wanted, stepping the keeper meanwhile."""
        for _ in range(500):
            self.keeper.step()
            client.wait(0.02)
            messages = client.drain()
            self.heard.setdefault(client, []).extend(messages)
            for message in messages:
                if wanted(message):
                    return message
        raise AssertionError("it never came")

    def until_free(self) -> None:
        """Wait until the socket's thread has noticed that the one who steered has gone."""
        for _ in range(500):
            if self.keeper.steering.by is None:
                return
            self.client().close()  # by the time it is served the thread has looked around
        raise AssertionError("somebody still steers")

    def steers(self, client: KeeperClient) -> bool:
        """What the newest snapshot says to a client."""
        self._publish(self.keeper.snapshot())
        self.keeper.mention("look", "A look.")
        newest: list[Snapshot] = []

        def take(message: Message) -> bool:
            if isinstance(message, Snapshot):
                newest[:] = [message]
            return isinstance(message, Event) and message.code == "look"

        self.seen(client, take)
        return newest[0].steering

    def start(self, client: KeeperClient, hold_s: float = 600.0) -> Reply:
        """Start dark chocolate."""
        text = dump(load("dark").with_hold(hold_s))
        return self.ask(client, "start", recipe=text, where="dark", batch_kg=1.0)

    def close(self) -> None:
        """End everything."""
        self.keeper.shut_down("test over")
        self._server.ending = True
        self._serving.join(5.0)
        self._server.close()


@contextlib.contextmanager
def hand_keeper(folder: Path) -> Iterator[HandKeeper]:
    """A HandKeeper that ends with the context."""
    made = HandKeeper(folder)
    try:
        yield made
    finally:
        made.close()
