"""Faults of DS18B20 chips and their bus: each shows on the wire what it shows on a real one."""

from __future__ import annotations

import math
import random

import pytest
from crccheck.crc import Crc8MaximDow

from glossbath.errors import InputError
from glossbath.virtual.chips import BUS_FAULTS, CHIP_FAULTS, Ds18b20, OneWireBus

CONVERT, READ = b"\x44", b"\xbe"
SKIP, MATCH = b"\xcc", b"\x55"
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


def test_a_shorted_bus_looks_present_and_reads_zeros_with_a_good_crc() -> None:
    bus = OneWireBus([chip()])
    bus.inject("shorted")
    assert bus.reset(0)
    data = scratchpad(bus, 0)
    assert data == bytes(9)
    assert Crc8MaximDow.calc(data) == 0
    assert bus.roms() == [bytes(8)]
    bus.inject("")
    assert scratchpad(bus, 0) == POWER_ON


def test_an_open_bus_shows_nobody_and_ones() -> None:
    bus = OneWireBus([chip()])
    bus.inject("open")
    assert not bus.reset(0)
    assert scratchpad(bus, 0) == b"\xff" * 9
    assert bus.roms() == []


def test_an_absent_chip_leaves_the_others_alone() -> None:
    gone, here = chip(30.0, 1), chip(40.0, 2)
    bus = OneWireBus([gone, here])
    gone.inject("absent")
    convert(bus, 0)
    assert bus.roms() == [here.rom]
    assert bus.reset(0)
    assert scratchpad(bus, 750, gone.rom) == b"\xff" * 9
    assert int.from_bytes(scratchpad(bus, 750, here.rom)[:2], "little") == 640
    here.inject("absent")
    assert not bus.reset(0)


def test_a_mute_chip_shows_presence_and_reads_ones() -> None:
    one = chip()
    one.inject("mute")
    bus = OneWireBus([one])
    assert bus.reset(0)
    assert scratchpad(bus, 0) == b"\xff" * 9


def test_crc_noise_flips_one_bit_in_its_share_of_reads() -> None:
    one = Ds18b20(Ds18b20.rom_for(1), lambda: 31.5, rng=random.Random(3))
    bus = OneWireBus([one])
    convert(bus, 0)
    good = int.from_bytes(scratchpad(bus, 750), "little")
    one.inject("crc noise", 0.25)
    reads = [int.from_bytes(scratchpad(bus, 750), "little") for _ in range(1000)]
    assert {(read ^ good).bit_count() for read in reads} == {0, 1}
    assert sum(read != good for read in reads) == pytest.approx(250, abs=50)


def test_power_lost_in_conversions_reads_85_with_its_mark() -> None:
    one = chip(31.5)
    bus = OneWireBus([one])
    convert(bus, 0)
    one.inject("power-on")
    convert(bus, 1000)
    assert scratchpad(bus, 1750) == POWER_ON


def test_a_true_85_degrees_differs_from_the_power_on_value() -> None:
    bus = OneWireBus([chip(85.0)])
    convert(bus, 0)
    data = scratchpad(bus, 750)
    assert data[:2] == POWER_ON[:2]
    assert data != POWER_ON


def test_underpowered_reads_07ff() -> None:
    one = chip()
    one.inject("underpowered")
    bus = OneWireBus([one])
    convert(bus, 0)
    data = scratchpad(bus, 750)
    assert data[:2] == b"\xff\x07"
    assert Crc8MaximDow.calc(data) == 0


def test_stuck_keeps_its_last_value() -> None:
    now_c = 30.0
    one = Ds18b20(Ds18b20.rom_for(1), lambda: now_c)
    bus = OneWireBus([one])
    convert(bus, 0)
    before = scratchpad(bus, 750)
    one.inject("stuck")
    now_c = 45.0
    convert(bus, 1000)
    assert scratchpad(bus, 1750) == before


def test_a_clone_has_another_rom_with_a_good_crc() -> None:
    one = chip()
    genuine = one.rom
    one.inject("clone")
    (rom,) = OneWireBus([one]).roms()
    assert rom != genuine
    assert rom[0] == 0x28
    assert rom[5:7] != b"\x00\x00"
    assert Crc8MaximDow.calc(rom) == 0


def test_every_named_fault_can_be_set_and_mended() -> None:
    one = chip()
    bus = OneWireBus([one])
    for fault in CHIP_FAULTS:
        one.inject(fault)
        assert one.fault == fault
    for fault in BUS_FAULTS:
        bus.inject(fault)
        assert bus.fault == fault
    one.inject("")
    bus.inject("")
    convert(bus, 0)
    assert int.from_bytes(scratchpad(bus, 750)[:2], "little") == 504


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="is not one of"):
        chip().inject("tired")
    with pytest.raises(InputError, match="is not one of"):
        OneWireBus([]).inject("absent")
    with pytest.raises(InputError, match="share"):
        chip().inject("crc noise", math.nan)
    with pytest.raises(InputError, match="good CRC"):
        Ds18b20(bytes(8), lambda: 20.0)
    with pytest.raises(InputError, match="finite"):
        convert(OneWireBus([chip(math.nan)]), 0)
