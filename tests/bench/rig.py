"""How many simulated seconds the virtual rig gives for one of wall time, with real firmware.

    python tests/bench/rig.py [--minutes 20] [--cpython]

Counts the melt of the dark recipe: rig, chips, wire and firmware, with a lease and no keeper.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "rig"))
sys.path.insert(0, str(Path(__file__).parents[1] / "stand_ins"))

from direct import direct

from glossbath.virtual.virtual import Options


def main() -> None:
    """Run it and print the figure."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=20.0)
    parser.add_argument("--cpython", action="store_true", help="firmware on CPython")
    asked = parser.parse_args()
    options = Options(micropython=not asked.cpython)
    with tempfile.TemporaryDirectory() as folder, direct(Path(folder), options) as board:
        board.heat("dark")
        begin = time.perf_counter()
        board.run(60.0 * asked.minutes)
        wall_s = time.perf_counter() - begin
    engine = "CPython" if asked.cpython else "MicroPython"
    print(f"{60.0 * asked.minutes / wall_s:.0f} simulated seconds a second, firmware on {engine}")


if __name__ == "__main__":
    main()
