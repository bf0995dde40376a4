"""Measures every reaction that safety.md tells, on the virtual rig with the real firmware.

    .venv/bin/python tests/bench/reactions.py [--write]

Times are simulated seconds. Prints the page's tables of reactions; --write puts them into
safety.md. The exit code is 1 if anything took longer than it may.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import tempfile
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS / name) for name in ("rig", "docs", "stand_ins")]

import cutoff_cases  # noqa: E402
import direct  # noqa: E402
import host_cases  # noqa: E402
import safety_page as page  # noqa: E402
from campaign import Outcome, run_named  # noqa: E402
from faults import FAULTS  # noqa: E402
from scenes import SCENES  # noqa: E402

WORDS = {"running": "goes on", "tripped": "trips", "": "trips, keeper new"}


def board_case(at: int) -> float:
    """Seconds of one case of the board's."""
    case = cutoff_cases.CASES[at]
    with tempfile.TemporaryDirectory() as folder, direct.direct(Path(folder), case.options) as d:
        return direct.measure(d, case)


def host_case(at: int) -> float:
    """Seconds of one case of the computer's; of a forecast the °C from the recipe's limit."""
    case = host_cases.CASES[at]
    with (
        tempfile.TemporaryDirectory() as folder,
        host_cases.running(Path(folder), case.scene, case.firmware, case.parameters) as world,
    ):
        took_s = host_cases.measure(world, case)
        if case.allowed_s is not None:
            return took_s
        world.run(600)
        assert world.witness is not None
        return world.witness.hottest_c - SCENES[case.scene].recipe.max_c


def slowest(cases: Iterable[Any], measured: Iterable[float]) -> dict[str, tuple[float, float]]:
    """Code -> the longest time allowed, the longest that was measured."""
    found: dict[str, tuple[float, float]] = {}
    for case, took in zip(cases, measured, strict=True):
        most, longest = found.get(case.code, (0.0, took))
        found[case.code] = (max(most, case.allowed_s or 0.0), max(longest, took))
    return found


def with_times(heading: str, times: dict[str, tuple[float, float]]) -> list[page.Row]:
    """A table of cut-offs with what may and what did pass."""
    rows = page.rows(heading)
    for row in rows:
        most, took = times.get(row["code"].strip("`"), (0.0, 0.0))
        if most:
            row["allowed"], row["measured"] = page.allowed(most), page.seconds(took)
        elif row["code"].strip("`") in times:
            row["measured"] = f"{abs(took):.1f} °C {'over' if took > 0 else 'below'} it"
    return rows


def fault_row(outcome: Outcome) -> page.Row:
    """A fault of the campaign and how it ended."""
    fault = FAULTS[outcome.names[0]]
    told = next((each for each in outcome.told if each[1] in fault.told), None)
    told = told or (outcome.told[0] if outcome.told else None)
    within_s = page.told_within_s(fault)
    heat_s = None if fault.heat_off_s is None else outcome.last_heat_s or 0.0
    cells = (
        outcome.names[0],
        WORDS[outcome.result],
        f"`{told[1]}`" if told else "–",
        page.allowed(within_s),
        page.seconds(told[2] if told else None),
        page.allowed(fault.heat_off_s),
        page.seconds(heat_s),
    )
    return dict(zip(page.FAULT_COLUMNS, cells, strict=True))


def main() -> int:
    """Measure, print, write; the exit code."""
    with ProcessPoolExecutor(
        os.cpu_count() or 1, mp_context=multiprocessing.get_context("spawn")
    ) as pool:

        def times(cases: list[Any], work: Callable[[int], float]) -> dict[str, Any]:
            return slowest(cases, pool.map(work, range(len(cases))))

        outcomes = pool.map(run_named, FAULTS)
        tables = {
            page.BOARD: with_times(page.BOARD, times(cutoff_cases.CASES, board_case)),
            page.COMPUTER: with_times(page.COMPUTER, times(host_cases.CASES, host_case)),
            page.FAULTS: [fault_row(outcome) for outcome in outcomes],
        }
    text = page.PAGE.read_text(encoding="utf-8")
    late = []
    for heading, table in tables.items():
        text = page.replaced(text, heading, table)
        for row in table:
            print(" | ".join(row.values()))
            late += page.late(row)
    print("late:", late or "none")
    if "--write" in sys.argv[1:]:
        page.PAGE.write_text(text, encoding="utf-8")
    return 1 if late else 0


if __name__ == "__main__":
    sys.exit(main())
