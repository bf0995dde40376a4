"""Where the host begins to contradict its board, to the millisecond and the quarter degree."""

from __future__ import annotations

from typing import Any

import pytest
from watched_rig import MELT, RECIPE, Rig

SLACK_C = 0.25
LAST_S = round(MELT.timeout_s)


def _found(rig: Rig) -> str:
    return rig.found.get("host-contradiction", "")


# What must last: (begun, what the reading says, ms from its first sight to the word, the word).
LASTING: dict[str, tuple[bool, dict[str, Any], int, str]] = {
    "idle heat": (True, {"state": "waiting", "heat": 0.4}, 900, "heat while waiting"),
    "stranger": (False, {"heat": 0.0}, 900, "running without having been started from here"),
    "other": (True, {"cycle": "theirs"}, 900, "it runs another cycle than the one started"),
    "target": (True, {"target": 59.0, "heat": 0.0}, 2_900, "bath target 59.0 °C, not of phase"),
}


@pytest.mark.parametrize("name", list(LASTING))
@pytest.mark.parametrize(("early_ms", "told"), [(0, True), (1, False)])
def test_a_sign_counts_once_it_has_lasted_and_not_a_moment_before(
    name: str, early_ms: int, told: bool
) -> None:
    begun, changes, lasts_ms, word = LASTING[name]
    rig = Rig(begun=begun)
    rig.after(1_000, **changes)
    assert _found(rig) == ""
    rig.after(lasts_ms - early_ms, **changes)
    assert _found(rig).startswith(word) == told


@pytest.mark.parametrize(
    ("target_c", "told"),
    [
        (MELT.bath_high_c + SLACK_C, False),
        (MELT.bath_high_c + SLACK_C + 0.02, True),
        (MELT.bath_low_c - SLACK_C, False),
        (MELT.bath_low_c - SLACK_C - 0.02, True),
    ],
)
def test_a_bath_target_may_be_a_quarter_degree_beside_its_phase(
    target_c: float, told: bool
) -> None:
    rig = Rig()
    for _ in range(5):
        rig.second(target=target_c, heat=0.0, bath=target_c)
    assert ("not of phase" in _found(rig)) == told


def test_a_fault_of_a_probe_without_heat_is_no_contradiction() -> None:
    rig = Rig()
    for _ in range(3):
        rig.second(chocolate="crc", heat=0.0)
    assert _found(rig) == ""


def test_a_board_that_goes_on_cold_after_a_stop_has_not_obeyed() -> None:
    rig = Rig()
    rig.second()
    rig.watch.stop_ordered(rig.now_ms)
    rig.after(4_000, heat=0.0)
    assert _found(rig) == ""
    rig.after(1, heat=0.0)
    assert _found(rig) == "running after a stop"


def test_a_board_that_rests_after_a_stop_has_obeyed() -> None:
    rig = Rig()
    rig.second()
    rig.watch.stop_ordered(rig.now_ms)
    for _ in range(10):
        rig.second(heat=0.0, state="idle")
    assert _found(rig) == ""


def test_the_first_of_two_stops_counts() -> None:
    rig = Rig()
    rig.second()
    rig.watch.stop_ordered(rig.now_ms)
    rig.after(3_000)
    rig.watch.stop_ordered(rig.now_ms)
    rig.after(1_001)
    assert _found(rig) == "heat after a stop"


def test_an_obeyed_stop_says_nothing_of_what_is_started_later() -> None:
    rig = Rig()
    rig.second()
    rig.watch.stop_ordered(rig.now_ms)
    rig.second(heat=0.0, state="idle")
    rig.watch.stop_seen()
    for _ in range(8):
        rig.second()
    assert _found(rig) == ""


def test_a_phase_after_the_last_and_one_before_are_named_as_a_person_counts() -> None:
    rig = Rig()
    rig.second(index=len(RECIPE.phases))
    assert _found(rig) == f"phase number {len(RECIPE.phases) + 1} after number 1"
    rig = Rig()
    hold = len(RECIPE.phases) - 1
    rig.second(index=hold, target=31.0, bath=31.0, chocolate=31.0)
    assert _found(rig) == ""
    rig.second(index=hold - 1, target=31.0, bath=31.0, chocolate=31.0)
    assert _found(rig) == f"phase number {hold} after number {hold + 1}"


def test_a_phase_before_is_no_contradiction_once_that_was_ordered_and_only_once() -> None:
    rig = Rig()
    warm = {"target": 45.0, "bath": 45.0, "chocolate": 45.0, "heat": 0.0}
    rig.second(index=2, target=31.0, bath=31.0, chocolate=31.0, heat=0.0)
    rig.watch.back_ordered(1)
    rig.second(index=2, target=31.0, bath=31.0, chocolate=31.0, heat=0.0)  # not there yet
    for _ in range(3):
        rig.second(index=1, state="held", **warm)
    rig.second(index=2, target=31.0, bath=31.0, chocolate=31.0, heat=0.0)
    assert _found(rig) == ""
    rig.second(index=1, **warm)
    assert _found(rig) == "phase number 2 after number 3"


def test_a_phase_that_was_gone_back_to_has_its_time_anew() -> None:
    calm = {"heat": 0.0, "bath": 45.0, "target": 45.0, "chocolate": 45.0}
    rig = Rig()
    for _ in range(3):
        rig.second(**calm, index=1)
    rig.now_ms += 3 * LAST_S * 1000
    rig.found.clear()
    rig.second(**calm, index=2, state="held")
    rig.watch.back_ordered(1)
    rig.second(**calm, index=1, state="held")
    rig.second(**calm, index=1)
    assert "time limit" not in _found(rig)


@pytest.mark.parametrize(("late_ms", "told"), [(10_000, False), (10_001, True)])
def test_a_phase_has_its_time_and_ten_seconds(late_ms: int, told: bool) -> None:
    calm = {"heat": 0.0, "bath": 45.0, "target": 45.0}
    rig = Rig()
    rig.second(**calm)
    for _ in range(LAST_S):
        rig.second(**calm)
    rig.after(late_ms, **calm)
    assert ("goes on after its time limit" in _found(rig)) == told


def test_the_time_that_a_recipe_was_held_is_not_counted_but_what_ran_is() -> None:
    calm = {"heat": 0.0, "bath": 45.0, "target": 45.0}
    ran_ms = LAST_S * 1000 - 5_000
    rig = Rig()
    rig.second(**calm)
    for _ in range(30):  # held, with all but five seconds of the phase run before
        rig.second(**calm, state="held", phase_ms=ran_ms)
    for _ in range(15):
        rig.second(**calm)
    assert _found(rig) == ""
    rig.second(**calm)
    assert "goes on after its time limit" in _found(rig)


@pytest.mark.parametrize(
    ("ms", "heat", "told"), [(10_000, 0.5, False), (10_001, 0.5, True), (10_001, 0.0, False)]
)
def test_heat_may_outlive_its_lease_by_ten_seconds_of_the_wire(
    ms: int, heat: float, told: bool
) -> None:
    rig = Rig()
    rig.second()
    rig.after(ms, leased=False, heat=heat)
    assert (_found(rig) == "heat without a lease") == told
