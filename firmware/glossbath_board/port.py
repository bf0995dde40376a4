"""What differs between the board, MicroPython's unix port and CPython: const, ticks, Ctrl-C."""

import time

try:
    from time import sleep_ms, ticks_diff, ticks_ms
except ImportError:
    _PERIOD = 1 << 30  # where MicroPython's ticks wrap on a board

    def ticks_ms() -> int:
        """Milliseconds that wrap."""
        return time.monotonic_ns() // 1_000_000 % _PERIOD

    def ticks_diff(after: int, before: int) -> int:
        """Signed distance of two ticks, right within half a period."""
        return (after - before + _PERIOD // 2) % _PERIOD - _PERIOD // 2

    def sleep_ms(ms: int) -> None:
        """Sleep."""
        time.sleep(ms / 1000)


try:
    from micropython import const, kbd_intr
except ImportError:

    def const(value: int) -> int:
        """A constant; MicroPython's compiler folds it, CPython needs the name only."""
        return value

    def kbd_intr(byte: int) -> None:
        """CPython takes no interrupt from its input stream."""


__all__ = ["const", "kbd_intr", "sleep_ms", "ticks_diff", "ticks_ms"]
