"""The room's sensor on the rig: what the board tells of the room, and what it does without one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from direct import Direct, direct

from glossbath.virtual.room_sensor import ADDRESS, RoomSensor, crc8


def health(d: Direct) -> dict[str, Any]:
    """The next report of the board's health."""
    d.health = {}
    d.until(lambda: bool(d.health), 12)
    return d.health


def test_checksum_is_that_of_the_datasheet() -> None:
    assert crc8(bytes.fromhex("BEEF")) == 0x92  # SHT3x datasheet, table 20


def test_answers_are_those_of_the_datasheets_formulas() -> None:
    chip = RoomSensor(lambda: 25.0, lambda: 40.0)
    assert chip.write(ADDRESS, b"\x24\x00", 0)
    assert chip.read(ADDRESS, 6, 15) is None  # a measurement takes up to 15.5 ms
    answer = chip.read(ADDRESS, 6, 16)
    assert answer is not None and answer[:2] == answer[3:5] == b"\x66\x66"
    assert chip.read(ADDRESS, 6, 17) is None
    assert not chip.write(ADDRESS + 1, b"\x24\x00", 20)


def test_the_board_tells_the_rooms_temperature_and_humidity(tmp_path: Path) -> None:
    with direct(tmp_path) as d:
        told = health(d)
        assert told["rt"] == pytest.approx(24_000, abs=5)
        assert told["rh"] == pytest.approx(60_000, abs=5)
        d.rig.plant.set_room(31.0, 75.0)
        told = health(d)
        assert told["rt"] == pytest.approx(31_000, abs=5)
        assert told["rh"] == pytest.approx(75_000, abs=5)


@pytest.mark.parametrize("fault", ["absent", "crc noise", "heater"])
def test_a_rig_without_a_good_room_sensor_heats_and_says_nothing_of_the_room(
    tmp_path: Path, fault: str
) -> None:
    with direct(tmp_path) as d:
        d.rig.room_sensor.inject(fault)
        d.heat()
        d.run(70)  # the heater is looked at once a minute
        assert "rt" not in health(d)
        assert d.state == "running" and not d.trips
        d.rig.room_sensor.inject("")
        d.run(3)
        assert health(d)["rt"] == pytest.approx(24_000, abs=5)
