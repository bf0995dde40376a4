"""Circuits hold with every part at its worst, and a part beyond its corner is found.

The closed forms of the rules are compared with ngspice, a circuit simulator, which is built from
the same parts but knows nothing of the formulas.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import msgspec
import pytest
from patience import PATIENCE_S
from sound_rig import SOUND

from hardware import analogue, charge_pump, load_sense, pins, rules
from hardware.charge_pump import Pump
from hardware.wiring import Wiring

needs_ngspice = pytest.mark.skipif(
    shutil.which("ngspice") is None, reason="ngspice is not installed (apt-get install ngspice)"
)
EDGE_S = SOUND.pulse.toggle_every_ms / 1000


def rate(rig: Wiring, name: str, **ratings: float) -> None:
    part = rig.parts[name]
    part.rated = msgspec.structs.replace(part.rated, **ratings)


def assert_found(rig: Wiring, *words: str) -> None:
    found = rules.breaches(rig)
    assert any(all(word in sentence for word in words) for sentence in found), found


# ---------------------------------------------------------------- the simulator


def simulated(tmp_path: Path, deck: str, *names: str) -> dict[str, float]:
    """The measured values of an ngspice deck, by name; fails where one is missing."""
    path = tmp_path / "deck.cir"
    path.write_text(deck, encoding="utf-8")
    run = subprocess.run(
        ["ngspice", "-n", "-b", str(path)],
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_S,
    )
    found = {
        name: float(value)
        for name, value in re.findall(r"^(\w+)\s*=\s*([-+0-9.e]+)", run.stdout, re.MULTILINE)
    }
    assert set(names) <= set(found), run.stdout + run.stderr
    return found


def diode_model(pump: Pump) -> str:
    """A diode that drops `diode_drop` and no more: a sharp one with a source in series."""
    return ".model d D(is=1e-9 n=0.05 rs=1)"


def pump_deck(pump: Pump, edge_s: float, edges: int, rest_s: float) -> str:
    """The charge pump as a netlist: `edges` level changes ending high, then a frozen pin."""
    high = pump.rail - pump.driver_drop
    corners = ["0 0"]
    for edge in range(edges):
        before, after = (0.0, high) if edge % 2 == 0 else (high, 0.0)
        at = (edge + 0.001) * edge_s
        corners += [f"{at:.6f} {before}", f"{at + 1e-6:.7f} {after}"]
    last = (edges - 1) * edge_s
    return "\n".join(
        [
            "* charge pump",
            f"V1 drive 0 PWL({' '.join(corners)})",
            "R35 drive a 100",
            f"C1 a b {2 * pump.pump_farads}",
            f"C2 b s {2 * pump.pump_farads}",
            "Rs b 0 1e12",
            f"Vd2 0 x {pump.diode_drop}",
            "D2 x s d",
            f"Vd3 y hold {pump.diode_drop}",
            "D3 s y d",
            f"C3 hold 0 {pump.hold_farads}",
            f"R13 hold 0 {pump.bleed_ohm}",
            f"I1 hold 0 {pump.leak}",
            diode_model(pump),
            f".tran {edge_s / 500} {last + rest_s} 0 {edge_s / 500} uic",
            f".meas tran top MAX v(hold) from={last - 2.5 * edge_s} to={last - 0.01 * edge_s}",
            f".meas tran low MIN v(hold) from={last - 2.5 * edge_s} to={last - 0.01 * edge_s}",
            f".meas tran gone WHEN v(hold)={pump.switch_volts} TD={last + 0.01 * edge_s} FALL=1",
            ".end",
        ]
    )


def some_pumps() -> list[Pump]:
    """The middle, and the corners that hold worst and let go last."""
    every = list(charge_pump.corners(SOUND))
    holds = min(every, key=lambda p: p.swings(2 * EDGE_S)[1] - p.switch_volts)
    late = max(every, key=lambda p: p.let_go_s(EDGE_S))
    return [charge_pump.nominal(SOUND), holds, late]


@needs_ngspice
@pytest.mark.parametrize("edges_ms", [250, 500])
@pytest.mark.parametrize("index", range(3))
def test_the_charge_pump_formula_agrees_with_the_simulator(
    tmp_path: Path, index: int, edges_ms: int
) -> None:
    pump = some_pumps()[index]
    edge_s = edges_ms / 1000
    deck = pump_deck(pump, edge_s, edges=25, rest_s=4.0)
    seen = simulated(tmp_path, deck, "top", "low", "gone")
    top, low = pump.swings(edge_s)
    assert seen["top"] == pytest.approx(top, abs=0.1)
    assert seen["low"] == pytest.approx(low, abs=0.06)
    let_go = seen["gone"] - 24 * edge_s
    assert let_go == pytest.approx(pump.let_go_s(edge_s), abs=0.06)


@needs_ngspice
def test_the_load_sense_formula_agrees_with_the_simulator(tmp_path: Path) -> None:
    ohms = load_sense.series_ohm(SOUND, "230")
    ratio, volts = 0.25, 230.0
    r9, c5 = SOUND.parts["R9"].rated.ohms, SOUND.parts["C5"].rated.farads
    deck = "\n".join(
        [
            "* load sense: an ideal bridge, the optocoupler as a current mirror",
            f"V1 l n SIN(0 {volts * 2**0.5} 50)",
            f"R1 l a {ohms}",
            "D1 a p d\nD2 n p d\nD3 m a d\nD4 m n d",
            f"V2 p q {SOUND.sense.led_volts}",
            "V3 q m 0",
            "Rg n 0 1",
            f"F1 0 load V3 {ratio}",
            f"R9 load 0 {r9}",
            f"C5 load 0 {c5}",
            ".model d D(is=1e-12 n=0.05 rs=1)",
            ".tran 20u 0.6 0 20u uic",
            ".meas tran mean AVG v(load) from=0.5 to=0.6",
            ".meas tran low MIN v(load) from=0.5 to=0.6",
            ".end",
        ]
    )
    seen = simulated(tmp_path, deck, "mean", "low")
    mean = load_sense.level_volts(SOUND, volts, ohms, ratio)
    assert seen["mean"] == pytest.approx(mean, rel=0.03)
    gap = load_sense.HALF_PERIOD_S / (2 * r9 * c5)
    assert seen["low"] >= mean * (1 - gap) * 0.98


# ---------------------------------------------------------------- charge pump


def test_the_relay_holds_and_lets_go_at_every_corner() -> None:
    assert charge_pump.hold_margin(SOUND) > 0
    assert charge_pump.let_go_s(SOUND) < SOUND.pulse.let_go_s


def test_the_pump_by_hand() -> None:
    # 1.1 µF and 2.2 µF into 410 kΩ: time constants 1.353 s high and 0.902 s low; lift 10.7 V.
    pump = charge_pump.nominal(SOUND)
    assert pump.pump_farads == pytest.approx(1.1e-6)
    assert pump.bleed_ohm == pytest.approx(410e3)
    keep = 2.718281828 ** (-0.25 / 1.353 - 0.25 / 0.902)
    top = (10.7 / 3) / (1 - (2 / 3) * keep)
    assert pump.swings(0.25)[0] == pytest.approx(top, rel=0.01)


@pytest.mark.parametrize(
    ("name", "ratings", "words"),
    [
        ("D3", {"leak_ua": 2.0}, "the relay chatters"),  # a Schottky diode at 25 °C
        ("D2", {"leak_ua": 5.0}, "the relay chatters"),  # and a warm one
        ("C3", {"farads": 1.1e-6}, "the relay chatters"),
        ("C1", {"farads": 0.47e-6}, "the relay chatters"),
        ("C2", {"tolerance_percent": 20.0, "drift_percent": 15.0}, "the relay chatters"),  # X7R
        ("R13", {"ohms": 390e3}, "the relay chatters"),
        ("R36", {"ohms": 62e3}, "the relay chatters"),
        ("C3", {"farads": 4.7e-6}, "lets go"),
        ("R14", {"ohms": 1.5e6}, "lets go"),
        ("R37", {"ohms": 4700.0}, "lets go"),
        ("R37", {"ohms": 0.0}, "R37 has no resistance given"),
        ("C1", {"tolerance_percent": 0.0, "drift_percent": 0.0}, "no tolerance or leakage given"),
    ],
)
def test_a_pump_part_beyond_its_corner_is_found(
    rig: Wiring, name: str, ratings: dict[str, float], words: str
) -> None:
    rate(rig, name, **ratings)
    assert_found(rig, words)


def test_a_gate_rated_for_less_than_its_drive_is_found(rig: Wiring) -> None:
    rate(rig, "Q2", gate_volts=12)
    assert_found(rig, "Q2's gate stands 12 V")
    rate(rig, "Q2", gate_volts=0)
    assert_found(rig, "Q2 has its gate on relay_gate and no gate rating")


@pytest.mark.parametrize("name", ["U2", "U3", "U4"])
def test_a_chip_without_its_capacitor_is_found(rig: Wiring, name: str) -> None:
    for other, part in list(rig.parts.items()):
        if part.at == name:
            del rig.parts[other]
    assert any(f"{name} has no decoupling capacitor" in s for s in pins.decoupled(rig))


# ---------------------------------------------------------------- load sense


@pytest.mark.parametrize("supply", ["120", "230"])
def test_an_aged_load_sense_sees_the_lowest_supply(supply: str) -> None:
    assert load_sense.weakest_volts(SOUND, supply) >= SOUND.sense.level_high_volts


@pytest.mark.parametrize(
    ("name", "ratings", "words"),
    [
        ("OK1", {"ratio_low_percent": 20.0}, "the load sense gives"),  # a plain AC optocoupler
        ("R20", {"ohms": 100e3}, "the load sense gives"),
        ("R21", {"ohms_120": 39e3}, "on a 120 V supply"),
        ("R9", {"ohms": 4700.0}, "the load sense gives"),
        ("SSR1", {"leak_ma": 10.0}, "SSR1 leaks 10 mA"),
        ("SSR1", {"leak_ma": 0.0}, "SSR1 leaks 0 mA"),
        ("SSR1", {"least_amps": 0.4}, "SSR1 needs 0.4 A to stay on"),
        ("C5", {"farads": 47e-6}, "takes"),
        ("R20", {"watts": 1.0}, "R20 alone on a 230 V supply"),
        ("R21", {"volts": 250.0}, "R21 alone on a 230 V supply"),
    ],
)
def test_a_sense_part_beyond_its_corner_is_found(
    rig: Wiring, name: str, ratings: dict[str, float], words: str
) -> None:
    rate(rig, name, **ratings)
    assert_found(rig, words)


# ---------------------------------------------------------------- analogue


@pytest.mark.parametrize(
    ("name", "ratings", "words"),
    [
        ("R26", {"tolerance_percent": 10.0}, "a good 12 V supply may read as too low"),
        ("R27", {"ohms": 15e3}, "[scale] supply_divider"),
        ("R25", {"ohms": 10e3}, "`stop` has"),
        ("R7", {"ohms": 2700.0}, "`stop` has"),
        ("R28", {"tolerance_percent": 5.0}, "the second guard may be"),
        ("B6", {"tolerance_percent": 5.0}, "the second guard may be"),
        ("K1", {"pull_in_percent": 90.0}, "K1 needs"),
        ("K1", {"pull_in_percent": 0.0}, "K1 needs"),
        ("U3", {"volts": 14.0}, "U3 stands 14 V"),
        ("U4", {"volts": 14.0}, "U4 stands 14 V"),
    ],
)
def test_an_analogue_part_beyond_its_corner_is_found(
    rig: Wiring, name: str, ratings: dict[str, float], words: str
) -> None:
    rate(rig, name, **ratings)
    assert_found(rig, words)


def test_the_guards_error_by_hand() -> None:
    # NTC 3977 K at 85 °C: 1 % of resistance is 358.15² / 3977 * 0.01 = 0.32 °C; the converter's
    # 1.5 % weighs 1.1 times as much there.
    assert analogue.guard_error_c(SOUND) == pytest.approx(0.322 * (1 + 0.1 + 1.5 * 1.11), rel=0.02)
