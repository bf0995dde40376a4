"""The stop order by its own way: a datagram to the keeper, which no client can block."""

from __future__ import annotations

import contextlib
import os
import secrets
import select
import socket
import time
from collections.abc import Iterator
from pathlib import Path

import msgspec

from glossbath.errors import KeeperError

from .messages import Reply, from_line
from .paths import check_length, socket_path, stop_path

AT_THE_RIG = "Press the stop button at the rig, or pull its plug."
PATIENCE_S = 8.0
"""The keeper waits four seconds for the board's word; it may be busy as long again."""
_AGAIN_S = 0.5


def order_stop(rig: str, patience_s: float = PATIENCE_S) -> Reply:
    """Have a rig stopped; the keeper's answer says whether the board has confirmed it.

    Raises KeeperError, with what to do, where no keeper takes the order or none answers.
    """
    target = stop_path(socket_path(rig))
    mine = check_length(target.with_name(f"{os.getpid()}-{secrets.token_hex(3)}.answer"))
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as line, _bound(line, mine):
        until_s = time.monotonic() + patience_s
        sent = False
        while (left_s := until_s - time.monotonic()) > 0:
            if not _send(line, target) and not sent:
                raise KeeperError(f"No keeper of rig '{rig}' takes a stop. {AT_THE_RIG}")
            sent = True
            # Said again and again: a keeper that was held up must still find it.
            if select.select([line], [], [], min(_AGAIN_S, left_s))[0]:
                with contextlib.suppress(msgspec.MsgspecError):
                    reply = from_line(line.recv(65_536))
                    if isinstance(reply, Reply):
                        return reply
    raise KeeperError(
        f"The keeper of rig '{rig}' does not answer, so whether the rig stops is not known. "
        f"{AT_THE_RIG}"
    )


@contextlib.contextmanager
def _bound(line: socket.socket, path: Path) -> Iterator[None]:
    try:
        line.bind(str(path))
        line.setblocking(False)
        yield
    finally:
        path.unlink(missing_ok=True)


def _send(line: socket.socket, target: Path) -> bool:
    """False where nobody listens; a full queue is emptied by the keeper in a moment."""
    try:
        line.sendto(b"stop", str(target))
    except BlockingIOError:
        return True
    except OSError:
        return False
    return True
