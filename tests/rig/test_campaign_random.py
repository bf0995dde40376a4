"""Seeded runs with one to three faults at random moments of a cycle; a hundred when run whole."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from campaign import run_random
from crew import Crew
from sampling import WHOLE

SEEDS = range(1, 101 if WHOLE else 11)
EACH = 10


@pytest.fixture(scope="module")
def crew() -> Iterator[Crew]:
    crew = Crew(run_random, SEEDS)
    yield crew
    crew.close()


@pytest.mark.parametrize("first", SEEDS[::EACH])
def test_random_faults_end_as_they_should(crew: Crew, first: int) -> None:
    failed = []
    for seed in range(first, first + EACH):
        outcome = crew.result(seed)
        if outcome.problems:
            failed.append(outcome)
    assert failed == []
