"""A keeper in this process whose board and clock are moved by hand, behind its real socket.

The board takes every order and does what it is told; the rig is invented.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from hand_clock import HandClock
from patience import PATIENCE_S, until
from stand_in_board import StandInBoard

from glossbath.client.client import KeeperClient
from glossbath.client.messages import Event, Message, Reply, Snapshot
from glossbath.keeper.keeper import Keeper
from glossbath.keeper.server import Server
from glossbath.recipe import dump, load


class HandKeeper:
    """The keeper, its board, its clock and its socket."""

    def __init__(self, folder: Path) -> None:
        self.board, self.clock = StandInBoard(), HandClock()
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
            self.clock.ms += 1_000
            self.board.values["c"] = round(chocolate_c * 1000)
            self.board.second()
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
        found: list[Message] = []

        def look() -> bool:
            self.keeper.step()
            client.wait(0.02)
            messages = client.drain()
            self.heard.setdefault(client, []).extend(messages)
            found.extend(message for message in messages if wanted(message))
            return bool(found)

        until(look)
        return found[0]

    def until_free(self) -> None:
        """Wait until the socket's thread has noticed that the one who steered has gone."""
        # By the time another client is served the socket's thread has looked around.
        until(lambda: self.keeper.steering.by is None, lambda: self.client().close())

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
        self._serving.join(PATIENCE_S)
        self._server.close()


@contextlib.contextmanager
def hand_keeper(folder: Path) -> Iterator[HandKeeper]:
    """A HandKeeper that ends with the context."""
    made = HandKeeper(folder)
    try:
        yield made
    finally:
        made.close()
