"""The wiring is broken in every way in which one can slip, and a rule finds it.

Every part taken out, every two of its terminals exchanged, every figure moved past its corner: for
both variants. What no rule sees is listed here with its reason, and nothing that stands between a
fault and heat, shock or a pinched finger may be in that list.
"""

from __future__ import annotations

import copy
import sys
from collections.abc import Callable, Iterator
from itertools import combinations
from pathlib import Path

import msgspec
import pytest

sys.path.insert(0, str(Path(__file__).parents[2]))

from hardware import charge_pump, circuit, ratings, rules, wiring
from hardware.wiring import Wiring

SOUND = {variant: wiring.load(variant=variant) for variant in wiring.VARIANTS}
Change = Callable[[Wiring], None]
each_variant = pytest.mark.parametrize("variant", wiring.VARIANTS)

# What stands between a fault and heat, shock or a pinched finger.
PROTECTIVE = {
    *("RCD1", "S1", "F1", "F2", "F3", "TS1", "TS2", "K1", "SSR1", "S2", "PSU1", "W1", "XS1"),
    *("OK1", "PT1", "R20", "R21", "R9", "C5", "R1", "R2", "R3", "R4", "R11", "R12", "U3", "R35"),
    *("C1", "C2", "C3", "D2", "D3", "R13", "R14", "U4", "R36", "R37", "R38", "Q1", "Q2", "Q3"),
    *("Q4", "D1", "R6", "R7", "R8", "R10", "R25", "S3", "S4", "S5", "B1", "B2", "B3"),
}

# Part and figure that no rule objects to however far it moves, and why that hurts nobody.
UNSEEN = {
    (
        "U1",
        "amps",
    ): "what the board draws is a figure of its maker; the rules only need it to be there",
    ("B7", "ohms"): "Pt100 or Pt1000: the walk asks which it is and the ice point shows it",
}
# The same on the protective path: these have no corner, as the test proves at their very end.
NO_CORNER = {
    ("D2", "drop_low_volts"): "a diode that drops nothing at all still lets the relay go in time",
    ("D3", "drop_low_volts"): "a diode that drops nothing at all still lets the relay go in time",
}


def first_found(rig: Wiring) -> str:
    """The first sentence of the first rule that objects, or ''; the slow one comes last."""
    found = circuit.double_entry(rig) or ratings.values_are_given(rig)
    if not found:
        quick = [rule for rule in rules.RULES if rule is not charge_pump.charge_pump]
        found = next((said for rule in quick if (said := rule(rig))), [])
    return (found or charge_pump.charge_pump(rig) or [""])[0]


def broken(variant: str, change: Change) -> str:
    rig = copy.deepcopy(SOUND[variant])
    change(rig)
    return first_found(rig)


# ---------------------------------------------------------------- parts and terminals


@each_variant
def test_a_part_taken_out_is_found(variant: str) -> None:
    for name in SOUND[variant].parts:

        def take_out(rig: Wiring, name: str = name) -> None:
            del rig.parts[name]

        assert name in broken(variant, take_out), name
        rig = copy.deepcopy(SOUND[variant])
        take_out(rig)
        assert rules.breaches(rig), name  # a sentence, and no traceback


def exchanges(variant: str) -> Iterator[tuple[str, Change]]:
    """Every two terminals of a part that lie on different nets, exchanged."""
    for name, part in SOUND[variant].parts.items():
        for a, b in combinations(part.pins, 2):
            if part.pins[a] != part.pins[b]:

                def put(rig: Wiring, name: str = name, a: str = a, b: str = b) -> None:
                    pins = rig.parts[name].pins
                    pins[a], pins[b] = pins[b], pins[a]

                yield f"{name}: {a} and {b}", put


@each_variant
def test_two_terminals_exchanged_are_found(variant: str) -> None:
    unseen = {words.split(":")[0] for words, put in exchanges(variant) if not broken(variant, put)}
    # Their two ends are alike: turned round they are the same circuit.
    assert {SOUND[variant].parts[name].kind for name in unseen} <= {
        *("resistor", "capacitor", "fuse", "bond", "neon", "reed", "float", "button", "ntc"),
        *("cutout", "second-cutout"),
    }
    assert all(len(SOUND[variant].parts[name].pins) == 2 for name in unseen)
    assert "C7" not in unseen  # an electrolytic capacitor has a plus


@each_variant
def test_a_terminal_on_another_net_is_found(variant: str) -> None:
    for name, part in SOUND[variant].parts.items():
        for terminal, net in part.pins.items():
            other = "gnd" if net != "gnd" else "3v3"

            def move(rig: Wiring, name: str = name, at: str = terminal, to: str = other) -> None:
                rig.parts[name].pins[at] = to

            assert broken(variant, move), f"{name}.{terminal}"


# ---------------------------------------------------------------- figures

# Worse when larger; all others are worse when smaller, and a value of its own both ways.
LARGER = {
    *("tolerance_percent", "drift_percent", "leak_ua", "leak_ma", "drop_high_volts", "least_amps"),
    *("pull_in_percent", "minus_c", "plus_c", "trip_ma", "ratio_high_percent"),
}
OWN_VALUE = {"ohms", "ohms_120", "farads", "gain"}


def figures(variant: str) -> Iterator[tuple[str, str, float]]:
    """Part, figure and the factor that moves it far past its corner."""
    for name, part in SOUND[variant].parts.items():
        for field in msgspec.structs.fields(part.rated):
            if not getattr(part.rated, field.name):
                continue
            if field.name in LARGER or field.name in OWN_VALUE:
                yield name, field.name, 1000.0
            if field.name not in LARGER:
                yield name, field.name, 0.001


def move(variant: str, name: str, figure: str, factor: float) -> str:
    def put(rig: Wiring) -> None:
        part = rig.parts[name]
        changed = {figure: getattr(part.rated, figure) * factor}
        part.rated = msgspec.structs.replace(part.rated, **changed)

    return broken(variant, put)


@each_variant
def test_every_figure_has_a_corner_that_a_rule_guards(variant: str) -> None:
    unseen = {
        (name, figure)
        for name, figure, factor in figures(variant)
        if not move(variant, name, figure, factor)
    }
    here = {key for key in UNSEEN if key[0] in SOUND[variant].parts}
    assert unseen == here | set(NO_CORNER)
    assert {name for name, _ in UNSEEN} & PROTECTIVE == set()


@pytest.mark.parametrize(("name", "figure"), list(NO_CORNER))
def test_a_figure_without_a_corner_is_harmless_at_its_end(name: str, figure: str) -> None:
    assert move("box", name, figure, 0.0) == ""


@each_variant
def test_half_a_value_on_the_protective_path_is_found(variant: str) -> None:
    # Halved or doubled, a value of its own (not a rating, which may have room) is past its corner
    # where it decides: the pump, the reference, the sense, the pulls, the dividers.
    for name in ("C3", "R13", "R14", "R36", "R37", "R9", "R7", "R25", "C1", "C2", "R26", "R27"):
        for figure in ("ohms", "farads"):
            if getattr(SOUND[variant].parts[name].rated, figure):
                seen = [move(variant, name, figure, factor) for factor in (0.5, 2.0)]
                assert any(seen), name
    for name in ("TS1", "TS2"):
        for factor in (0.5, 0.9, 1.1):
            if (name, factor) != ("TS2", 1.1):
                assert move(variant, name, "celsius", factor), (name, factor)
