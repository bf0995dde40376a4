"""Asks a running firmware to let other tools in, and looks whether one runs afterwards."""

from __future__ import annotations

import contextlib
import time

from glossbath.board.clock import RealClock
from glossbath.board.dialog import Dialog
from glossbath.board.link import Link
from glossbath.errors import LinkError, OrderRefused

OWNER = "glossbath install"
_PATIENCE_S = 4.0
_BACK_S = 2.0
_START_S = 15.0  # a board compiles source for five seconds before it speaks


def ask_for_maintenance(port: str) -> bool:
    """True if a firmware answered and restarts for maintenance, False if none answered.

    Raises OrderRefused while a cycle runs, LinkError when the port cannot be opened.
    """
    with contextlib.closing(_dialog(port)) as dialog:
        if not dialog.until(lambda: bool(dialog.hello), _PATIENCE_S):
            return False
        try:
            answer = dialog.ask("maintain")
        except LinkError:
            return False
    if answer.get("ok"):
        return True
    if answer.get("why") == "busy":
        raise OrderRefused("Another computer steers this board: stop it there first.")
    raise OrderRefused(
        f"The board does not let other tools in while it is {answer.get('at')}: stop the cycle "
        "first. Its firmware goes on."
    )


def running_version(port: str) -> str:
    """The version of the firmware that runs on a board, or '' where none answers in time."""
    with contextlib.closing(_dialog(port)) as dialog:
        dialog.until(lambda: bool(dialog.hello), _START_S)
        return str(dialog.hello.get("fw", ""))


def _dialog(port: str) -> Dialog:
    clock = RealClock()
    link = Link(port, clock, owner=OWNER)
    # A board that restarts is away for a moment, and so is a lock whose holder is ending.
    until = time.monotonic() + _BACK_S
    while not (opened := link.open()) and time.monotonic() < until:
        time.sleep(0.1)
    if not opened:
        if link.taken:
            raise LinkError(f"{link.obstacle.rstrip('.')}: end that program first.")
        raise LinkError(
            f"The port {port} cannot be opened: {link.obstacle}. Check cable, name and rights."
        )
    return Dialog(link, clock)
