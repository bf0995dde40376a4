"""safety.md's tables against the code: a row, a limit or a test that no longer matches fails."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from glossbath_board.cutoffs import CUTOFFS, GONE, STOP, Cutoff

ROOT = Path(__file__).parents[2]
HEADING = "## The board's cut-offs"
COLUMNS = ["code", "hazard", "condition", "limit", "allowed", "measured", "cleared", "test"]


def _rows(heading: str) -> list[dict[str, str]]:
    """The first table under a heading, a dict a row."""
    text = (ROOT / "safety.md").read_text(encoding="utf-8").split(heading, 1)[1]
    lines = [line for line in text.split("\n## ")[0].splitlines() if line.startswith("|")]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    return [dict(zip(cells[0], row, strict=True)) for row in cells[2:]]


ROWS = {row["code"].strip("`"): row for row in _rows(HEADING)}


def duration(ms: int) -> str:
    """Milliseconds as the page says them."""
    if ms == 0:
        return "at once"
    for unit, length in (("h", 3_600_000), ("min", 60_000)):
        if ms >= length and ms % length == 0:
            return f"{ms // length} {unit}"
    return f"{ms / 1000:g} s"


def limit(row: Cutoff) -> str:
    """A row's limit as the page says it."""
    scaled = {
        "m°C": (1000, "°C"),
        "m°C s": (60_000, "°C min"),
        "mV": (1000, "V"),
        "mA": (1, "mA"),
        "s": (1, "s"),
        "passes": (1, "passes"),
        "resets": (1, "resets"),
    }
    if not row.unit:
        return "–"
    if row.unit == "ms":
        return duration(row.limit)
    divisor, unit = scaled[row.unit]
    return f"{row.limit / divisor:g} {unit}"


def test_every_cutoff_of_the_board_has_its_row_and_every_row_its_cutoff() -> None:
    assert [row.code for row in CUTOFFS] == list(ROWS)


@pytest.mark.parametrize("row", CUTOFFS, ids=lambda row: row.code)
def test_row_says_what_the_code_does(row: Cutoff) -> None:
    said = ROWS[row.code]
    assert list(said) == COLUMNS
    assert said["limit"] == limit(row)
    assert said["allowed"] == duration(row.allowed_ms)
    if row.does & STOP:
        assert said["cleared"] == "start again"
    else:
        assert said["cleared"] == (
            "by a person, once it is gone" if row.does & GONE else "by a person"
        )
    assert all(said[name] for name in ("hazard", "condition", "measured", "test"))


@pytest.mark.parametrize("code", list(ROWS))
def test_the_test_that_proves_a_row_exists(code: str) -> None:
    where, name = re.fullmatch(r"`(\S+)::(\w+)`", ROWS[code]["test"]).groups()  # type: ignore[union-attr]
    assert f"def {name}(" in (ROOT / where).read_text(encoding="utf-8")
