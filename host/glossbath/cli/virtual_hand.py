"""The hand of a virtual kitchen: adds the seed that a cycle on the virtual rig asks for.

Nothing is told to the keeper: it has to see the seed by its heat, as on a real rig.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Iterator

from glossbath.client.client import KeeperClient
from glossbath.client.launch import connect
from glossbath.client.messages import Event
from glossbath.errors import KeeperError

LOOK_S = 0.05


@contextlib.contextmanager
def helping(rig: str, order: Callable[[str], None]) -> Iterator[None]:
    """While this lasts, seed that the keeper of `rig` asks for is stirred in.

    order tells the virtual rig what a hand does, such as 'seed 60' for 60 g.
    """
    try:
        client = connect(rig)
    except KeeperError:
        yield  # without its keeper nothing is asked for
        return
    over = threading.Event()
    hand = threading.Thread(target=_help, args=(client, order, over), daemon=True)
    hand.start()
    try:
        yield
    finally:
        over.set()
        hand.join()
        client.close()


def _help(client: KeeperClient, order: Callable[[str], None], over: threading.Event) -> None:
    while not over.wait(LOOK_S) and not client.closed:
        for message in client.drain():
            if isinstance(message, Event) and (message.kind, message.code) == ("order", "seed"):
                # A rig that is ending takes no more orders.
                with contextlib.suppress(OSError, ValueError):
                    order(f"seed {message.values['grams']:g}")
