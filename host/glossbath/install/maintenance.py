"""Asks a running firmware to let other tools in; it drops heat and refuses while it is busy."""

from __future__ import annotations

import os
import secrets
import time
from typing import Any

import serial

from glossbath.errors import LinkError, OrderRefused
from glossbath_board.frame import Decoder, encode

_PATIENCE_S = 4.0


def ask_for_maintenance(port: str) -> bool:
    """True if a firmware answered and restarts for maintenance, False if none answered.

    Raises OrderRefused while a cycle runs, LinkError when the port cannot be opened.
    """
    try:
        with serial.serial_for_url(port, timeout=0.1, write_timeout=1.0) as line:
            return _talk(line)
    except (OSError, ValueError) as error:
        raise LinkError(
            f"The port {port} cannot be opened: {_why(error)}. Check cable, name and rights."
        ) from error


def _why(error: OSError | ValueError) -> str:
    number = getattr(error, "errno", None)
    return os.strerror(number) if number else "it is no serial port"


def _talk(line: Any) -> bool:
    decoder, host, number = Decoder("b"), secrets.randbits(30), 0
    boot = None
    until = time.monotonic() + _PATIENCE_S
    while time.monotonic() < until:
        order: dict[str, Any] = {"k": "hello"} if boot is None else {"k": "maintain", "b": boot}
        line.write(encode({**order, "h": host, "i": number, "n": number}))
        number += 1
        for message in decoder.feed(line.read(4096)):
            boot = message.get("b", boot)
            if message.get("k") == "a" and boot is not None and "why" in message:
                raise OrderRefused(
                    f"The board refuses while it is {message.get('at')}: stop the cycle first."
                )
            if message.get("k") == "a" and message.get("v"):
                return True
    return False
