"""Do the tests notice a random small change to the program?

    .venv/bin/python tests/bench/mutate.py [PART ...] [--count N] [--seed N] [--only FILE] [--tree]

Draws changes for each part (a row of PARTS), and runs against each the tests that enter the
changed function, quickest first, until one fails. A change that no test notices has survived.
Those that change nothing a test could see stand in equivalent_mutants.toml with the reason and are
not counted; each entry is looked at when it is added. Prints one line a change and the share
noticed of each part, and ends with exit code 1 where a part stays below 93 %.

Tests are collected once a part; each change lives in a fork, in which the changed function, its
default arguments too, takes the place of the real one, so a test that does not enter it cannot
notice. What is computed at import (constants, tables, fields of a class, a function that only runs
then) cannot be exchanged like that: such a change is written into a copy of the whole tree, and
the tests that enter its file run there; one that fails in the copy without the change as well is
left out. What a test runs in a process of its own (the
firmware under MicroPython, a keeper) is changed only there as well: --tree runs the part's tests
of processes too, for what survived. Needs a system that forks.
"""

from __future__ import annotations

import argparse
import os
import pickle
import random
import shutil
import signal
import sys
import tempfile
import threading
import time
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(Path(__file__).parent))

from exchange import Tree, exchange  # noqa: E402
from mutated_parts import PARTS, Part  # noqa: E402
from mutations import Mutant, mutants  # noqa: E402

EQUIVALENT = Path(__file__).with_name("equivalent_mutants.toml")
ENOUGH = 0.93
MOST_TESTS_S = 120.0
"""Longest time for one change, in seconds of the tests as they took unchanged."""
_NOT_HERE = "not here"
"""Answer of a fork in which the change could not take the place of anything."""


@dataclass
class Baseline:
    """What each test took and entered before anything was changed."""

    took_s: dict[str, float] = field(default_factory=dict)
    entered: dict[str, set[tuple[str, str]]] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)

    def entering_function(self, mutant: Mutant) -> list[str]:
        """The tests that enter a change's function, the quickest first."""
        place = (str(mutant.file), mutant.function)
        return self._good(lambda entered: place in entered)

    def entering_file(self, mutant: Mutant) -> list[str]:
        """The tests that enter a change's file, or its folder where the file has no function that
        they could enter; the quickest first."""
        file, folder = str(mutant.file), str(mutant.file.parent) + os.sep
        return self._good(
            lambda entered: any(there == file for there, _ in entered)
        ) or self._good(lambda entered: any(there.startswith(folder) for there, _ in entered))

    def _good(self, enters: Callable[[set[tuple[str, str]]], bool]) -> list[str]:
        good = (name for name in self.took_s if name not in self.failed)
        covering = [name for name in good if enters(self.entered[name])]
        return sorted(covering, key=self.took_s.__getitem__)


@dataclass
class Result:
    """What became of one change."""

    mutant: Mutant
    noticed: bool
    covered: bool


class Loop:
    """In place of pytest's own loop: the unchanged tests once, then each change in a fork."""

    def __init__(self, chosen: list[Mutant], tree: Tree, report: Callable[[Result], None]) -> None:
        self._chosen, self._tree, self._report = chosen, tree, report
        self._items: dict[str, pytest.Item] = {}
        self._baseline = Baseline()

    def pytest_sessionstart(self) -> None:
        """Whether a test fails is all that is asked: no example that does is made smaller."""
        from hypothesis import Phase, settings  # here, since pytest rewrites what it imports

        usual = settings.get_profile("glossbath")
        looking = (Phase.explicit, Phase.generate)
        settings.register_profile("noticing", usual, phases=looking)
        settings.load_profile("noticing")

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        here = (item for item in session.items if "on_micropython" not in item.nodeid)
        self._items = {item.nodeid: item for item in here}
        self._baseline = _in_a_fork(lambda: measure(self._items), 3600.0) or Baseline()
        if not self._baseline.took_s:
            raise SystemExit("The tests did not run as they are.")
        failing = sorted(self._baseline.failed)
        print(f"{len(self._items)} tests, failing as they are: {failing}", flush=True)
        for mutant in self._chosen:
            self._report(self._try(mutant))
        return True

    def _try(self, mutant: Mutant) -> Result:
        """In a fork where a test enters the changed function, else in a tree: it may have been
        run at import."""
        names, most_s = self._bounded(self._baseline.entering_function(mutant))
        if names:
            items = [self._items[name] for name in names]
            passed = _in_a_fork(lambda: run(items) if exchange(mutant) else _NOT_HERE, most_s)
            if passed != _NOT_HERE:
                return Result(mutant, passed is not True, True)  # failed, hung or died
        names, most_s = self._bounded(self._baseline.entering_file(mutant))
        survives = not names or self._tree.survives(mutant, names, most_s)
        return Result(mutant, not survives, bool(names))

    def _bounded(self, names: list[str]) -> tuple[list[str], float]:
        """As many tests as there is time for, and what they may take in seconds."""
        took_s, bounded = 0.0, []
        for name in names:
            took_s += self._baseline.took_s[name]
            if took_s < MOST_TESTS_S or not bounded:  # the quickest always runs
                bounded.append(name)
        return bounded, 60.0 + 10.0 * min(took_s, MOST_TESTS_S)


