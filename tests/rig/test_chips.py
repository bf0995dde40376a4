"""DS18B20 chips on their bus against the datasheet and published scratchpads."""

from __future__ import annotations

from pathlib import Path

import pytest
from crccheck.crc import Crc8MaximDow
from direct import direct
from hypothesis import given
from hypothesis import strategies as st

from glossbath.virtual.chips import Ds18b20, OneWireBus, crc8
from glossbath.virtual.engine import micropython_is_here

CONVERT, READ, WRITE, POWER = b"\x44", b"\xbe", b"\x4e", b"\xb4"
SKIP, MATCH, READ_ROM = b"\xcc", b"\x55", b"\x33"
POWER_ON = bytes.fromhex("50 05 4B 46 7F FF 0C 10 1C")


def chip(celsius: float = 31.5, serial: int = 1) -> Ds18b20:
    return Ds18b20(Ds18b20.rom_for(serial), lambda: celsius)


def scratchpad(bus: OneWireBus, now_ms: int, rom: bytes | None = None) -> bytes:
    bus.reset(now_ms)
    bus.write((SKIP if rom is None else MATCH + rom) + READ, now_ms)
    return bus.read(9, now_ms)


def convert(bus: OneWireBus, now_ms: int) -> None:
    bus.reset(now_ms)
    bus.write(SKIP + CONVERT, now_ms)


# The CRC.


@pytest.mark.parametrize(
    ("data", "crc"),
    [
        ("02 1C B8 01 00 00 00", 0xA2),  # Maxim application note 27
        ("31 32 33 34 35 36 37 38 39", 0xA1),  # catalogue check value of "123456789"
        ("28 FF 40 33 72 16 04", 0xE6),  # ROM of a real device, forum log
        ("6D 01 4B 46 7F FF 0C 10", 0x68),  # its scratchpad
        ("98 01 4B 46 7F FF 08 10", 0x22),  # a real scratchpad at 25.5 °C
        ("50 05 4B 46 7F FF 0C 10", 0x1C),  # after power-up
        ("00 00 00 00 00 00 00 00", 0x00),  # a shorted bus passes
    ],
)
def test_crc_of_published_bytes(data: str, crc: int) -> None:
    assert crc8(bytes.fromhex(data)) == crc
    assert Crc8MaximDow.calc(bytes.fromhex(data)) == crc


@given(st.binary(max_size=40))
def test_crc_agrees_with_crccheck(data: bytes) -> None:
    assert crc8(data) == Crc8MaximDow.calc(data)


# Temperatures.


@pytest.mark.parametrize(
    ("celsius", "raw"),
    [
        # Maxim DS18B20 datasheet, "Temperature/Data Relationship".
        (125.0, 0x07D0),
        (85.0, 0x0550),
        (25.0625, 0x0191),
        (10.125, 0x00A2),
        (0.5, 0x0008),
        (0.0, 0x0000),
        (-0.5, 0xFFF8),
        (-10.125, 0xFF5E),
        (-25.0625, 0xFE6F),
        (-55.0, 0xFC90),
    ],
)
def test_temperatures_of_the_datasheet(celsius: float, raw: int) -> None:
    bus = OneWireBus([chip(celsius)])
    convert(bus, 0)
    data = scratchpad(bus, 750)
    assert int.from_bytes(data[:2], "little") == raw
    assert data[8] == Crc8MaximDow.calc(data[:8])


def test_a_real_scratchpad_at_25_5_is_reproduced() -> None:
    bus = OneWireBus([chip(25.5)])
    convert(bus, 0)
    assert scratchpad(bus, 750) == bytes.fromhex("98 01 4B 46 7F FF 08 10 22")


@pytest.mark.parametrize(("celsius", "raw"), [(31.53, 0x1F8), (31.54, 0x1F9), (200.0, 0x7D0)])
def test_values_between_steps_go_to_the_nearest_and_stop_at_125(celsius: float, raw: int) -> None:
    bus = OneWireBus([chip(celsius)])
    convert(bus, 0)
    assert int.from_bytes(scratchpad(bus, 750)[:2], "little") == raw


def test_before_the_first_conversion_it_reads_85() -> None:
    assert scratchpad(OneWireBus([chip()]), 0) == POWER_ON


def test_a_read_before_750_ms_gives_the_old_value() -> None:
    now_c = 30.0
    bus = OneWireBus([Ds18b20(Ds18b20.rom_for(1), lambda: now_c)])
    convert(bus, 0)
    assert scratchpad(bus, 749) == POWER_ON
    first = scratchpad(bus, 750)
    now_c = 31.0
    convert(bus, 1000)
    now_c = 45.0  # what happens after the conversion began is not in it
    assert scratchpad(bus, 1749) == first
    assert int.from_bytes(scratchpad(bus, 1750)[:2], "little") == 31 * 16


