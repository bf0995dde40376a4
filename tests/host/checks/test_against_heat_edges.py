"""Chocolate that moves against the heat, and where that is told: both sides of each limit.

Heat flows from warm to cold: a probe that says otherwise is not in the chocolate.
"""

from __future__ import annotations

import pytest
from watched_rig import Rig

CALM = {"bath": 46.0, "body": 47.0, "heat": 0.1, "target": 46.0}


def _implausible(rig: Rig) -> bool:
    return "host-implausible" in rig.trips


@pytest.mark.parametrize(
    ("rises_c", "colder_k", "told"),
    [(1.02, 2.1, True), (0.98, 2.1, False), (1.02, 1.9, False)],
)
def test_chocolate_may_rise_a_degree_in_two_minutes_over_a_bath_two_kelvin_colder(
    rises_c: float, colder_k: float, told: bool
) -> None:
    rig = Rig()
    for second in range(121):
        warm_c = 40.0 + rises_c * second / 120
        bath_c = warm_c - colder_k
        rig.second(**{**CALM, "chocolate": warm_c, "bath": bath_c, "target": bath_c})
    assert _implausible(rig) == told


@pytest.mark.parametrize(
    ("falls_c", "warmer_k", "told"),
    [(0.52, 2.1, True), (0.48, 2.1, False), (0.52, 1.9, False)],
)
def test_chocolate_may_fall_half_a_degree_in_four_minutes_under_a_bath_two_kelvin_warmer(
    falls_c: float, warmer_k: float, told: bool
) -> None:
    rig = Rig()
    for second in range(241):
        cold_c = 40.0 - falls_c * second / 240
        rig.second(**{**CALM, "chocolate": cold_c, "bath": cold_c + warmer_k})
    assert _implausible(rig) == told


# 4 K below its bath molten chocolate has to answer within 150 s, unless pieces were put in.
@pytest.mark.parametrize(("fell_c", "told"), [(0.49, True), (0.5, False)])
def test_a_fall_of_half_a_degree_at_once_means_pieces_that_have_to_melt_first(
    fell_c: float, told: bool
) -> None:
    rig = Rig()
    for _ in range(40):
        rig.second(**CALM, chocolate=42.5)
    for _ in range(200):
        rig.second(**CALM, chocolate=42.5 - fell_c)
    assert _implausible(rig) == told


def test_pieces_may_take_ten_minutes_to_melt() -> None:
    rig = Rig()
    for _ in range(40):
        rig.second(**CALM, chocolate=42.5)
    # A fall is one for half a minute, so the last second of it begins the ten minutes.
    for _ in range(600 + 29):
        rig.second(**CALM, chocolate=42.0)
    assert not _implausible(rig)
    for _ in range(2):
        rig.second(**CALM, chocolate=42.0)
    assert _implausible(rig)


@pytest.mark.parametrize(("index", "told"), [(0, False), (1, False), (2, True), (4, True)])
def test_below_37_degrees_only_the_phases_after_soaking_have_nothing_left_to_melt(
    index: int, told: bool
) -> None:
    rig = Rig()
    for _ in range(151):
        rig.second(
            **CALM | {"bath": 33.0, "target": 33.0, "body": 34.0}, chocolate=30.0, index=index
        )
    assert _implausible(rig) == told


def test_a_board_whose_clock_goes_slow_is_not_taken_for_a_late_one() -> None:
    # A quartz is good to some 0.01 %, a bare oscillator to a per cent or two: the quickest
    # delivery of ten minutes is the measure, so a drift shows only as far as those go back.
    rig = Rig()
    lost_ms = 0.0
    for _ in range(1_800):
        lost_ms += 3_000 / 610
        rig.board_ms -= int(lost_ms)
        lost_ms -= int(lost_ms)
        rig.second(**CALM, chocolate=45.5)
    assert "readings-missing" not in rig.found
