"""What a person is told of a damp or hot room before a cycle begins. The rooms are invented."""

from __future__ import annotations

import pytest

from glossbath.client.messages import Reading
from glossbath.recipe import load
from glossbath.view.recipes import kitchen_lines
from glossbath.words import Degrees


def reading(room_c: float | None, rh_percent: float | None) -> Reading:
    return Reading(
        time_s=0.0, wall="", chocolate_c=22.0, bath_c=22.0, body_c=22.0, target_c=None,
        bath_target_c=None, heat_share=0.0, chill_share=0.0, stir_share=0.0, state="idle",
        phase="", phase_index=0, phase_elapsed_s=0.0, phase_left_s=None, cycle_left_s=None,
        room_c=room_c, room_rh_percent=rh_percent,
    )  # fmt: skip


def words(room_c: float | None, rh_percent: float | None, fahrenheit: bool = False) -> str:
    lines = kitchen_lines(load("dark"), reading(room_c, rh_percent), Degrees(fahrenheit))
    return " ".join(text for line in lines for text, _ in line)


def test_a_hot_damp_room_is_told_of_lid_bowl_and_chocolate() -> None:
    # Dew point of 30 °C and 75 %: 25.1 °C (Magnus formula, WMO-No. 8).
    said = words(30.0, 75.0)
    assert "dew point is 25.1 °C" in said
    assert "the bath's lid and the bowl's outside will sweat" in said
    assert "dry or cool the room before you start" in said
    assert "dew point is 77.2 °F" in words(30.0, 75.0, fahrenheit=True)


@pytest.mark.parametrize(
    ("room_c", "rh_percent"), [(20.0, 45.0), (None, None), (22.0, None), (22.0, 0.0), (99.0, 50.0)]
)
def test_a_dry_room_or_one_that_nobody_measured_is_not_warned_of(
    room_c: float | None, rh_percent: float | None
) -> None:
    assert words(room_c, rh_percent) == ""
    assert kitchen_lines(load("dark"), None, Degrees()) == []
