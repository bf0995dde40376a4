"""The host's own cut-offs: a board that does not do what it was told."""

from __future__ import annotations

import pytest
from watched_rig import MELT, Rig, raw

CONTRADICTIONS = {
    "heat without a probe": {"chocolate": "crc", "heat": 0.3},
    "bath target of nobody": {"target": 59.0},
    "phase beyond the recipe": {"index": 6},
    "heat while waiting": {"state": "waiting", "heat": 0.4},
    "heat when complete": {"state": "complete", "heat": 0.4},
}


@pytest.mark.parametrize("name", list(CONTRADICTIONS))
def test_a_board_that_does_what_it_was_not_told(name: str) -> None:
    rig = Rig()
    rig.second()
    for _ in range(5):
        rig.second(**CONTRADICTIONS[name])
    assert "host-contradiction" in rig.trips


def test_a_phase_that_goes_back_is_a_contradiction() -> None:
    rig = Rig()
    rig.second(index=0)
    rig.second(index=2, target=25.0)
    assert rig.found == {}
    rig.second(index=1)
    assert "host-contradiction" in rig.trips


def test_heat_after_a_stop_is_a_contradiction() -> None:
    rig = Rig()
    rig.second()
    rig.watch.stop_ordered(rig.now_ms)
    for _ in range(4):
        rig.second()
    assert rig.found == {}
    rig.second()
    assert rig.found["host-contradiction"] == "heat after a stop"


def test_a_phase_that_goes_on_after_its_time_is_a_contradiction() -> None:
    rig = Rig()
    rig.second()
    for _ in range(round(MELT.timeout_s) + 9):
        rig.second(heat=0.0, bath=45.0, target=45.0)
    assert rig.found == {}
    for _ in range(3):
        rig.second(heat=0.0, bath=45.0, target=45.0)
    assert "time limit" in rig.found["host-contradiction"]


def test_a_held_recipe_may_wait_as_long_as_it_is_held() -> None:
    rig = Rig()
    for _ in range(round(MELT.timeout_s) + 60):
        rig.second(heat=0.0, bath=45.0, target=45.0, state="held")
    assert rig.found == {}


def test_a_board_that_runs_for_somebody_else_is_a_contradiction() -> None:
    rig = Rig(begun=False)
    for _ in range(3):
        rig.second()
    assert "without having been started" in rig.found["host-contradiction"]


def test_another_cycle_than_ours_is_a_contradiction() -> None:
    rig = Rig()
    for _ in range(3):
        rig.now_ms += 1_000
        rig.board_ms += 1_000
        rig.watch.lease_sent(rig.now_ms)
        rig.watch.reading(raw(rig.board_ms), "theirs", rig.now_ms)
        rig.look()
    assert "another cycle" in rig.found["host-contradiction"]


def test_heat_without_a_lease_is_a_contradiction() -> None:
    rig = Rig()
    rig.second()
    for _ in range(11):
        rig.now_ms += 1_000
        rig.board_ms += 1_000
        rig.watch.reading(raw(rig.board_ms), "ours", rig.now_ms)
        rig.look()
    assert rig.found["host-contradiction"] == "heat without a lease"
