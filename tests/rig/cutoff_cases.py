"""Every cut-off of the board and a fault that brings it about, put into the virtual rig's parts.

A case says how the rig begins, what breaks once heat is enabled, and when the condition that the
cut-off is for has really begun; the time from there to the trip is what is measured. `allowed_s`
is the row's own time and what its probe and the passes may add: a DS18B20 on a wire of three is
read every 1.5 s and shows what was there 0.75 s earlier.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from direct import Direct, program

from glossbath.rig.parameters import PlantParameters
from glossbath.rig.virtual import Options
from glossbath_board.program import Program

PROBE_S = 2.75  # a cycle of the wire, a conversion, two passes
PASS_S = 0.5

Rig = Callable[[Direct], None]
Begun = Callable[[Direct], bool]


def nothing(d: Direct) -> None:
    """Nothing breaks."""


def at_once(d: Direct) -> bool:
    """The condition begins with the fault."""
    return True


@dataclass(frozen=True)
class Case:
    """A fault and the trip it must end in. detail is what the trip says besides, '' for any."""

    code: str
    name: str
    fault: Rig
    allowed_s: float
    detail: str = ""
    options: Options = field(default_factory=Options)
    recipe: str | Program = "dark"
    warm_up_s: float = 5.0
    begun: Begun = at_once
    within_s: float = 60.0
    before: Rig = nothing
    """What is broken from the start."""

    @property
    def id(self) -> str:
        return f"{self.code}: {self.name}"


def begin(**temperatures: float) -> Options:
    """A rig that begins at these temperatures."""
    return Options(begin=temperatures)


def hot(probe: str, limit_c: float) -> Begun:
    """The metal in a probe is hotter than that."""
    return lambda d: d.rig.probes[probe].element_c > limit_c + 0.04


def _heater(watts: float) -> Options:
    return Options(parameters=PlantParameters(heater_w=watts))


def _pour(kg: float, celsius: float) -> Rig:
    return lambda d: d.rig.plant.add_water(kg, celsius)


def _ladle(kg: float, celsius: float) -> Rig:
    return lambda d: d.rig.plant.add_chocolate(kg, celsius)


def _spill_unseen(d: Direct) -> None:
    d.rig.float_held_up = True
    d.rig.plant.lose_water(2.9)
    d.rig.probes["bath"].lift(lambda: d.rig.plant.room_c)


WARM = begin(chocolate_c=44.0, bath_c=52.0, body_c=55.0)
MELT = program("melt", 48.0, 58.0)
HOLD = program("hold", 30.5, 33.0)

TEMPERATURES = [
    Case(
        "chocolate-hot",
        "hot chocolate is filled in",
        _ladle(1.0, 75.0),
        2.0 + PROBE_S,
        options=WARM,
        begun=hot("chocolate", 52.0),
    ),
    Case(
        "bath-hot",
        "a kettle is filled in",
        _pour(1.2, 94.0),
        2.0 + PROBE_S,
        options=WARM,
        begun=hot("bath", 60.0),
    ),
    Case(
        "body-hot",
        "a stronger appliance with a thicker crock",
        nothing,
        2.0 + PROBE_S,
        options=Options(
            parameters=PlantParameters(heater_w=420.0, body_water_w_per_k=10.0),
            begin={"chocolate_c": 24.0, "bath_c": 54.0, "body_c": 84.0},
        ),
        recipe=program("melt", 53.5, 59.5),
        begun=hot("body", 85.0),
        within_s=300.0,
    ),
    Case(
        "chocolate-rise",
        "chocolate is exchanged for hot",
        _ladle(1.0, 86.0),
        PROBE_S,
        options=begin(room_c=8.0, chocolate_c=8.0, bath_c=14.0, body_c=14.0),
        begun=lambda d: d.rig.probes["chocolate"].element_c > 38.0,
    ),
    Case(
        "bath-rise",
        "cold water is exchanged for boiling",
        _pour(2.5, 94.0),
        PROBE_S,
        options=begin(chocolate_c=20.0, bath_c=20.0, body_c=20.0),
        begun=lambda d: d.rig.probes["bath"].element_c > 40.2,
    ),
    Case(
        "body-rise",
        "a 3 kW appliance is plugged in",
        nothing,
        PROBE_S,
        options=_heater(3000.0),
        begun=lambda d: d.rig.probes["body"].element_c > 59.2,
        within_s=120.0,
    ),
]


def _chip(probe: str, fault: str) -> Rig:
    return lambda d: d.rig.chips[probe].inject(fault)


def _bus(fault: str) -> Rig:
    return lambda d: d.rig.bus.inject(fault)


def _freeze(d: Direct) -> None:
    d.rig.probes["chocolate"].lift(lambda: -50.0)


def _spoil_ntc(attribute: str) -> Rig:
    return lambda d: setattr(d.rig.low_voltage, attribute, True)


_CHIP_FAULTS = {
    "absent": "absent",
    "mute": "absent",
    "crc noise": "crc",
    "power-on": "power-on",
    "underpowered": "underpowered",
}
PROBES = [
    Case(f"probe-{probe}", fault, _chip(probe, fault), 5.0 + PROBE_S, word)
    for probe in ("chocolate", "bath", "body")
    for fault, word in _CHIP_FAULTS.items()
] + [
    Case("probe-chocolate", "data line to ground", _bus("shorted"), 5.0 + PROBE_S, "short"),
    Case("probe-chocolate", "data line broken", _bus("open"), 5.0 + PROBE_S, "absent"),
    Case(
        "probe-chocolate",
        "in the freezer",
        _freeze,
        5.0 + PROBE_S,
        "too cold",
        begun=lambda d: d.rig.probes["chocolate"].element_c < -5.06,
        within_s=120.0,
    ),
    Case(
        "probe-body",
        "thermistor's wire broken",
        _spoil_ntc("ntc_open"),
        5.0 + PASS_S,
        "open",
        options=Options(body_is_ntc=True),
    ),
    Case(
        "probe-body",
        "thermistor's wires touch",
        _spoil_ntc("ntc_short"),
        5.0 + PASS_S,
        "short",
        options=Options(body_is_ntc=True),
    ),
]


def _flung(probe: str, celsius: float) -> Rig:
    return lambda d: d.rig.probes[probe].lift(lambda: celsius)


_LIGHT = Options(probe_tau_s=0.2, begin={"chocolate_c": 30.0, "bath_c": 30.0, "body_c": 30.0})
JUMPS = [
    Case(
        f"jump-{probe}",
        "the element comes loose and touches something hot",
        _flung(probe, celsius),
        5.0 + PROBE_S,
        options=_LIGHT,
        recipe=MELT,
    )
    for probe, celsius in (("chocolate", 54.0), ("bath", 58.0), ("body", 62.0))
]

STUCK = [
    Case(
        "stuck-chocolate",
        "its chip repeats one value in melting",
        _chip("chocolate", "stuck"),
        600.0,
        options=begin(chocolate_c=30.0, bath_c=50.0, body_c=52.0),
        within_s=900.0,
    ),
    Case(
        "stuck-bath",
        "its chip repeats one value while heating",
        _chip("bath", "stuck"),
        480.0,
        warm_up_s=120.0,
        within_s=900.0,
    ),
    Case(
        "stuck-bath",
        "its chip repeats one value while chilling",
        _chip("bath", "stuck"),
        240.0,
        options=begin(chocolate_c=48.0, bath_c=50.0, body_c=50.0),
        recipe=HOLD,
        warm_up_s=60.0,
        within_s=900.0,
    ),
    Case(
        "stuck-body",
        "its chip repeats one value while heating",
        _chip("body", "stuck"),
        480.0,
        warm_up_s=120.0,
        within_s=900.0,
    ),
]


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
        10.0 + PROBE_S,
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

CASES = TEMPERATURES + PROBES + JUMPS + STUCK + HEAT_FLOW + MAINS + STIRRER + KITCHEN + BOARD
