"""Every named fault once, through the real firmware and the real keeper.

The names with how each is put in and what end is expected are in faults_*.py, what counts as a
failure is in campaign.py.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from campaign import run_named
from crew import Crew
from faults import FAULTS

NAMES = list(FAULTS)


@pytest.fixture(scope="module")
def crew() -> Iterator[Crew]:
    crew = Crew(run_named, NAMES)
    yield crew
    crew.close()


@pytest.mark.parametrize("name", NAMES)
def test_fault_ends_as_it_should(crew: Crew, name: str) -> None:
    outcome = crew.result(name)
    assert outcome.problems == [], outcome


def test_every_fault_says_why_nothing_can_show_a_wrong_reading() -> None:
    for fault in FAULTS.values():
        assert bool(fault.why) or not fault.blind
