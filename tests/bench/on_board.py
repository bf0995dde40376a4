"""Prints what a pass of the firmware takes: bytecodes, heap bytes, live heap. See metered.py.

.venv/bin/python tests/bench/on_board.py
"""

from __future__ import annotations

import statistics
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "rig"))

from metered import figures, passes


def main() -> None:
    """Print the figures."""
    for micropython, what in ((True, "bytes a pass"), (False, "bytecodes a pass")):
        found = passes(micropython)
        print(what)
        print("  at rest and starting:", figures(found, lambda p: p.state != "running"))
        print("  heating:             ", figures(found, lambda p: p.state == "running"))
        if micropython:
            alive = [p.alive for p in found if p.state == "running"]
            print(f"live heap while heating: median {statistics.median(alive):.0f} bytes")


if __name__ == "__main__":
    main()
