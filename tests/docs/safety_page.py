"""safety.md's tables, read and written; and how the page says numbers."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / name) for name in ("rig", "stand_ins")]

from fault import Fault  # noqa: E402

PAGE = ROOT / "safety.md"
BOARD = "## The board's cut-offs"
COMPUTER = "## The computer's own cut-offs"
FAULTS = "## What was broken on purpose"
PROOFS = "## Proof tests"
FAULT_COLUMNS = [
    "what was broken",
    "the cycle",
    "told",
    "within",
    "after",
    "heat flows at most",
    "flowed",
]

_MOST_AND_TOOK = (
    ("allowed", "measured"),
    ("within", "after"),
    ("heat flows at most", "flowed"),
)

Row = dict[str, str]


def rows(heading: str, text: str | None = None) -> list[Row]:
    """The first table under a heading, a dict a row."""
    page = PAGE.read_text(encoding="utf-8") if text is None else text
    lines = _section(page, heading).splitlines()
    cells = [
        [cell.strip() for cell in lines[at].strip("|").split("|")] for at in _first_table(lines)
    ]
    return [dict(zip(cells[0], row, strict=True)) for row in cells[2:]]


def replaced(page: str, heading: str, new: list[Row]) -> str:
    """The page with other rows in the first table under a heading."""
    section = _section(page, heading)
    lines = section.splitlines(keepends=True)
    table = _first_table(lines)
    names = list(new[0])
    made = [
        "| " + " | ".join(names) + " |\n",
        "|" + "---|" * len(names) + "\n",
        *("| " + " | ".join(row.values()) + " |\n" for row in new),
    ]
    lines[table[0] : table[-1] + 1] = made
    return page.replace(section, "".join(lines))


def _first_table(lines: list[str]) -> range:
    begin = next(at for at, line in enumerate(lines) if line.startswith("|"))
    ends = (at for at, line in enumerate(lines) if at > begin and not line.startswith("|"))
    return range(begin, next(ends, len(lines)))


def _section(page: str, heading: str) -> str:
    return page.split(heading + "\n", 1)[1].split("\n## ")[0]


def seconds(value: float | None) -> str:
    """A measured time."""
    return "–" if value is None else f"{value:.2f} s"


def allowed(value: float | None) -> str:
    """A time that something may take at most."""
    return "–" if value is None else f"{value:g} s"


def told_within_s(fault: Fault) -> float | None:
    """For how long at most the person is not told; None where nobody need be."""
    if not fault.told:
        return None
    return fault.within_s if fault.surely_s is None else fault.surely_s


def number(cell: str) -> float | None:
    """The seconds that a cell says, or None."""
    word, _, unit = cell.partition(" ")
    return float(word) if unit == "s" else None


def late(row: Row) -> list[str]:
    """What in a row took longer than it may, as sentences."""
    found = []
    for may, did in _MOST_AND_TOOK:
        most, took = number(row.get(may, "–")), number(row.get(did, "–"))
        if most is not None and took is not None and not took <= most:
            found.append(f"{next(iter(row.values()))}: {did} {took:g} s, {may} {most:g} s")
    return found