def _in_a_fork(work: Callable[[], Any], most_s: float) -> Any:
    """What work returned in a process of its own; None where it did not come to its end."""
    with tempfile.NamedTemporaryFile() as answer:
        child = os.fork()
        if child == 0:
            _work_quietly(work, Path(answer.name))
        give_up_s = time.monotonic() + most_s
        while os.waitpid(child, os.WNOHANG)[0] == 0:
            if time.monotonic() > give_up_s:
                os.killpg(child, signal.SIGKILL)
            time.sleep(0.01)
        said = Path(answer.name).read_bytes()
    return pickle.loads(said) if said else None


def _work_quietly(work: Callable[[], Any], answer: Path) -> None:
    os.setsid()
    nothing = os.open(os.devnull, os.O_RDWR)
    for end in (0, 1, 2):
        os.dup2(nothing, end)
    try:
        answer.write_bytes(pickle.dumps(work()))
    finally:
        os.killpg(0, signal.SIGKILL)  # and what the tests started


def _passes(item: pytest.Item, following: pytest.Item | None) -> bool:
    reports = []
    item.config.pluginmanager.register(
        watcher := type(
            "Watcher", (), {"pytest_runtest_logreport": lambda _, report: reports.append(report)}
        )()
    )
    item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
    item.config.pluginmanager.unregister(watcher)
    return not any(report.failed for report in reports)


def run(items: Sequence[pytest.Item]) -> bool:
    """Whether all of them pass; ends with the first that does not."""
    following = [*items[1:], None]
    return all(_passes(item, after) for item, after in zip(items, following, strict=True))


def measure(items: dict[str, pytest.Item]) -> Baseline:
    """Run every test once, and note the functions of the program that it enters."""
    found = Baseline()
    entered: set[tuple[str, str]] = set()
    ours = tuple(str(ROOT / top) + os.sep for top in ("firmware", "host", "hardware"))

    def note(frame: FrameType, event: str, _: object) -> None:
        code = frame.f_code
        if event == "call" and code.co_filename.startswith(ours):
            entered.add((code.co_filename, code.co_qualname.split(".<locals>")[0]))

    names = list(items)
    for name, after in zip(names, [*names[1:], None], strict=True):
        entered.clear()
        began = time.monotonic()
        threading.setprofile(note)
        sys.setprofile(note)
        good = _passes(items[name], items[after] if after else None)
        sys.setprofile(None)
        threading.setprofile(None)  # type: ignore[arg-type]
        found.took_s[name] = time.monotonic() - began
        found.entered[name] = set(entered)
        if not good:
            found.failed.add(name)
    return found


def all_mutants(part: Part) -> list[Mutant]:
    """Every change to the files of a part."""
    files = sorted(file for place in part.files for file in (ROOT / place).rglob("*.py"))
    return [mutant for file in files for mutant in mutants(file)]


def equivalent() -> dict[str, str]:
    """Changes that are none, by their names, each with its reason."""
    if not EQUIVALENT.exists():
        return {}
    entries = tomllib.loads(EQUIVALENT.read_text(encoding="utf-8"))["equivalent"]
    return {entry["change"]: entry["reason"] for entry in entries}


def try_part(name: str, count: int, seed: int, only: str, tree: bool) -> float:
    """Draw and try changes of one part, in files whose path has only in it; the share that was
    noticed."""
    part, none = PARTS[name], equivalent()
    free = [
        mutant
        for mutant in all_mutants(part)
        if mutant.name(ROOT) not in none and only in str(mutant.file)
    ]
    chosen = random.Random(f"{seed} {name}").sample(free, min(count, len(free)))
    results: list[Result] = []
    copied = Tree()

    def report(result: Result) -> None:
        if not result.noticed and tree and part.tree:
            result.noticed = not copied.survives(result.mutant, part.tree, 1800.0)
        results.append(result)
        word = "noticed " if result.noticed else "SURVIVED"
        why = "" if result.covered else "  (no test enters its folder)"
        print(f"{word} {result.mutant.line:4} {result.mutant.name(ROOT)}{why}", flush=True)

    basetemp = tempfile.mkdtemp(prefix="glossbath-mutate-")
    options = ["-o", "addopts=--import-mode=importlib", "-p", "no:cacheprovider", "--capture=no"]
    pytest.main(
        [*options, "-q", "--timeout=0", f"--basetemp={basetemp}/t", *part.tests],
        plugins=[Loop(chosen, copied, report)],
    )
    shutil.rmtree(basetemp, ignore_errors=True)
    copied.close()
    noticed = sum(result.noticed for result in results)
    share = noticed / len(results) if results else 0.0
    print(f"{name}: {noticed} of {len(results)} noticed, {share:.0%}", flush=True)
    return share


def main() -> int:
    """Try the parts that are named, or all; the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("parts", nargs="*", choices=[*PARTS, []], metavar="PART")
    parser.add_argument("--count", type=int, default=30, help="changes a part")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="only files with this in their path")
    parser.add_argument("--tree", action="store_true", help="tests of processes for survivors")
    given = parser.parse_args()
    os.environ["CI"] = "1"  # the same examples in every run
    shares = [
        try_part(name, given.count, given.seed, given.only, given.tree)
        for name in given.parts or PARTS
    ]
    return 0 if all(share >= ENOUGH for share in shares) else 1


if __name__ == "__main__":
    sys.exit(main())