def test_the_line_is_low_while_it_converts() -> None:
    bus = OneWireBus([chip()])
    convert(bus, 0)
    assert bus.read(1, 749) == b"\x00"
    assert bus.read(1, 750) == b"\xff"


@pytest.mark.parametrize(
    ("configuration", "ms", "raw"),
    [(0x1F, 94, 0x1F8), (0x3F, 188, 0x1FC), (0x5F, 375, 0x1FE), (0x7F, 750, 0x1FF)],
)
def test_resolution_sets_time_and_steps(configuration: int, ms: int, raw: int) -> None:
    # Datasheet: 93.75, 187.5, 375, 750 ms for 9 to 12 bits.
    bus = OneWireBus([chip(31.9375)])
    bus.reset(0)
    bus.write(SKIP + WRITE + bytes((0x20, 0x10, configuration)), 0)
    convert(bus, 0)
    assert scratchpad(bus, ms - 1)[:2] == b"\x50\x05"
    data = scratchpad(bus, ms)
    assert int.from_bytes(data[:2], "little") == raw
    assert data[2:5] == bytes((0x20, 0x10, configuration))


# ROMs and the bus.


def test_genuine_roms_have_family_zeros_and_crc() -> None:
    rom = Ds18b20.rom_for(0x01020304)
    assert rom[:7] == bytes.fromhex("28 04 03 02 01 00 00")
    assert Crc8MaximDow.calc(rom) == 0


def test_each_chip_answers_to_its_own_rom() -> None:
    bus = OneWireBus([chip(30.0, 1), chip(40.0, 2), chip(50.0, 3)])
    convert(bus, 0)
    assert len(bus.roms()) == 3
    for serial, celsius in ((1, 30), (2, 40), (3, 50)):
        data = scratchpad(bus, 750, Ds18b20.rom_for(serial))
        assert int.from_bytes(data[:2], "little") == celsius * 16
    assert scratchpad(bus, 750, Ds18b20.rom_for(9)) == b"\xff" * 9


def test_several_answering_at_once_make_rubbish_with_a_bad_crc() -> None:
    bus = OneWireBus([chip(30.0, 1), chip(41.0, 2)])
    convert(bus, 0)
    data = scratchpad(bus, 750)
    assert Crc8MaximDow.calc(data[:8]) != data[8]


def test_read_rom_and_read_power() -> None:
    alone = chip()
    bus = OneWireBus([alone])
    bus.reset(0)
    bus.write(READ_ROM, 0)
    assert bus.read(8, 0) == alone.rom
    for parasitic, answer in ((False, b"\xff"), (True, b"\x00")):
        alone.parasitic = parasitic
        bus.reset(0)
        bus.write(SKIP + POWER, 0)
        assert bus.read(1, 0) == answer


def test_a_search_needs_no_order_and_bytes_without_reset_do_nothing() -> None:
    bus = OneWireBus([chip()])
    bus.write(SKIP + CONVERT, 0)
    assert scratchpad(bus, 5000) == POWER_ON
    bus.reset(0)
    bus.write(b"\x99" + SKIP + READ, 0)
    assert bus.read(9, 0) == b"\xff" * 9


def test_a_scratchpad_can_be_read_in_parts_and_ends_in_ones() -> None:
    bus = OneWireBus([chip()])
    whole = scratchpad(bus, 0)
    bus.reset(0)
    bus.write(SKIP + READ, 0)
    assert bus.read(2, 0) + bus.read(7, 0) + bus.read(2, 0) == whole + b"\xff\xff"


@pytest.mark.skipif(not micropython_is_here(), reason="no MicroPython wheel for this platform")
def test_no_chip_is_asked_before_its_conversion_is_over(tmp_path: Path) -> None:
    """However much of a pass comes before its bus work: an order handled, flash written. A chip
    asked early would answer with its value of before and a good CRC."""
    with direct(tmp_path) as rig:
        rig.heat("dark")
        for at in range(240):
            rig.rig.stall_ms = (0, 90, 0, 0, 45, 0, 20)[at % 7]
            rig.step()
        assert not rig.trips
        assert rig.ask("stop")["ok"]
        rig.rig.stall_ms = 0
        rig.run(4)
        assert rig.ask("scan")["ok"]
        rig.run(6)
        early = {name: chip.asked_early for name, chip in rig.rig.chips.items()}
    assert early == {"chocolate": 0, "bath": 0, "body": 0}
