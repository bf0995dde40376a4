"""The guides say what must be said, agree with the data, and their links and snippets hold."""

from __future__ import annotations

import ast
import re
import sys
from pathlib import Path

import pytest

from glossbath.virtual import mains
from glossbath_board import profiles

sys.path.insert(0, str(Path(__file__).parents[2]))

from hardware import charge_pump, load_sense, temperatures, wiring
from hardware.wiring import HERE

SOUND = wiring.load()
GUIDES = ("build.md", "care.md", "first-board.md")


def read(name: str) -> str:
    return (HERE / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", GUIDES)
def test_a_guide_warns_defers_and_claims_nothing(name: str) -> None:
    text = read(name)
    assert "Mains voltage can kill" in text
    assert re.search(r"licensed electrician", text, re.IGNORECASE)
    assert "local codes" in text
    assert re.search(r"\bRCD\b", text)
    assert re.search(r"no certificate|Nothing .* is certified", text)
    for claim in ("is safe to", "complies with", "compliant", "is certified to", "meets IEC"):
        assert claim not in text


def test_the_first_paragraph_of_the_data_warns() -> None:
    head = read("wiring.toml")[:900]
    assert "MAINS VOLTAGE CAN KILL" in head
    assert "licensed electrician under local codes" in " ".join(head.replace("#", " ").split())


@pytest.mark.parametrize("name", GUIDES)
def test_links_lead_to_files(name: str) -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", read(name)):
        assert (HERE / target).is_file(), target


@pytest.mark.parametrize("name", GUIDES)
def test_every_part_named_in_a_guide_is_in_the_wiring(name: str) -> None:
    parts = set(SOUND.parts) | set(wiring.load(variant="ready").parts)
    letters = {re.sub(r"\d+$", "", part) for part in parts}
    pattern = rf"\b(?:{'|'.join(sorted(letters, key=len, reverse=True))})\d+\b"
    named = set(re.findall(pattern, read(name)))
    assert named
    assert named - parts == set()


def test_temperatures_in_the_guides_are_those_of_the_data() -> None:
    build, care, first = (read(name) for name in GUIDES)
    t = SOUND.temperature
    assert f"| bath, board's ceiling | {t.bath_ceiling_c:g} |" in build
    assert f"about {t.wall_working_c:g} |" in build
    assert f"| crock wall, board's ceiling | {t.body_limit_c:g} |" in build
    for name, word in (("TS1", "first"), ("TS2", "second")):
        low = temperatures.opens_at_least(SOUND, name)
        high = temperatures.opens_at_most(SOUND, name)
        assert f"| {word} thermostat opens | {low:g} to {high:g}, printed" in build
        assert f"open between {low:g} and {high:g} °C" in care
    assert f"boil at {temperatures.boiling_needed_c(SOUND):g} °C or more" in care
    assert f"assumes {t.wall_working_c:g} °C" in first


def test_times_of_the_charge_pump_in_the_guides_are_those_of_the_data() -> None:
    seconds = f"{SOUND.pulse.let_go_s:g}"
    assert f"drop within {seconds} seconds" in read("care.md")
    usual = charge_pump.nominal(SOUND).let_go_s(SOUND.pulse.toggle_every_ms / 1000)
    worst = charge_pump.let_go_s(SOUND)
    assert (
        f"drops within {seconds} s (calculated: {usual:.1f} s, {worst:.1f} s with every part"
        in read("first-board.md")
    )


def test_the_virtual_relay_lets_go_as_late_as_the_parts_may() -> None:
    assert pytest.approx(1000 * charge_pump.let_go_s(SOUND), abs=10) == mains._PUMP_HOLD_MS


def test_levels_of_the_load_sense_in_the_guide_are_those_of_the_data() -> None:
    half = load_sense.weakest_volts(SOUND, "230", half=True)
    assert f"may not show it (calculated: {half:.1f} V)" in read("first-board.md")
    assert f"leakage ({SOUND.parts['SSR1'].rated.leak_ma:g} mA at most)" in read("first-board.md")


def test_ratings_in_the_guides_are_those_of_the_data() -> None:
    build = read("build.md")
    assert "stall current 1.5 A or less" in build
    assert SOUND.parts["M2"].draws is not None
    assert SOUND.parts["M2"].draws.amps == 1.5
    assert "150 to 300 W" in build
    assert SOUND.parts["HTR1"].draws is not None
    assert SOUND.parts["HTR1"].draws.watts == 300
    assert "1 V for each ampere" in read("first-board.md")
    assert SOUND.scale.stir_volts_per_amp == 1


def test_margins_in_the_guide_are_those_of_the_data() -> None:
    m = SOUND.margin
    text = " ".join(read("build.md").split())
    assert f"{m.amps:g} times its worst current" in text
    assert f"a fuse {m.fuse_amps:g} times" in text
    assert f"the 12 V supply {m.supply_amps:g} times" in text
    assert f"{m.elv_volts:g} times the voltage" in text
    assert f"{m.watts:g} times the heat" in text


def test_snippets_are_python_and_use_the_reference_boards_pins() -> None:
    text = read("first-board.md")
    (snippet,) = re.findall(r"```python\n(.*?)```", text, flags=re.DOTALL)
    ast.parse(snippet)
    assert f"Pin({profiles.PROFILES['rpi_pico']['relay']}, Pin.OUT, value=0)" in snippet
    (line,) = re.findall(r"`(from machine import Pin; p = [^`]*)`", text)
    ast.parse(line)
    assert f"Pin({profiles.PROFILES['rpi_pico']['chill']}, Pin.OUT" in line


@pytest.mark.parametrize(
    ("name", "words"),
    [
        (
            "build.md",
            (
                *("strain relief", "drip loop", "food", "guard", "partition", "earth"),
                *("children and pets", "usb isolator", "double insulation", "ready units"),
                *("declared for food", "rehearsal", "boiling at your altitude"),
            ),
        ),
        ("care.md", ("one drop of water", "dry", "allergen", "proof test", "interval")),
        ("first-board.md", ("watchdog", "soft reset", "erratum E9")),
    ],
)
def test_a_guide_covers_its_subject(name: str, words: tuple[str, ...]) -> None:
    text = read(name).lower()
    assert [word for word in words if word.lower() not in text] == []
