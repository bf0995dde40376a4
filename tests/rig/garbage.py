"""Hostile bytes for a line: noise, pieces of frames, damaged frames, nonsense in whole ones."""

from __future__ import annotations

import json
import random
from typing import Any

from glossbath_board.errors import FrameError
from glossbath_board.frame import encode

# Above what a keeper draws its order numbers from, so that answers tell whom they are for.
DAMAGED_FROM = 300_000_000
"""Order numbers from here on travel only in damaged frames: no answer may carry one."""
NONSENSE_FROM = 700_000_000
"""From here on in whole frames that nobody should obey."""
_KINDS = ("hello", "lease", "plan", "phase", "start", "hold", "resume", "step", "clear", "heat")
_VALUES: tuple[Any, ...] = (
    None,
    True,
    -1,
    0,
    1,
    99_999,
    10**15,
    1.5,
    "",
    "melt",
    "a" * 60,
    [],
    [1] * 8,
    {},
    {"k": "start"},
)
_KEYS = (
    "e",
    "t",
    "c",
    "st",
    "ph",
    "count",
    "max",
    "g",
    "at",
    "name",
    "v",
    "cycle",
    "sum",
    "to",
    "x",
)


class Garbage:
    """An endless supply from one seed.

    boot is the board's, so that frames look meant. A whole frame that carries it and a number far
    ahead would be a forgery, which a checksum is no defence against: nonsense towards the host
    comes from a boot of its own.
    """

    def __init__(self, seed: int, boot: int, forged_boot: int | None = None) -> None:
        self._rng = random.Random(seed)
        self._boot = boot
        self._nonsense_boot = boot if forged_boot is None else forged_boot
        self._number = 0

    def some(self, most: int) -> bytes:
        """Up to `most` bytes, ended so that a good frame may follow."""
        makers = (self._noise, self._piece, self._damaged, self._damaged, self._nonsense)
        data = b""
        while len(data) < most - 210:
            data += self._rng.choice(makers)()
        return data + b"\n"

    def _noise(self) -> bytes:
        rng = self._rng
        return bytes(rng.choice((rng.randrange(256), 36, 10, 42, 1, 3, 4)) for _ in range(60))

    def _frame(self, first: int) -> bytes:
        self._number += 1
        number = first + self._number
        order = {"k": self._rng.choice(_KINDS), "h": 99, "b": self._boot, "i": number, "n": number}
        return encode(order)

    def _piece(self) -> bytes:
        line = self._frame(DAMAGED_FROM)
        return line[: self._rng.randrange(1, len(line) - 1)]

    def _damaged(self) -> bytes:
        """A frame with one to three bits changed, and its end kept: a CRC-32 sees each of them,
        as long as no two are the same."""
        line = bytearray(self._frame(DAMAGED_FROM))
        for at in self._rng.sample(range(8 * (len(line) - 1)), self._rng.randrange(1, 4)):
            line[at // 8] ^= 1 << at % 8
        return b"\n" + bytes(line) + b"\n"

    def _nonsense(self) -> bytes:
        """A whole frame whose content means nothing good."""
        rng = self._rng
        self._number += 1
        number = NONSENSE_FROM + self._number
        order: dict[str, Any] = {"k": rng.choice((*_KINDS, rng.choice(_VALUES))), "i": number}
        for _ in range(rng.randrange(4)):
            order[rng.choice(_KEYS)] = rng.choice(_VALUES)
        order.update(h=99, b=self._nonsense_boot, n=number, i=number)
        try:
            return b"\n" + encode(json.loads(json.dumps(order)))
        except FrameError:
            return b"\n"
