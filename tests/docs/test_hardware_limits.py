"""The protective rules hold to the last volt and ohm: a hair inside passes, outside fails."""

from __future__ import annotations

import copy

import pytest
from sound_rig import rate

from hardware import drivers, protection, ratings, wiring
from hardware.wiring import Wiring


@pytest.mark.parametrize("feed", ["R22", "R23", "R24"])
@pytest.mark.parametrize(
    ("ohms", "good"),
    [
        # 3.3 V x 4.7 k / (4.7 k + R) is 2.2 V (2.0 V and a tenth more) at 2.35 k.
        (2340, True),
        (2360, False),
    ],
)
def test_a_closed_switch_still_gives_a_full_level(
    rig: Wiring, feed: str, ohms: float, good: bool
) -> None:
    rate(rig.parts[feed], ohms=ohms)
    assert (not any(feed in said for said in drivers.input_levels(rig))) == good


@pytest.mark.parametrize("variant", wiring.VARIANTS)
def test_insulation_holds_to_its_last_volt_and_tenth_of_a_millimetre(variant: str) -> None:
    sound = wiring.load(variant=variant)
    astride = [name for name, part in sound.parts.items() if part.barrier_volts]
    assert {"K1", "SSR1", "PSU1"} <= set(astride)
    for name in astride:
        rig = copy.deepcopy(sound)
        # 3,750 V for a minute and 8 mm: reinforced insulation at 230 V, from memory.
        rig.parts[name].barrier_volts, rig.parts[name].creepage_mm = 3750, 8
        assert protection.voltages_apart(rig) == []
        rig.parts[name].barrier_volts = 3749
        assert any(f"{name} touches mains" in said for said in protection.voltages_apart(rig))
        rig.parts[name].barrier_volts, rig.parts[name].creepage_mm = 3750, 7.9
        assert any(f"{name} keeps mains" in said for said in protection.voltages_apart(rig))


# 100 k and some nanofarads of gate fall within a millisecond (from memory).
@pytest.mark.parametrize(("ohms", "good"), [(100_000, True), (101_000, False)])
def test_the_gates_pull_is_strong_enough(rig: Wiring, ohms: float, good: bool) -> None:
    rate(rig.parts["R38"], ohms=ohms)
    assert (drivers.gate_falls(rig) == []) == good


@pytest.mark.parametrize("kind", ["mains", "low voltage"])
def test_a_resistor_counts_with_what_it_sees(rig: Wiring, kind: str) -> None:
    # R20 has half of 264 V across it; R22 is on 3.3 V, where resistors are not sold by voltage.
    name = "R20" if kind == "mains" else "R22"
    rate(rig.parts[name], volts=1)
    assert any(name in said for said in ratings.voltages(rig)) == (kind == "mains")


# ---------------------------------------------------------------- ways into the box


@pytest.mark.parametrize(
    ("gone", "words"),
    [
        ("X6", "PSU1 is outside the box and no connector has all of its wires (12v_raw, gnd)"),
        ("X7", "PT1 is outside the box and no connector has all of its wires (3v3, load)"),
        ("X5", "K1 is outside the box and no connector"),
        ("X3", "S5 is outside the box and no connector"),
    ],
)
def test_a_cable_without_a_connector_is_found(gone: str, words: str) -> None:
    ready = wiring.load(variant="ready")
    del ready.parts[gone]
    assert any(words in sentence for sentence in protection.cables_by_connector(ready))


def test_the_adapters_connector_carries_all_the_supply_gives() -> None:
    ready = wiring.load(variant="ready")
    rate(ready.parts["X6"], amps=5)  # as much as the adapter's own label: no margin
    assert any("X6 is rated 5 A" in sentence for sentence in ratings.connector_currents(ready))
