"""The pin tables and their pulls keep their rules, and each rule sees a broken table."""

from __future__ import annotations

import msgspec
import pytest
from sound_rig import SOUND

from glossbath_board import profiles
from hardware import pin_notes, pins
from hardware.wiring import Wiring

BOARDS = tuple(profiles.PROFILES)


@pytest.mark.parametrize("board", BOARDS)
def test_every_board_gives_each_signal_one_good_pin(board: str) -> None:
    assert pins.pin_table(board, profiles.PROFILES[board]) == []


@pytest.mark.parametrize("board", BOARDS)
def test_every_table_describes_every_board(board: str) -> None:
    tables = (
        pin_notes.CHIP,
        profiles.SPI_UNIT,
        profiles.I2C_UNIT,
        pin_notes.GPIO,
        pin_notes.ADC,
        pin_notes.FORBIDDEN,
        pin_notes.BOOT,
        pin_notes.BOOT_OF,
        pin_notes.NOTE,
    )
    assert all(set(table) == set(BOARDS) for table in tables)
    assert set(pin_notes.BOOT_OF[board]) <= set(pin_notes.GPIO[board])
    assert set(pin_notes.FORBIDDEN[board]) <= set(pin_notes.GPIO[board])


def test_signals_have_words_and_pulls_have_reasons() -> None:
    assert set(pin_notes.MEANS) == set(profiles.SIGNALS)
    assert set(pin_notes.PULL) == set(pin_notes.PULL_OHM) == set(pin_notes.PULL_WHY)


def test_rp2_bus_pins_belong_to_the_named_units() -> None:
    # RP2040 datasheet, GPIO functions (from memory): SPI0 SCK, TX, RX, CSn repeat on GPIO n with
    # n mod 4 = 2, 3, 0, 1 in 0-7 and 16-23; I2C0 SDA, SCL on n mod 4 = 0, 1.
    table = profiles.PROFILES["rpi_pico"]
    assert [table[s] % 4 for s in ("sck", "mosi", "miso", "cs")] == [2, 3, 0, 1]
    assert all(table[s] // 8 in (0, 2) for s in ("sck", "mosi", "miso", "cs"))
    assert (table["sda"] % 4, table["scl"] % 4) == (0, 1)


@pytest.mark.parametrize(
    ("board", "signal", "gpio", "words"),
    [
        ("rpi_pico", "heat", 17, "GPIO 17 is used by"),
        ("rpi_pico", "heat", 0, "forbidden (UART0 TX"),
        ("rpi_pico", "heat", 30, "which the chip does not have"),
        ("rpi_pico", "supply", 12, "needs an ADC pin and GPIO 12 has none"),
    ],
)
def test_a_bad_pin_is_found(board: str, signal: str, gpio: int, words: str) -> None:
    table = profiles.PROFILES[board] | {signal: gpio}
    assert any(words in sentence for sentence in pins.pin_table(board, table))


def test_a_missing_and_an_unknown_signal_are_found() -> None:
    table = {s: gpio for s, gpio in profiles.PROFILES["rpi_pico"].items() if s != "relay"}
    found = pins.pin_table("rpi_pico", table | {"siren": 12})
    assert found == [
        "rpi_pico: signal relay has no pin; give it one",
        "rpi_pico: siren is not a signal of the rig; remove it",
    ]


@pytest.mark.parametrize("signal", pins.MOVES_OR_HEATS)
def test_a_missing_pull_down_on_what_heats_or_moves_is_found(rig: Wiring, signal: str) -> None:
    name = {"heat": "R1", "relay": "R2", "chill": "R3", "stir": "R4"}[signal]
    del rig.parts[name]
    words = f"{signal} must fall low by itself and has no pull-down"
    assert any(words in sentence for sentence in pins.fall_low(rig))


@pytest.mark.parametrize("signal", pins.MOVES_OR_HEATS)
def test_a_pull_down_too_weak_for_the_rp2350_is_found(rig: Wiring, signal: str) -> None:
    # RP2350 datasheet, erratum E9: 8.2 k or less.
    part = rig.parts[{"heat": "R1", "relay": "R2", "chill": "R3", "stir": "R4"}[signal]]
    part.rated = msgspec.structs.replace(part.rated, ohms=10000)
    assert any(signal in sentence for sentence in pins.fall_low(rig))


@pytest.mark.parametrize("signal", list(pin_notes.PULL))
def test_each_pull_of_the_table_is_looked_for_in_the_wiring(rig: Wiring, signal: str) -> None:
    for name, part in list(rig.parts.items()):
        rails = {"gnd", "3v3"} & set(part.pins.values())
        if part.kind == "resistor" and rails and pins.near(rig, signal) & set(part.pins.values()):
            del rig.parts[name]
    words = f"{signal} has no external pull-{pin_notes.PULL[signal]}"
    assert any(words in sentence for sentence in pins.pulls(rig))


def test_a_pull_the_wrong_way_is_found(rig: Wiring) -> None:
    rig.parts["R7"].pins["2"] = "3v3"
    assert any("stop has no external pull-down" in sentence for sentence in pins.pulls(rig))


def test_a_signal_the_board_in_the_wiring_lacks_is_found(rig: Wiring) -> None:
    del rig.parts["U1"].pins["relay"]
    assert pins.board_has_every_signal(rig) == [
        "U1 and profiles.py differ in relay; make them agree"
    ]


def test_voltages_at_the_inputs_suit_every_board() -> None:
    # High levels by Ohm's law against the input thresholds, from memory of the datasheets:
    # RP2040 and RP2350 2.0 V; never above 3.3 V.
    ohms = {name: part.rated.ohms for name, part in SOUND.parts.items()}
    button = 3.3 * ohms["R6"] / (ohms["R22"] + ohms["R6"])
    stop = 12 * ohms["R7"] / (ohms["R25"] + ohms["R7"])
    assert 2.0 < button < 3.3
    assert 2.0 < stop < 3.3
    assert 13.5 * ohms["R7"] / (ohms["R25"] + ohms["R7"]) < 3.3
