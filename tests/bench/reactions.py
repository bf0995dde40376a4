"""The table of cut-offs with the reaction that was measured on the virtual rig, as Markdown.

    .venv/bin/python tests/bench/reactions.py

Times are simulated seconds from the begin of a condition to the trip; with several faults for one
row the longest is shown.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "rig"))

from cutoff_cases import CASES
from direct import direct, measure

from glossbath_board.cutoffs import HEAT, STIR, STOP
from glossbath_board.supervisor import CUTOFFS


def main() -> None:
    """Measure and print."""
    slowest: dict[str, tuple[float, float]] = {}
    for case in CASES:
        with tempfile.TemporaryDirectory() as folder, direct(Path(folder), case.options) as d:
            took_s = measure(d, case)
        slowest[case.code] = max(slowest.get(case.code, (0.0, 0.0)), (took_s, case.allowed_s))
    print("| code | limit | time of the row | action | cleared | allowed | measured |")
    print("|---|---|---|---|---|---|---|")
    for row in CUTOFFS:
        limit = f"{row.limit} {row.unit}" if row.unit else "–"
        action = "stop" if row.does & STOP else "trip"
        if row.does & (HEAT | STIR):
            held = "heat" if row.does & HEAT else "stirring"
            action = f"withhold {held} at once, then trip"
        cleared = "once gone" if row.clear == "gone" else "by a person"
        took = slowest.get(row.code)
        shown = f"{took[1]:g} s | {took[0]:g} s" if took else "– | –"
        print(f"| {row.code} | {limit} | {row.allowed_ms} ms | {action} | {cleared} | {shown} |")


if __name__ == "__main__":
    main()
