"""Asks a running firmware to let other tools in; it drops heat and refuses while it is busy."""

from __future__ import annotations

import contextlib

from glossbath.board.clock import RealClock
from glossbath.board.dialog import Dialog
from glossbath.board.link import Link
from glossbath.errors import LinkError, OrderRefused

_PATIENCE_S = 4.0


def ask_for_maintenance(port: str) -> bool:
    """True if a firmware answered and restarts for maintenance, False if none answered.

    Raises OrderRefused while a cycle runs, LinkError when the port cannot be opened.
    """
    clock = RealClock()
    link = Link(port, clock, owner="glossbath install")
    if not link.open():
        raise LinkError(
            f"The port {port} cannot be opened: {link.obstacle}. Check cable, name and rights."
        )
    with contextlib.closing(Dialog(link, clock)) as dialog:
        if not dialog.until(lambda: bool(dialog.hello), _PATIENCE_S):
            return False
        try:
            answer = dialog.ask("maintain")
        except LinkError:
            return False
    if not answer.get("ok"):
        raise OrderRefused(
            f"The board refuses while it is {answer.get('at')}: stop the cycle first."
        )
    return True
