"""Chocolate that leaves its window while it is held for work: a person must hear of it."""

from __future__ import annotations

from watched_rig import Rig

from glossbath.checks import words

WORK = {"bath": 30.6, "body": 31.0, "target": 30.5, "heat": 0.1, "index": 4}
COOL = {**WORK, "index": 2}


def rig_of(*spells: tuple[int, float]) -> Rig:
    """A hold in which the chocolate has these temperatures for so many seconds."""
    rig = Rig()
    for seconds, celsius in spells:
        for _ in range(seconds):
            rig.second(chocolate=celsius, **WORK)
    return rig


def test_three_minutes_a_degree_below_the_window_are_told() -> None:
    rig = rig_of((20, 30.5), (185, 28.9))
    assert rig.found["hold-astray"] == "28.9 °C, below 30 °C"
    assert not rig.trips
    said = words.meaning("hold-astray", rig.found["hold-astray"])
    assert said is not None and "may have left its temper" in said.happened


def test_three_minutes_a_degree_above_the_window_are_told() -> None:
    rig = rig_of((20, 30.5), (185, 32.1))
    assert rig.found["hold-astray"] == "32.1 °C, above 31 °C"


def test_what_comes_back_in_time_or_strays_less_is_not_told() -> None:
    assert "hold-astray" not in rig_of((20, 30.5), (170, 28.9), (20, 30.2), (170, 28.9)).found
    assert "hold-astray" not in rig_of((20, 30.5), (900, 29.1)).found


def test_a_hold_that_has_not_begun_and_other_phases_are_not_judged() -> None:
    assert "hold-astray" not in rig_of((300, 28.5)).found
    rig = Rig()
    for _ in range(300):
        rig.second(chocolate=34.0, **COOL)
    assert "hold-astray" not in rig.found


def test_heat_held_back_from_a_thick_crock_is_nothing_to_look_for() -> None:
    for body, told in ((72.0, False), (60.0, True)):
        rig = Rig()
        for _ in range(40):
            rig.second(heat=0.0, bath=46.0, body=body, target=50.0)
        assert ("heat-withheld" in rig.found) is told
