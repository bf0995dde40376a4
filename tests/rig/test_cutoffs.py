"""Each cut-off met by its fault on the real firmware: the right trip, in time, dark for good."""

from __future__ import annotations

from pathlib import Path

import pytest
from cutoff_case import Case
from cutoff_cases import CASES
from direct import direct, measure

from glossbath_board.supervisor import CUTOFFS

# Met elsewhere: by the start test, at start, by an exception, or by nobody pressing a button.
ELSEWHERE = {
    "proof-off",
    "proof-relay",
    "proof-switch",
    "proof-power",
    "settings",
    "files",
    "record-lost",
    "reset-loop",
    "firmware",
    "arm",
}
# A clock that stands still by more than this is ended by the watchdog first.
UNIT_ONLY = {"clock"}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_fault_ends_in_its_trip_in_time(case: Case, tmp_path: Path) -> None:
    with direct(tmp_path, case.options) as d:
        took_s = measure(d, case)
        code, detail = d.trips[0]
        assert code == case.code
        assert not case.detail or detail == case.detail
        assert took_s <= case.allowed_s
        assert d.dark
        d.run(3.0)  # the relay's charge pump lets go
        if code != "unasked-heat":
            assert d.rig.heat_share == 0.0
        d.run(60.0)
        assert d.dark and d.state == "tripped" and len(d.trips) == 1
        assert d.longest_frame < 200


def test_every_row_has_a_fault_that_brings_it_about() -> None:
    met = {case.code for case in CASES}
    assert {row.code for row in CUTOFFS} == met | ELSEWHERE | UNIT_ONLY
