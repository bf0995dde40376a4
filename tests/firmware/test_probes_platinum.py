"""The chocolate's platinum probe: bound by the settings, read beside the others, corrected."""

from stand_in_bus import CLOCK, Adc, DeadI2c, DeadWire, ScriptedSpi
from stand_in_rig import ROMS

from glossbath_board.probes import Probes
from glossbath_board.reading import ABSENT, BUS, OK
from glossbath_board.settings import Settings

# Four wires, 60 Hz: bias, one-shot, fault detection and clear bits of MAX31865 datasheet 19-6478,
# table 2; thresholds 0.8 and 1.76 of 430 % as in test_max31865.py.
THRESHOLDS = bytes.fromhex("68C82FA0")
# IEC 60751: a Pt1000 has 1122.538 Ohm at 31.5 °C, against 4300 Ohm in the chip's 15 bits.
RTD = round(1122.538 / 4300 * 32768) << 1


def probes(spi, **calibration):
    content = {"probes": dict(ROMS, chocolate="pt1000-4-60"), "calibration": calibration}
    asked = []

    def bus():
        asked.append(1)
        return spi, spi.cs

    made = Probes(DeadWire(), Adc(0), Adc(0), Adc(0), DeadI2c(), bus, Settings(content), CLOCK)
    assert len(asked) == 1
    return made


def script(rtd, config=0x80):
    answer = b"\xff" + bytes([config, rtd >> 8, rtd & 0xFF]) + THRESHOLDS + b"\0"
    return ScriptedSpi(
        [
            (b"\x80\x82", bytes(2)),
            (b"\x83" + THRESHOLDS, bytes(5)),
            (b"\x80\x84", bytes(2)),
            (b"\x80\xa0", bytes(2)),
            (bytes(9), answer),
            (b"\x80\x00", bytes(2)),
        ]
    )


def run(made):
    for at in range(4):
        made.step(1_000 + 250 * at)


def test_it_is_read_beside_the_wire():
    spi = script(RTD)
    made = probes(spi)
    run(made)
    spi.finish()
    assert made.chocolate.fault == OK
    # One step of the 15 bits is 0.034 °C.
    assert abs(made.chocolate.milli - 31_500) <= 20
    assert made.bath.fault == ABSENT


def test_it_is_corrected_like_the_others():
    made = probes(script(RTD), chocolate=[-300, 0])
    run(made)
    assert abs(made.chocolate.milli - 31_200) <= 20


def test_a_chip_that_is_missing_is_a_fault():
    # The pull-up makes the line read all ones.
    made = probes(script(0xFFFF, 0xFF))
    run(made)
    assert made.chocolate.fault == BUS


def test_a_rig_without_it_never_asks_for_the_bus():
    def bus():
        raise AssertionError("no platinum probe is bound")

    settings = Settings({"probes": ROMS})
    made = Probes(DeadWire(), Adc(0), Adc(0), Adc(0), DeadI2c(), bus, settings, CLOCK)
    run(made)
    assert made.chocolate.fault == ABSENT
