"""safety.md's tables against the code: a row, a limit or a test that no longer matches fails."""

from __future__ import annotations

import re

import host_cases
import pytest
import safety_page as page
from cutoff_cases import CASES
from fault import Fault
from faults import FAULTS
from safety_page import ROOT, Row
from witness import UNASKED_MOST_S

from glossbath.checks import limits, words
from glossbath_board.cutoffs import CUTOFFS, GONE, STOP, Cutoff

COLUMNS = [
    "code",
    "hazard",
    "condition",
    "limit",
    "lasts",
    "allowed",
    "measured",
    "cleared",
    "test",
]


def by_code(heading: str) -> dict[str, Row]:
    """A table's rows by their code."""
    return {row["code"].strip("`"): row for row in page.rows(heading)}


ROWS = by_code(page.BOARD)
COMPUTER = by_code(page.COMPUTER)
BROKEN = {row["what was broken"]: row for row in page.rows(page.FAULTS)}
BESIDES = page.rows("And these, each in a test of its own:")


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
    assert said["lasts"] == duration(row.allowed_ms)
    if row.does & STOP:
        assert said["cleared"] == "start again"
    else:
        assert said["cleared"] == (
            "by a person, once it is gone" if row.does & GONE else "by a person"
        )
    assert all(said.values())
    assert page.late(said) == []
    cases = [case.allowed_s for case in CASES if case.code == row.code]
    if cases:
        assert said["allowed"] == page.allowed(max(cases))
        assert page.number(said["measured"]) is not None


@pytest.mark.parametrize(
    "test",
    [row["test"] for row in [*ROWS.values(), *BESIDES]]
    + ["`tests/rig/test_campaign.py::test_fault_ends_as_it_should`"],
)
def test_a_test_that_is_named_exists(test: str) -> None:
    where, name = re.fullmatch(r"`(\S+)::(\w+)`", test).groups()  # type: ignore[union-attr]
    assert f"def {name}(" in (ROOT / where).read_text(encoding="utf-8")


def test_every_trip_of_the_computer_has_its_row_and_every_row_its_trip() -> None:
    trips = [code for code in words.codes() if words.meaning(code).priority == words.HIGH]  # type: ignore[union-attr]
    assert sorted(COMPUTER) == sorted(trips)


# What the page says of the computer's limits, by code.
SAID = {
    "host-hot": (
        f"recipe's limit + {limits.CHOCOLATE_OVER_C} °C; bath {limits.BATH_CEILING_C} °C, or "
        f"{limits.BATH_OVER_C:g} °C above the warmest the recipe asks for; "
        f"body {limits.BODY_CEILING_C:g} °C"
    ),
    "host-forecast": (
        f"recipe's limit + {limits.STORED_OVER_C} °C, for {limits.STORED_MS // 1000} s"
    ),
    "host-rise": (
        f"bath {limits.BATH_RISE_C_MIN:g} °C/min for {limits.BATH_RISE_S} s, chocolate "
        f"{limits.CHOCOLATE_RISE_C_MIN:g} °C/min and body {limits.BODY_RISE_C_MIN:g} °C/min "
        f"for {limits.BODY_RISE_S} s"
    ),
    "host-dry": (
        f"{limits.BODY_OVER_BATH_FACTOR:g} × the rig's own + {limits.BODY_OVER_BATH_C:g} °C, "
        f"{limits.BODY_OVER_BATH_UNKNOWN_C:g} °C until it is known, for "
        f"{limits.STORED_MS // 1000} s"
    ),
    "host-unasked": f"{limits.UNASKED_W:g} W over {limits.UNASKED_S} s",
    "host-implausible": "see `host/glossbath/checks/limits.py`",
    "host-stale": f"{limits.STALE_MS // 1000} s",
    "host-blind": f"{limits.BLIND_MS // 1000} s",
    "host-contradiction": f"{limits.OBEY_MS // 1000} s",
    "host-absent": f"{limits.GONE_MS / 1000} s",
}


@pytest.mark.parametrize("code", list(SAID))
def test_a_row_of_the_computer_says_what_the_code_does(code: str) -> None:
    said = COMPUTER[code]
    assert said["limit"] == SAID[code]
    cases = [case.allowed_s for case in host_cases.CASES if case.code == code]
    if None in cases:
        assert said["measured"].endswith("°C below it")
        return
    assert said["allowed"] == page.allowed(max(each for each in cases if each is not None))
    assert page.number(said["measured"]) is not None
    assert page.late(said) == []


def test_the_computers_cut_offs_share_no_code_with_the_boards() -> None:
    for file in (ROOT / "host" / "glossbath" / "checks").glob("*.py"):
        assert "glossbath_board" not in file.read_text(encoding="utf-8"), file.name


def test_every_fault_of_the_campaign_has_its_row_and_every_row_its_fault() -> None:
    assert list(BROKEN) == list(FAULTS)


@pytest.mark.parametrize("name", list(FAULTS))
def test_a_fault_says_what_was_found_in_time(name: str) -> None:
    fault: Fault = FAULTS[name]
    said = BROKEN[name]
    assert list(said) == page.FAULT_COLUMNS
    assert said["within"] == page.allowed(page.told_within_s(fault))
    assert said["heat flows at most"] == page.allowed(fault.heat_off_s)
    assert page.late(said) == []
    if fault.told:
        assert said["told"].strip("`") in fault.told
        assert page.number(said["after"]) is not None
    if fault.heat_off_s is not None:
        assert page.number(said["flowed"]) is not None
    ends = {"goes on": "running", "trips": "tripped", "trips, keeper new": ""}
    assert ends[said["the cycle"]] in fault.ends


def test_unasked_heat_is_bounded_as_the_page_says() -> None:
    text = page.PAGE.read_text(encoding="utf-8")
    assert f"flows for at most {UNASKED_MOST_S:g} s" in text
    longest_s = max(fault.unasked_s for fault in FAULTS.values())
    assert f"found by the warming, within {longest_s:g} s" in text


def test_proof_tests_are_those_of_the_care_guide() -> None:
    guide = (ROOT / "hardware" / "care.md").read_text(encoding="utf-8")
    found = re.findall(
        r"^### (PT-\d+) .*\n\n\*\*(Every .*?)\. (You|Licensed)", guide, re.MULTILINE
    )
    assert [row["test"] for row in page.rows(page.PROOFS)] == [name for name, _, _ in found]
    for row, (_, often, who) in zip(page.rows(page.PROOFS), found, strict=True):
        every = re.match(r"every (\d+ )?\w+", row["how often"])
        assert every is not None and often.lower().startswith(every.group())
        assert row["who"].startswith(who.lower())
