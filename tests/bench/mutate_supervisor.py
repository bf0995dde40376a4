"""Do the supervisor's tests notice a cut-off that is gone or too loose?

    .venv/bin/python tests/bench/mutate_supervisor.py [CODE ...]

Takes one row out of the table, or loosens its limit or its time by a fifth, or takes one of its
flags away, and runs the fast tests on MicroPython (on CPython where there is none) against that
firmware. A change after which all tests pass has survived: something may be weakened unnoticed.
The thresholds inside evidence.py are changed both ways, since either may be the loose one. Prints
one line a change and ends with exit code 1 if one that loosens the table survived.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from glossbath_board import cutoffs
from glossbath_board.supervisor import CUTOFFS

ROOT = Path(__file__).parents[2]
TESTS = ROOT / "tests" / "firmware"
TABLE_TESTS = ("test_supervisor.py",)
EVIDENCE_TESTS = ("test_supervisor_evidence.py",)
FLAGS = {"HEAT": cutoffs.HEAT, "STIR": cutoffs.STIR, "GONE": cutoffs.GONE, "START": cutoffs.START}
ONE_ROW = "for _row in CUTOFFS:\n    if _row.code == {code!r}:\n        _row.{change}\n"


@dataclass(frozen=True)
class Mutant:
    """A change to one file of the firmware, and the tests that should notice."""

    name: str
    file: str
    append: str
    replace: tuple[str, str] | None
    tests: tuple[str, ...]
    must_die: bool


def table_mutants() -> Iterator[Mutant]:
    """Every row removed, loosened, given more time, or stripped of a flag."""

    def mutant(name: str, append: str) -> Mutant:
        return Mutant(name, "cutoffs.py", append, None, TABLE_TESTS, True)

    for row in CUTOFFS:
        code = row.code
        yield mutant(
            f"{code}: row removed",
            f"CUTOFFS = tuple(row for row in CUTOFFS if row.code != {code!r})\n",
        )
        if row.value is None:
            continue
        if row.limit:
            loose = row.limit * (4 if row.does & cutoffs.UNDER else 6) // 5
            change = f"limit = {loose}"
            yield mutant(f"{code}: limit {row.limit} -> {loose} {row.unit}", _one(code, change))
        if row.allowed_ms:
            slow = row.allowed_ms * 6 // 5
            change = f"allowed_ms = {slow}"
            yield mutant(f"{code}: time {row.allowed_ms} -> {slow} ms", _one(code, change))
        for name, flag in FLAGS.items():
            if row.does & flag:
                yield mutant(f"{code}: without {name}", _one(code, f"does &= ~{flag}"))


def _one(code: str, change: str) -> str:
    return ONE_ROW.format(code=code, change=change)


def evidence_mutants() -> Iterator[Mutant]:
    """Every threshold of evidence.py a fifth up and a fifth down."""
    text = (ROOT / "firmware" / "glossbath_board" / "evidence.py").read_text()
    for line in re.findall(r"^_[A-Z_]+ = const\([\d_]+\).*$", text, flags=re.MULTILINE):
        name, number = re.match(r"(_[A-Z_]+) = const\(([\d_]+)\)", line).groups()  # type: ignore[union-attr]
        for fifths in (6, 4):
            other = int(number.replace("_", "")) * fifths // 5
            change = (f"{name} = const({number})", f"{name} = const({other})")
            yield Mutant(
                f"{name} {number} -> {other}",
                "evidence.py",
                "",
                change,
                EVIDENCE_TESTS,
                False,
            )


def interpreter() -> list[str]:
    """MicroPython beside this Python, or this Python."""
    found = shutil.which("micropython", path=str(Path(sys.executable).parent))
    return [found] if found else [sys.executable]


def survives(mutant: Mutant, package: Path, words: list[str]) -> bool:
    """Whether every test passes on the changed firmware."""
    path = package / mutant.file
    whole = path.read_text()
    text = whole + mutant.append
    if mutant.replace is not None:
        assert mutant.replace[0] in text, mutant
        text = text.replace(*mutant.replace, 1)
    path.write_text(text)
    try:
        run = subprocess.run(
            [*words, str(TESTS / "run_on_micropython.py"), *mutant.tests],
            cwd=package.parent,
            env={
                **os.environ,
                "MICROPYPATH": f"{package.parent}:.frozen",
                "PYTHONPATH": f"{package.parent}:{TESTS}",
            },
            capture_output=True,
        )
    finally:
        path.write_text(whole)
    return run.returncode == 0


def main(codes: list[str]) -> int:
    """Try every change; the exit code."""
    words = interpreter()
    survivors: list[Mutant] = []
    count = 0
    with tempfile.TemporaryDirectory() as folder:
        package = Path(folder) / "glossbath_board"
        shutil.copytree(
            ROOT / "firmware" / "glossbath_board",
            package,
            ignore=shutil.ignore_patterns("__pycache__"),
        )
        shutil.copytree(Path(_simple_pid()), Path(folder) / "simple_pid")
        nothing = Mutant("nothing changed", "cutoffs.py", "", None, TABLE_TESTS, False)
        assert survives(nothing, package, words), "the tests fail on the firmware as it is"
        for mutant in (*table_mutants(), *evidence_mutants()):
            if codes and not any(code in mutant.name for code in codes):
                continue
            count += 1
            alive = survives(mutant, package, words)
            print(("SURVIVED" if alive else "noticed ") + "  " + mutant.name, flush=True)
            if alive:
                survivors.append(mutant)
    print(f"{count} changes, {len(survivors)} survived")
    return 1 if any(mutant.must_die for mutant in survivors) else 0


def _simple_pid() -> str:
    import simple_pid

    return str(Path(simple_pid.__file__).parent)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
