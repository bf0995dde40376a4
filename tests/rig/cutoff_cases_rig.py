"""Faults of heat, mains, stirrer, kitchen, supply and board."""

from __future__ import annotations

from dataclasses import replace

from cutoff_case import HOLD, MELT, PASS_S, PROBE_S, Case, Rig, begin, nothing
from direct import Direct, program

from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.virtual import Options


def _spill_unseen(d: Direct) -> None:
    d.rig.float_held_up = True
    d.rig.plant.lose_water(2.9)
    d.rig.probes["bath"].lift(lambda: d.rig.plant.room_c)


def _flung(probe: str, celsius: float) -> Rig:
    return lambda d: d.rig.probes[probe].lift(lambda: celsius)


def _swap(one: str, other: str) -> Rig:
    return lambda d: d.rig.swap_probes(one, other)


HEAT_FLOW = [
    Case(
        "swapped",
        "chocolate and bath probe swapped",
        nothing,
        900.0,
        before=_swap("chocolate", "bath"),
        within_s=1200.0,
    ),
    Case(
        "swapped",
        "bath probe beside the pot",
        _flung("bath", 24.0),
        1800.0,
        within_s=2400.0,
    ),
    Case(
        "chocolate-apart",
        "chocolate probe beside the pot",
        _flung("chocolate", 24.0),
        2400.0,
        options=Options(probe_noise_c=0.05),
        within_s=3000.0,
    ),
    Case(
        "body-cold",
        "bath and body probe swapped",
        nothing,
        480.0,
        before=_swap("bath", "body"),
        within_s=900.0,
    ),
    Case(
        "body-cold",
        "body probe has come off",
        _flung("body", 24.0),
        600.0,
        within_s=900.0,
    ),
    Case(
        "body-apart",
        "the crock is dry, its float stuck and the bath probe in air",
        _spill_unseen,
        240.0 + PROBE_S,
        begun=lambda d: d.rig.probes["body"].element_c - d.rig.probes["bath"].element_c > 35.1,
        within_s=1800.0,
    ),
    Case(
        "no-effect",
        "the heater's wire is broken",
        lambda d: setattr(d.rig.mains, "heater_open", True),
        450.0,
        within_s=900.0,
    ),
    Case(
        "unasked-warming",
        "the switch is shorted and the sense line dead while no heat is asked for",
        nothing,
        420.0,
        options=begin(chocolate_c=40.0, bath_c=33.0, body_c=33.0),
        recipe=HOLD,
        warm_up_s=0.0,
        before=nothing,
        within_s=900.0,
    ),
]


def _short_unseen(d: Direct) -> None:
    d.rig.low_voltage.pump_unplugged = True
    d.rig.mains.switch_shorted = d.rig.mains.sense_dead = True


HEAT_FLOW[-1] = replace(HEAT_FLOW[-1], fault=_short_unseen)


def _mains(**faults: bool) -> Rig:
    def put(d: Direct) -> None:
        for name, value in faults.items():
            setattr(d.rig.mains, name, value)

    return put


COOLING = begin(chocolate_c=48.0, bath_c=50.0, body_c=50.0)
MAINS = [
    Case(
        "unasked-heat",
        "the switch shorts while no heat is asked for",
        _mains(switch_shorted=True),
        1.5 + PASS_S,
        options=COOLING,
        recipe=HOLD,
    ),
    Case("no-power", "the cut-out opens", _mains(cutout_open=True), 3.0 + PASS_S),
    Case("no-power", "the mains fail", _mains(supply_on=False), 3.0 + PASS_S),
    Case("no-power", "the relay drops", _mains(relay_dead=True), 3.0 + PASS_S),
    Case("no-power", "the switch no longer conducts", _mains(switch_open=True), 3.0 + PASS_S),
    Case("no-power", "the sense line breaks", _mains(sense_dead=True), 3.0 + PASS_S),
]


def _stirrer(**flags: bool) -> Rig:
    def put(d: Direct) -> None:
        for name, value in flags.items():
            setattr(d.rig.plant.stirrer, name, value)

    return put


