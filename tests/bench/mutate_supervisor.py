"""Do the supervisor's tests notice a cut-off that is gone or too loose?

    .venv/bin/python tests/bench/mutate_supervisor.py [CODE ...]

Takes one row out of the table, or loosens its limit or its time by a fifth, or takes one of its
flags away, and runs the fast tests against that. A change after which all tests pass has survived:
something may be weakened unnoticed. The thresholds inside plausibility.py are changed both ways,
since either may be the loose one. Prints one line a change and ends with exit code 1 if one that
loosens the table survived. Each change lives in a process of its own, so this needs a system that
forks.
"""

from __future__ import annotations

import importlib
import os
import re
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "firmware"), str(ROOT / "tests" / "firmware")]

# As the tests see it.
from glossbath_board import (  # noqa: E402
    cutoffs,
    limits,
    loop,
    memory,
    plausibility,
    proof,
    reporter,
    supervisor,
)

TABLE_TESTS = ("test_supervisor", "test_supervisor_rules")
EVIDENCE_TESTS = ("test_supervisor_plausibility", "test_supervisor_thresholds")
PROOF_TESTS = ("test_proof",)
LOOP_TESTS = ("test_loop", "test_loop_absence")
MEMORY_TESTS = ("test_store_memory", "test_loop_absence")
ORDER_TESTS = ("test_orders",)
FLAGS = {"HEAT": cutoffs.HEAT, "STIR": cutoffs.STIR, "GONE": cutoffs.GONE, "START": cutoffs.START}

Test = Callable[[], None]


@dataclass(frozen=True)
class Mutant:
    """A change, and the tests that should notice."""

    name: str
    apply: Callable[[], None]
    tests: tuple[str, ...]
    must_die: bool


def remove(code: str) -> None:
    """Take a row out of the table, wherever it is known."""
    rows = tuple(row for row in cutoffs.CUTOFFS if row.code != code)
    names = ("stand_in_facts", *TABLE_TESTS)
    holders: list[ModuleType] = [cutoffs, supervisor, *(sys.modules[name] for name in names)]
    for holder in holders:
        holder.CUTOFFS = rows  # type: ignore[attr-defined]
    supervisor.Supervisor.__init__.__defaults__ = (None, rows)


def change(code: str, attribute: str, value: int) -> None:
    """Give a row another limit, time or set of flags."""
    for row in cutoffs.CUTOFFS:
        if row.code == code:
            setattr(row, attribute, value)


def table_mutants() -> Iterator[Mutant]:
    """Every row removed, loosened, given more time, or stripped of a flag."""
    for row in cutoffs.CUTOFFS:
        code, limit, allowed_ms, does = row.code, row.limit, row.allowed_ms, row.does

        def mutant(name: str, apply: Callable[[], None], code: str = code) -> Mutant:
            return Mutant(f"{code}: {name}", apply, TABLE_TESTS, True)

        yield mutant("row removed", lambda code=code: remove(code))  # type: ignore[misc]
        if row.value is None:
            continue
        changes = [("limit", limit, limit * (4 if does & cutoffs.UNDER else 6) // 5)]
        changes.append(("allowed_ms", allowed_ms, allowed_ms * 6 // 5))
        changes += [("does", does, does & ~flag) for flag in FLAGS.values()]
        for attribute, now, then in changes:
            if now != then:
                yield mutant(
                    f"{attribute} {now} -> {then}",
                    lambda a=attribute, v=then, code=code: change(code, a, v),  # type: ignore[misc]
                )


def evidence_mutants() -> Iterator[Mutant]:
    """Every threshold of plausibility.py a fifth up and a fifth down."""
    text = Path(plausibility.__file__).read_text()
    for name, number in re.findall(r"^(_[A-Z_]+) = const\(([\d_]+)\)", text, flags=re.MULTILINE):
        for fifths in (6, 4):
            then = int(number) * fifths // 5
            yield Mutant(
                f"plausibility.{name} {number} -> {then}",
                lambda name=name, then=then: setattr(plausibility, name, then),  # type: ignore[misc]
                EVIDENCE_TESTS,
                False,
            )


def other_mutants() -> Iterator[Mutant]:
    """Limits that are kept elsewhere than in the table, each loosened by a fifth or by one."""
    for module, name, then, tests in (
        (proof, "PROOF_STEP_MS", proof.PROOF_STEP_MS * 6 // 5, PROOF_TESTS),
        (loop, "OVERRUN_MS", loop.OVERRUN_MS * 6 // 5, LOOP_TESTS),
        (reporter, "LEASE_MS", reporter.LEASE_MS * 6 // 5, LOOP_TESTS),
        (memory, "RESETS", memory.RESETS + 1, MEMORY_TESTS),
        (memory, "STEADY_MS", memory.STEADY_MS * 4 // 5, MEMORY_TESTS),
        (limits, "ALONE_CEILING_MIN", limits.ALONE_CEILING_MIN + 1, ORDER_TESTS),
        (limits, "LEASE_MS", limits.LEASE_MS * 6 // 5, ORDER_TESTS),
    ):
        yield Mutant(
            f"{module.__name__}.{name} -> {then}",
            lambda module=module, name=name, then=then: setattr(module, name, then),  # type: ignore[misc]
            tests,
            True,
        )


def quickest_first(names: tuple[str, ...]) -> list[Test]:
    """The tests of some files; they pass on the firmware as it is."""
    timed = []
    for module in map(importlib.import_module, names):
        for attribute in dir(module):
            if attribute.startswith("test_"):
                test = getattr(module, attribute)
                began = time.perf_counter()
                test()
                timed.append((time.perf_counter() - began, attribute, test))
    return [test for _, _, test in sorted(timed, key=lambda entry: entry[:2])]


def survives(mutant: Mutant, tests: list[Test]) -> bool:
    """Whether every test passes after the change, tried in a process of its own."""
    child = os.fork()
    if child == 0:
        try:
            mutant.apply()
            for test in tests:
                test()
        except BaseException:
            os._exit(1)
        os._exit(0)
    return os.waitpid(child, 0)[1] == 0


def main(codes: list[str]) -> int:
    """Try every change; the exit code."""
    mutants = (*table_mutants(), *evidence_mutants(), *other_mutants())
    tests = {names: quickest_first(names) for names in {mutant.tests for mutant in mutants}}
    survivors = []
    count = 0
    for mutant in mutants:
        if codes and not any(code in mutant.name for code in codes):
            continue
        count += 1
        alive = survives(mutant, tests[mutant.tests])
        print(("SURVIVED" if alive else "noticed ") + "  " + mutant.name, flush=True)
        if alive:
            survivors.append(mutant)
    print(f"{count} changes, {len(survivors)} survived")
    return 1 if any(mutant.must_die for mutant in survivors) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
