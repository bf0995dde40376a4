"""The long fault campaign: python tests/bench/faults.py --runs 1000 [--first SEED] [--named]
[--settings] [--plant distributed] [--beside].

Prints how runs ended, who noticed, and every seed that failed, so that it can be run again with
--first SEED --runs 1. --beside has page, bridge and notifier look at every keeper while
they are attacked, runs each case alone too, and says where true heat or anything else differs.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from contextlib import nullcontext
from functools import partial
from pathlib import Path
from typing import Any

TESTS = Path(__file__).parent.parent
sys.path[:0] = [str(TESTS / "rig"), str(TESTS / "stand_ins")]

from campaign import Outcome, run_named, run_random, who  # noqa: E402
from cut_settings import cut_problem, good_settings  # noqa: E402
from faults import FAULTS  # noqa: E402
from served_world import beside  # noqa: E402
from siege_away import attacked  # noqa: E402

from glossbath.virtual.plants import PLANTS  # noqa: E402


def _together(work: Callable[[Any], Outcome], jobs: Iterable[Any]) -> Iterable[Outcome]:
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(os.cpu_count() or 1, mp_context=context) as pool:
        yield from pool.map(work, jobs, chunksize=1)


def _line(outcome: Outcome) -> str:
    noticed = outcome.trip or outcome.first
    seen = f"{noticed[0]} ({who(noticed[0])}) {noticed[1]:.1f} s" if noticed else "-"
    heat = "-" if outcome.last_heat_s is None else f"{outcome.last_heat_s:.1f} s"
    return (
        f"{' + '.join(outcome.names)} | {outcome.result or 'no cycle'} | {seen} | heat to {heat}"
        f" | {outcome.over_c:+.1f} °C from the limit"
    )


Run = Callable[[Any], Outcome]


def named(run: Run) -> int:
    """Every named fault once, as a table."""
    failed = 0
    for outcome in _together(run, FAULTS):
        print(_line(outcome), flush=True)
        for problem in outcome.problems:
            print(f"    FAILED: {problem}")
        failed += bool(outcome.problems)
    print(f"{len(FAULTS)} named faults, {failed} failed")
    return failed


def at_random(first: int, runs: int, run: Run) -> int:
    """Seeded runs with one to three faults each."""
    began = time.monotonic()
    results: Counter[str] = Counter()
    codes: Counter[str] = Counter()
    faults: Counter[str] = Counter()
    failed: list[Outcome] = []
    simulated_s = 0.0
    step_s, looked_at = 0.0, 0
    for outcome in _together(run, range(first, first + runs)):
        step_s, looked_at = max(step_s, outcome.step_s), looked_at + (outcome.looked_at > 0)
        results[outcome.result or "no cycle"] += 1
        faults.update(outcome.names)
        simulated_s += outcome.simulated_s
        if outcome.trip:
            codes[f"{outcome.trip[0]} ({who(outcome.trip[0])})"] += 1
        if outcome.problems:
            failed.append(outcome)
            print(f"FAILED seed {outcome.seed}: {_line(outcome)}", flush=True)
            for problem in outcome.problems:
                print(f"    {problem}", flush=True)
    wall_s = time.monotonic() - began
    print(f"{runs} runs, {simulated_s / 3600:.1f} simulated hours, {wall_s:.0f} s")
    print("results:", dict(results))
    print("first trip:", dict(codes.most_common()))
    print("faults:", dict(faults.most_common()))
    if looked_at:
        print(f"looked at in {looked_at} runs; longest step of a keeper {step_s:.2f} s")
    print("failed seeds:", [outcome.seed for outcome in failed] or "none")
    return len(failed)


def settings() -> int:
    """Settings cut at each byte: copy a, copy b, both."""
    with tempfile.TemporaryDirectory() as folder:
        good = good_settings(Path(folder) / "good")
        found = [cut_problem(Path(folder), good, at) for at in range(len(good))]
    problems = [problem for problem in found if problem]
    for problem in problems:
        print(f"FAILED {problem}")
    print(
        f"settings cut at each of {len(good)} bytes, {3 * len(good)} boards: "
        f"{len(problems)} failed"
    )
    return len(problems)


def main() -> None:
    """Run what was asked for; the exit code says whether anything failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=0)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--named", action="store_true")
    parser.add_argument("--settings", action="store_true")
    parser.add_argument("--plant", choices=PLANTS, default="lumped")
    parser.add_argument("--beside", action="store_true")
    parser.add_argument("--connections", type=int, default=10_000)
    asked = parser.parse_args()

    def case(run: Callable[..., Outcome]) -> Run:
        plant = {"plant": asked.plant}
        return partial(beside, run=run, **plant) if asked.beside else partial(run, **plant)

    with attacked(asked.connections) if asked.beside else nullcontext():
        failed = named(case(run_named)) if asked.named else 0
        failed += at_random(asked.first, asked.runs, case(run_random)) if asked.runs else 0
    failed += settings() if asked.settings else 0
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
