"""Ten million hostile bytes for the board's line and for the keeper's socket, each.

    .venv/bin/python tests/bench/siege.py [--bytes N] [--seed N] [--line | --socket]

The line gets noise, pieces of frames, damaged frames and nonsense in whole ones, both ways at
once, while a cycle runs on the real firmware; the socket gets what clients that are broken or
mean may send, while a good one asks. Prints what was accepted, what crashed, and how memory went;
the exit code is 1 if anything was accepted or crashed, or if memory grows.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

TESTS = Path(__file__).parent.parent
sys.path[:0] = [str(TESTS / "rig"), str(TESTS / "stand_ins")]

import hostile  # noqa: E402
import socket_siege  # noqa: E402

MOST_SLOPE = 20_000.0
"""Bytes of memory that a megabyte of garbage may leave: a hundredth is fragments."""

SETTLED_S = 5_000.0
"""By then the keeper's history has been thinned four times and hardly grows any more."""


def slope(held: list[int], sent_bytes: int) -> float:
    """Bytes more in memory for each megabyte sent, over the last three quarters of a run."""
    late = held[len(held) // 4 :]
    if len(late) < 2:
        return 0.0
    megabytes = np.linspace(sent_bytes / 4e6, sent_bytes / 1e6, len(late))
    return float(np.polyfit(megabytes, late, 1)[0])


def line(total_bytes: int, seed: int) -> bool:
    """Besiege the board's line; whether all was well."""
    found = hostile.besiege(total_bytes, seed)  # its cycle fills the keeper's history itself
    board = -slope(found.free_heap, found.sent_bytes)
    host = slope(found.host_bytes, found.sent_bytes)
    crashes = found.resets + bool(found.errors)
    print(
        f"line: {found.sent_bytes} bytes each way, {found.bad_lines} bad lines at the keeper, "
        f"{found.answers} refusals by the board; accepted: {len(found.damaged)} damaged frames, "
        f"{len(found.obeyed)} strangers' orders, {len(found.wrong)} damaged readings; "
        f"{crashes} crashes; memory per megabyte: board {board:+.0f}, keeper {host:+.0f} bytes; "
        f"the cycle: {found.result or found.state}"
    )
    if found.errors:
        print(found.errors)
    accepted = found.damaged or found.obeyed or found.wrong
    flat = board <= MOST_SLOPE and host <= MOST_SLOPE
    return not accepted and not crashes and flat and found.over_c < 0


def socket(total_bytes: int, seed: int) -> bool:
    """Besiege the keeper's socket; whether all was well."""
    with tempfile.TemporaryDirectory() as folder:
        found = socket_siege.besiege(Path(folder), total_bytes, seed, SETTLED_S)
    held = slope(found.memory, found.sent_bytes)
    print(
        f"socket: {found.sent_bytes} bytes, {found.good_answers} of {len(found.memory)} good "
        f"requests answered, {int(bool(found.crashed))} crashes, memory per megabyte {held:+.0f} "
        f"bytes, at most {max(found.memory)}"
    )
    if found.crashed:
        print(found.crashed)
    return not found.crashed and found.good_answers == len(found.memory) and held <= MOST_SLOPE


def main() -> None:
    """Run what was asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bytes", type=int, default=10_000_000)
    parser.add_argument("--seed", type=int, default=1)
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--line", action="store_true")
    which.add_argument("--socket", action="store_true")
    asked = parser.parse_args()
    well = True
    for run, other in ((line, asked.socket), (socket, asked.line)):
        if not other:
            began = time.monotonic()
            well = run(asked.bytes, asked.seed) and well
            print(f"{time.monotonic() - began:.0f} s", flush=True)
    sys.exit(0 if well else 1)


if __name__ == "__main__":
    main()
