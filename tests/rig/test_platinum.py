"""Whole cycles with a platinum probe at the MAX31865 as the chocolate's, its errors and faults."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from direct import Direct, direct
from sampling import sample

from glossbath.virtual.platinum import PLATINUM_FAULTS, Element, Max31865, resistance
from glossbath.virtual.virtual import Options

PT1000 = Element()
PT100 = Element(ohm=100.0, reference_ohm=430.0)
READ_ALL = bytes(9)


def platinum(element: Element, setting: str, **options: object) -> Options:
    return Options(platinum=replace(element, setting=setting), **options)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("celsius", "ohm"),
    # IEC 60751:2022, table of Pt100 (from memory of the table; every value to 0.01 Ohm).
    [(-50, 80.31), (0, 100.0), (25, 109.73), (50, 119.40), (100, 138.51), (200, 175.86)],
)
def test_the_elements_resistance(celsius: float, ohm: float) -> None:
    assert resistance(100.0, celsius) == pytest.approx(ohm, abs=0.006)


def chip(element: Element = PT100, celsius: float = 0.0) -> Max31865:
    made = Max31865(replace(element, wires=4), lambda: celsius)
    made.transfer(bytes((0x83, 0xFF, 0xFE, 0, 0)), 0)
    return made


def test_the_registers_at_power_up_and_after_writing() -> None:
    # Datasheet 19-6478, table 1: thresholds FFFFh and 0000h, all else 00h; 80h to 86h write.
    made = Max31865(PT100, lambda: 0.0)
    assert made.transfer(READ_ALL, 0)[1:] == bytes((0, 0, 0, 0xFF, 0xFF, 0, 0, 0))
    made.transfer(bytes((0x80, 0x91)), 0)
    assert made.transfer(bytes(2), 0)[1] == 0x91
    made.transfer(bytes((0x81, 0x55, 0x55)), 0)
    assert made.transfer(bytes((1, 0, 0)), 0)[1:] == bytes(2), "the value is not to be written"


@pytest.mark.parametrize(("config", "ready_ms"), [(0xA0, 55), (0xA1, 66)])
def test_one_conversion_takes_its_time_and_clears_its_order(config: int, ready_ms: int) -> None:
    made = chip(celsius=0.0)
    made.transfer(bytes((0x80, config)), 1_000)
    assert made.transfer(bytes(2), 1_000)[1] == config & ~0x20
    early = made.transfer(bytes((1, 0, 0)), 1_000 + ready_ms - 1)
    assert early[1:] == bytes(2), "what it had before"
    assert made.asked_early == 1
    data = made.transfer(bytes((1, 0, 0)), 1_000 + ready_ms)
    code = (data[1] << 8 | data[2]) >> 1
    assert code == round(100.0 / 430.0 * 32768)
    assert data[2] & 1 == 0


def test_beyond_a_threshold_a_fault_latches_until_it_is_cleared() -> None:
    made = chip(celsius=50.0)
    made.transfer(bytes((0x83, 0x20, 0, 0, 0)), 0)
    made.transfer(bytes((0x80, 0xA1)), 0)
    data = made.transfer(READ_ALL, 100)
    assert data[8] == 0x80 and data[3] & 1 == 1
    assert made.transfer(READ_ALL, 200)[8] == 0x80
    made.transfer(bytes((0x80, 0x82)), 300)
    assert made.transfer(READ_ALL, 300)[8] == 0


def read_error_c(d: Direct) -> float:
    """How far the board's chocolate is from that at the probe's tip, the probe's lag aside."""
    d.run(30)
    return float(d.reading["c"]) / 1000 - d.rig.probes["chocolate"].celsius()


STILL = {"probe_noise_c": 0.0}


@pytest.mark.parametrize(
    ("element", "setting", "error_c"),
    # 0.385 Ohm/K of a Pt100, 3.85 of a Pt1000 (IEC 60751, 0 to 100 °C). Half a metre of 0.25 mm²
    # has 35 mOhm a lead; 20 m have 1.4 Ohm.
    [
        (replace(PT100, wires=2), "pt100-2-50", 0.070 / 0.390),
        (replace(PT1000, wires=2), "pt1000-2-50", 0.070 / 3.90),
        (replace(PT100, wires=2, lead_ohm=1.4), "pt100-2-50", 2.8 / 0.390),
        (replace(PT100, wires=3, lead_ohm=1.4), "pt100-3-50", 0.0),
        (replace(PT100, wires=4, lead_ohm=1.4), "pt100-4-50", 0.0),
        (replace(PT100, wires=3, lead_ohm=1.4), "pt100-4-50", 1.4 / 0.390),
        (replace(PT100, wires=4, lead_ohm=1.4), "pt100-3-50", -1.4 / 0.390),
    ],
)
def test_what_leads_and_their_setting_do_to_a_reading(
    tmp_path: Path, element: Element, setting: str, error_c: float
) -> None:
    with direct(tmp_path, platinum(element, setting, **STILL)) as d:
        # One step of the chip is 0.03 °C.
        assert read_error_c(d) == pytest.approx(error_c, abs=0.035, rel=0.01)