def _low_voltage(**faults: object) -> Rig:
    def put(d: Direct) -> None:
        for name, value in faults.items():
            setattr(d.rig.low_voltage, name, value)

    return put


def _strong_motor() -> Options:
    plain = PlantParameters()
    strong = replace(plain.stirrer, stall_ma=2500.0)
    return Options(parameters=replace(plain, stirrer=strong))


STIRRER = [
    Case("stir-stalled", "something holds it", _stirrer(jammed=True), 5.0 + PASS_S, recipe=MELT),
    Case(
        "stir-stalled",
        "water has seized the chocolate",
        _stirrer(seized=True),
        5.0 + PASS_S,
        options=begin(chocolate_c=32.0, bath_c=32.0, body_c=32.0),
        recipe=HOLD,
    ),
    Case(
        "stir-stalled",
        "something holds it, stirring half the time",
        _stirrer(jammed=True),
        20.0,
    ),
    Case(
        "stir-current",
        "a stronger motor is held",
        _stirrer(jammed=True),
        0.5 + PASS_S,
        options=_strong_motor(),
        recipe=MELT,
    ),
    Case(
        "stir-none",
        "its plug is out",
        _low_voltage(stirrer_unplugged=True),
        10.0 + PASS_S,
        recipe=MELT,
    ),
    Case(
        "stir-none",
        "its sense line is cut",
        _low_voltage(stirrer_sense_cut=True),
        10.0 + PASS_S,
        recipe=MELT,
    ),
]


def _lid(d: Direct) -> None:
    d.rig.plant.set_lid(True)


def _short_stirrer(d: Direct) -> None:
    _lid(d)
    d.rig.low_voltage.stirrer_shorted = True


STIRRER.append(
    Case("stir-unasked", "its driver shorts under an open lid", _short_stirrer, 3.0 + PASS_S)
)


def _spill(d: Direct) -> None:
    d.rig.plant.lose_water(2.0)


def _silence(d: Direct) -> None:
    d.leasing = False


KITCHEN = [
    Case("stop-button", "pressed", _mains(stop_pressed=True), PASS_S),
    Case(
        "lid",
        "its switch is broken",
        lambda d: setattr(d.rig, "lid_switch_ok", False),
        3600.0 + PASS_S,
        options=begin(chocolate_c=30.5, bath_c=30.5, body_c=30.5),
        recipe=HOLD,
        within_s=3700.0,
    ),
    Case("water-low", "two thirds are spilt", _spill, 300.0 + 2.25, within_s=400.0),
    Case("lease", "the computer is silent", _silence, 6.0 + PASS_S),
]
BOARD = [
    Case("supply-low", "it sags to 9.5 V", _low_voltage(supply_v=9.5), 2.0 + PASS_S),
    Case("supply-low", "its sense wire breaks", _low_voltage(supply_v=0.0), 2.0 + PASS_S),
    Case("supply-high", "15.2 V", _low_voltage(supply_v=15.2), 2.0 + PASS_S),
    Case("supply-high", "beyond what the converter sees", _low_voltage(supply_v=19.0), 2.5),
    Case(
        "phase-time",
        "ten minutes by its recipe",
        nothing,
        PASS_S,
        recipe=program("melt", 48.0, 58.0, timeout_ms=600_000),
        begun=lambda d: d.reading.get("pt", 0) >= 599_000,
        within_s=700.0,
    ),
    Case(
        "run-time",
        "twenty minutes by the rig's settings, held by hand",
        lambda d: d.send("hold") and None,
        PASS_S,
        options=Options(
            limits={"run-time": 1_200_000},
            begin={"chocolate_c": 30.5, "bath_c": 30.5, "body_c": 30.5},
        ),
        recipe=HOLD,
        begun=lambda d: d.rig.now_ms - d.began_ms >= 1_200_000,
        within_s=1300.0,
    ),
    Case(
        "overrun",
        "every pass takes 450 ms longer",
        lambda d: setattr(d.rig, "stall_ms", 450),
        3.0,
    ),
]


CASES = HEAT_FLOW + MAINS + STIRRER + KITCHEN + BOARD
