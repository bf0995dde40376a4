"""Water in the chocolate, heard in the stirrer's current on the real firmware."""

from __future__ import annotations

from pathlib import Path

import pytest
from sampling import sample
from world import World, world

from glossbath.process.seizing import SAYS_WITHIN_S
from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.stirrer import StirrerParameters
from glossbath.virtual.virtual import Options


def warm(seed: int = 1, stiffer: float = 25.0) -> Options:
    """A bowl that is melted already; water makes its chocolate so many times as stiff."""
    begin = {"chocolate_c": 47.0, "bath_c": 48.0, "body_c": 49.0, "stable_share": 0.0}
    stirrer = StirrerParameters(seized_factor=stiffer)
    return Options(begin=begin, seed=seed, parameters=PlantParameters(stirrer=stirrer))


def seized(rig: World) -> bool:
    """Whether the alarm stands."""
    return any(alarm.code == "seized" for alarm in rig.alarms())


@pytest.mark.parametrize("phase", ["soak", "cool"])
def test_a_little_water_is_told_in_time(tmp_path: Path, phase: str) -> None:
    with world(tmp_path, warm(stiffer=4.0), fast=True) as rig:
        assert rig.start("dark").ok
        rig.until(lambda: bool(rig.readings()) and rig.readings()[-1].phase == phase, 3600)
        rig.run(150)
        assert not seized(rig)
        rig.rig.plant.stirrer.seized = True
        took_s = rig.until(lambda: seized(rig), 300)
        assert took_s <= SAYS_WITHIN_S + 2  # a reading comes once a second
        (alarm,) = [alarm for alarm in rig.alarms() if alarm.code == "seized"]
        assert "water may have got in" in alarm.happened
        assert "stop the stirrer" in alarm.do_now
        assert [event.code for event in rig.events("alarm")].count("seized") == 1


def test_a_stirrer_that_stands_still_is_told_by_the_board_before(tmp_path: Path) -> None:
    with world(tmp_path, warm(), fast=True) as rig:
        assert rig.start("dark").ok
        rig.until(lambda: bool(rig.readings()) and rig.readings()[-1].phase == "soak", 3600)
        rig.run(150)
        rig.rig.plant.stirrer.seized = True
        took_s = rig.until(lambda: rig.state == "tripped", 300)
        assert took_s <= SAYS_WITHIN_S
        (alarm,) = rig.alarms()
        assert "the chocolate is too thick" in alarm.happened
        assert "seized" in alarm.do_now


@pytest.mark.parametrize("seed", sample([1, 2], of=2))
def test_a_normal_cycle_raises_no_alarm_of_it(tmp_path: Path, seed: int) -> None:
    with world(tmp_path, warm(seed), fast=True) as rig:
        assert rig.start("dark", 300).ok
        rig.until(lambda: bool(rig.result), 4 * 3600)
        assert rig.result == "complete"
        assert "seized" not in [event.code for event in rig.events("alarm")]
        assert any(reading.stir_ma for reading in rig.readings())
