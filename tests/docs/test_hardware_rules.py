"""The wiring keeps its rules, and each rule sees a wiring that was broken on purpose."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from sound_rig import SOUND, rate

from glossbath.errors import InputError
from hardware import protection, ratings, rules, wiring
from hardware.wiring import Part, Wiring


def bypass(rig: Wiring, *names: str) -> None:
    """A wire past each of these parts."""
    for name in names:
        nets = [rig.parts[name].pins[end] for end in rig.parts[name].through[0]]
        rig.parts[f"wire past {name}"] = Part(
            kind="wire",
            text="a wire",
            value="",
            why="",
            place="mains",
            pins={"1": nets[0], "2": nets[1]},
            through=[("1", "2")],
            rated=wiring.Rated(amps=100, volts=300),
        )


def assert_found(rig: Wiring, *words: str) -> None:
    found = rules.breaches(rig)
    assert any(all(word in sentence for word in words) for sentence in found), found


def test_the_wiring_keeps_every_rule() -> None:
    assert rules.breaches(SOUND) == []


def test_the_heater_stands_behind_everything_that_protects_in_this_order() -> None:
    path = [SOUND.parts[name].kind for name in protection.live_path(SOUND, "L_load")]
    assert [kind for kind in path if kind in protection.HEAT_PATH] == list(protection.HEAT_PATH)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("RCD1", "rcd"),
        ("S1", "isolator"),
        ("F1", "fuse"),
        ("TS1", "cutout"),
        ("TS2", "second-cutout"),
        ("K1", "relay"),
        ("SSR1", "ssr"),
    ],
)
def test_a_wire_past_a_protecting_part_is_found(rig: Wiring, name: str, kind: str) -> None:
    bypass(rig, name)
    assert_found(rig, f"HTR1 is not behind a {kind}", f"put a {kind} in its live path")


@pytest.mark.parametrize("kind", ["rcd", "isolator", "fuse"])
def test_the_supply_too_needs_rcd_isolator_and_fuse(rig: Wiring, kind: str) -> None:
    bypass(rig, {"rcd": "RCD1", "isolator": "S1", "fuse": "F2"}[kind])
    assert_found(rig, f"PSU1 is not behind a {kind}")


@pytest.mark.parametrize("name", ["RCD1", "S1"])
def test_a_one_pole_switch_where_two_poles_are_needed_is_found(rig: Wiring, name: str) -> None:
    part = rig.parts[name]
    a, b = (part.pins[end] for end in part.through[1])
    part.through = part.through[:1]
    for other in rig.parts.values():
        other.pins = {terminal: a if net == b else net for terminal, net in other.pins.items()}
    assert_found(rig, "HTR1", f"no {part.kind} breaks its neutral")


def test_cut_outs_after_the_switches_are_found(rig: Wiring) -> None:
    rig.parts["TS1"].pins, rig.parts["K1"].pins = (
        {"1": "L_ts2", "2": "L_relay"},
        rig.parts["K1"].pins | {"11": "L_fused", "14": "L_ts"},
    )
    assert_found(rig, "HTR1: from the wall its path is", "change the order")


def test_a_slow_rcd_is_found(rig: Wiring) -> None:
    rate(rig.parts["RCD1"], trip_ma=300)
    assert_found(rig, "RCD1 trips at 300 mA", "30 mA or less")


@pytest.mark.parametrize("name", [name for name, part in SOUND.parts.items() if part.metal])
def test_metal_that_loses_its_earth_is_found(rig: Wiring, name: str) -> None:
    part = rig.parts[name]
    part.pins = {terminal: net for terminal, net in part.pins.items() if net != "PE"}
    part.bond = ""
    assert_found(rig, f"{name} is metal and has no earth", "PE")


def test_metal_bonded_in_a_ring_is_found(rig: Wiring) -> None:
    rig.parts["CLIP1"].pins = {}
    rig.parts["CLIP1"].bond = "BOWL1"
    assert_found(rig, "BOWL1 is metal and has no earth", "BOWL1 -> CLIP1")


def test_mains_in_a_low_voltage_connector_is_found(rig: Wiring) -> None:
    rig.parts["X1"].pins["4"] = "L_out"
    assert_found(rig, "X1 carries mains and low voltage in one connector")


def test_mains_in_the_low_voltage_compartment_is_found(rig: Wiring) -> None:
    rig.parts["F1"].place = "control"
    assert_found(rig, "F1 brings mains into the place 'control'", "holds elv only")


def test_low_voltage_in_the_mains_compartment_is_found(rig: Wiring) -> None:
    rig.parts["Q1"].place = "mains"
    assert_found(rig, "Q1 brings elv into the place 'mains'")


@pytest.mark.parametrize("name", ["OK1", "K1", "SSR1", "PSU1"])
def test_a_short_way_between_the_voltages_is_found(rig: Wiring, name: str) -> None:
    rig.parts[name].creepage_mm = 7.0
    assert_found(rig, f"{name} keeps mains and low voltage 7 mm apart", "8 mm")


def test_thin_insulation_between_the_voltages_is_found(rig: Wiring) -> None:
    rig.parts["OK1"].barrier_volts = 1500
    assert_found(rig, "OK1 touches mains and low voltage with 1500 V between", "3750 V")


def test_a_barrier_part_away_from_the_partition_is_found(rig: Wiring) -> None:
    rig.parts["K1"].place = "mains"
    assert_found(rig, "K1 has both voltages and must sit astride the partition")


def test_low_voltage_joined_to_mains_is_found(rig: Wiring) -> None:
    rig.parts["K1"].through.append(("14", "A1"))
    assert_found(rig, "12v_coil is low voltage and joined to the mains")


@pytest.mark.parametrize(
    "name", [n for n, p in SOUND.parts.items() if p.through and ratings.amps_through(SOUND, n) > 0]
)
def test_a_part_rated_at_its_load_without_margin_is_found(rig: Wiring, name: str) -> None:
    rate(rig.parts[name], amps=ratings.amps_through(SOUND, name))
    assert_found(rig, f"{name} is rated", "must stand", "times its worst load")


def test_currents_follow_from_the_loads_by_hand() -> None:
    # 300 W at 100 V, a 2 mA lamp, a 4 mA optocoupler.
    assert ratings.amps_through(SOUND, "K1") == pytest.approx(3.0 + 0.002 + 0.004)
    # The same and the 12 V supply.
    assert ratings.amps_through(SOUND, "S1") == pytest.approx(3.006 + 1.2)
    # Pump, stalled stirrer, both heat switches' inputs.
    assert ratings.amps_through(SOUND, "S2") == pytest.approx(1.2 + 1.5 + 0.08 + 0.015)


def test_a_larger_cooker_is_found_everywhere(rig: Wiring) -> None:
    draws = rig.parts["HTR1"].draws
    assert draws
    draws.watts = 1500
    for name in ("F1", "TS2", "K1", "XS1"):
        assert_found(rig, f"{name} is rated", "must stand")


def test_a_fuse_larger_than_what_it_guards_is_found(rig: Wiring) -> None:
    rate(rig.parts["F1"], amps=10)
    assert_found(rig, "K1 is rated 10 A behind F1 of 10 A", "12.5 A")
    rate(rig.parts["F3"], amps=5)
    assert_found(rig, "Q3 is rated 6 A behind F3 of 5 A", "6.25 A")


def test_a_weak_supply_is_found(rig: Wiring) -> None:
    rate(rig.parts["PSU1"], amps=3)
    assert_found(rig, "PSU1 gives 3 A")


def test_a_thin_connector_is_found(rig: Wiring) -> None:
    rate(rig.parts["X1"], amps=3)
    assert_found(rig, "X1 is rated 3 A and carries 12v_motor")


@pytest.mark.parametrize(
    ("name", "volts"), [("F1", 125), ("Q2", 20), ("C3", 6.3), ("R20", 100), ("U4", 9)]
)
def test_too_low_a_voltage_rating_is_found(rig: Wiring, name: str, volts: float) -> None:
    rate(rig.parts[name], volts=volts)
    assert_found(rig, f"{name} is rated {volts:g} V and must stand")


@pytest.mark.parametrize(("name", "watts"), [("R20", 0.5), ("R17", 0.2)])
def test_a_resistor_that_would_glow_is_found(rig: Wiring, name: str, watts: float) -> None:
    rate(rig.parts[name], watts=watts)
    assert_found(rig, f"{name} is rated {watts:g} W and must stand")


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("bath_ceiling_c", 76, "the wall at work"),
        ("wall_working_c", 81, "the board's limit"),
        ("wall_working_c", 63, "the wall at work"),
        ("body_limit_c", 83, "the first thermostat at its lowest"),
        ("overshoot_c", 9, "the second thermostat at its lowest"),
        ("boil_over_c", 8, "boiling water at sea level"),
        ("body_limit_c", math.nan, "the first thermostat at its lowest"),
    ],
)
def test_a_wrong_step_in_the_ladder_of_temperatures_is_found(
    rig: Wiring, name: str, value: float, words: str
) -> None:
    setattr(rig.temperature, name, value)
    assert_found(rig, words, "choose other parts")


@pytest.mark.parametrize(
    ("name", "ratings_", "words"),
    [
        ("TS1", {"celsius": 88.0}, "the first thermostat at its lowest"),
        ("TS1", {"celsius": 97.0}, "boiling water at sea level"),
        ("TS1", {"minus_c": 8.0}, "the first thermostat at its lowest"),
        ("TS1", {"bulb_c": 100.0}, "what its bulb stands"),
        ("TS1", {"minus_c": 0.0}, "how far off it may open"),
        ("TS2", {"celsius": 100.0}, "the second thermostat at its lowest"),
        ("TS2", {"bulb_c": 115.0}, "what its bulb stands"),
    ],
)
def test_a_thermostat_of_the_wrong_kind_is_found(
    rig: Wiring, name: str, ratings_: dict[str, float], words: str
) -> None:
    rate(rig.parts[name], **ratings_)
    assert_found(rig, words)


def test_the_ladder_stands_on_the_boards_own_ceilings() -> None:
    from glossbath_board import limits

    assert SOUND.temperature.bath_ceiling_c * 1000 == limits.BATH_CEILING_MC
    assert SOUND.temperature.body_limit_c * 1000 == limits.BODY_CEILING_MC
    assert SOUND.pulse.toggle_every_ms == limits.PASS_MS
    assert SOUND.pulse.rail_volts_low * 1000 == limits.SUPPLY_LOW_MV
    assert SOUND.pulse.rail_volts_high * 1000 == limits.SUPPLY_HIGH_MV
    assert SOUND.sense.settle_ms <= limits.UNASKED_MS / 4
    assert SOUND.pulse.let_go_s * 1000 <= 2 * limits.PROOF_STEP_MS


def test_a_load_with_an_open_circuit_is_found(rig: Wiring) -> None:
    rig.parts["Q3"].through = []
    assert_found(rig, "M1.minus has no way to gnd")


def test_a_forgotten_wire_is_found(rig: Wiring) -> None:
    rig.parts["Q4"].pins["G"] = "gnd"
    rig.parts["R4"].pins["1"] = "gnd"
    assert_found(rig, "net stir_gate ends nowhere")


def test_a_scale_that_the_parts_do_not_give_is_found(rig: Wiring) -> None:
    rate(rig.parts["R27"], ohms=12000)
    assert_found(rig, "[scale] supply_divider is 4.9 and the parts give 4.25")


def test_a_cooker_that_uses_less_than_its_rating_passes(rig: Wiring) -> None:
    draws = rig.parts["HTR1"].draws
    assert draws
    draws.watts = 150
    assert rules.breaches(rig) == []


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (
            lambda s: s.replace('pins = { 1 = "L_iso", 2 = "L_fused" }', 'pins = { 1 = "L_x" }'),
            "L_x",
        ),
        (lambda s: s.replace('place = "cooker"', 'place = "shelf"'), "shelf"),
        (lambda s: s.replace('bond = "HS1"', 'bond = "HS9"'), "HS9"),
        (lambda s: s.replace("rated = { amps = 4, volts = 240 }", "rated = { amp = 4 }"), "amp"),
        (lambda s: s.replace('through = [["D", "S"]]', 'through = [["D", "Z"]]'), "'Z'"),
        (lambda s: s + "[[", "wiring.toml"),
    ],
)
def test_a_slip_in_the_file_is_named(
    tmp_path: Path, edit: Callable[[str], str], words: str
) -> None:
    path = tmp_path / "wiring.toml"
    path.write_text(edit(wiring.WIRING_FILE.read_text(encoding="utf-8")), encoding="utf-8")
    with pytest.raises(InputError, match=words):
        wiring.load(path)