@pytest.mark.parametrize(("setting", "most_c"), [("pt100-4-50", 0.04), ("pt100-4-60", 0.45)])
def test_the_filter_takes_the_hum_of_its_mains_out(
    tmp_path: Path, setting: str, most_c: float
) -> None:
    element = replace(PT100, wires=4, hum_ohm=0.15)
    with direct(tmp_path, platinum(element, setting, **STILL)) as d:
        d.run(10)
        seen = []
        for _ in range(20):
            d.run(1)
            seen.append(d.reading["c"] / 1000)
    spread_c = (max(seen) - min(seen)) / 2
    assert spread_c <= most_c
    assert (spread_c > 0.3) is setting.endswith("60")


@pytest.mark.parametrize(
    ("element", "setting"),
    sample(
        [
            (replace(PT100, wires=4, mains_hz=60), "pt100-4-60"),
            (PT1000, "pt1000-3-50"),
            (replace(PT1000, wires=2), "pt1000-2-50"),
        ],
        of=3,
    ),
)
@pytest.mark.timeout(600)
def test_a_whole_cycle_completes_inside_its_limits(
    tmp_path: Path, element: Element, setting: str
) -> None:
    with direct(tmp_path, platinum(element, setting)) as d:
        d.heat("dark", hold_s=300)
        hottest_c = 0.0
        while d.state != "complete":
            d.run(20)
            assert not d.trips, d.trips
            hottest_c = max(hottest_c, d.rig.plant.chocolate_c)
            assert d.rig.now_ms < 4 * 3_600_000, d.reading
        # The recipe melts at 48 °C with a window of 2 °C and holds at 31 to 32 °C.
        assert 46.0 < hottest_c < 50.0
        assert 30.0 < d.rig.plant.chocolate_c < 33.0
        assert d.rig.platinum is not None and d.rig.platinum.asked_early == 0
        assert d.dark


@pytest.mark.parametrize(
    ("fault", "word"),
    [
        ("open", "open"),
        ("shorted", "short"),
        ("force open", "open"),
        ("voltage", "high"),
        ("absent", "bus"),
        ("grounded", "bus"),
        ("resets", "bus"),
    ],
)
def test_a_fault_of_the_chip_ends_heat(tmp_path: Path, fault: str, word: str) -> None:
    with direct(tmp_path, platinum(PT1000, "pt1000-3-50")) as d:
        d.heat("dark")
        d.run(20)
        assert d.rig.platinum is not None
        d.rig.platinum.inject(fault)
        took_s = d.until_trip(12)
        assert d.trips == [("probe-chocolate", word)]
        assert took_s <= 7.5
        assert d.dark


def test_a_probe_that_stands_still_is_found(tmp_path: Path) -> None:
    with direct(tmp_path, platinum(PT1000, "pt1000-3-50")) as d:
        d.heat("dark")
        d.run(20)
        assert d.rig.platinum is not None
        d.rig.platinum.inject("stuck")
        d.until_trip(3_600)
        assert d.trips[0][0] in ("stuck-chocolate", "chocolate-apart")
        assert d.rig.plant.chocolate_c < 55.0


def test_every_fault_is_met() -> None:
    met = {"open", "shorted", "force open", "voltage", "absent", "grounded", "resets", "stuck"}
    assert met == set(PLATINUM_FAULTS)


@pytest.mark.parametrize(("element", "setting"), [(PT1000, "pt100-3-50"), (PT100, "pt1000-3-50")])
def test_an_element_of_the_other_kind_does_not_heat(
    tmp_path: Path, element: Element, setting: str
) -> None:
    # The module's resistor belongs to the setting, so the ratio is off by ten.
    other = replace(element, reference_ohm=430.0 if "pt100-" in setting else 4300.0)
    with direct(tmp_path, platinum(other, setting)) as d:
        answer = d.load("dark")
        assert (answer["ok"], answer["at"]) == (0, "probe-chocolate")
        d.run(10)
        assert d.dark
