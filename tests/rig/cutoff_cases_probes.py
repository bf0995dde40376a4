"""Faults of probes: too hot, too fast, dead, jumping, standing still."""

from __future__ import annotations

from cutoff_case import HOLD, MELT, PASS_S, PROBE_S, Case, Rig, begin, hot
from direct import Direct

from glossbath.virtual.parameters import PlantParameters
from glossbath.virtual.virtual import Options


def _heater(watts: float) -> Options:
    return Options(parameters=PlantParameters(heater_w=watts))


def _pour(kg: float, celsius: float) -> Rig:
    return lambda d: d.rig.plant.add_water(kg, celsius)


def _ladle(kg: float, celsius: float) -> Rig:
    return lambda d: d.rig.plant.add_chocolate(kg, celsius)


WARM = begin(chocolate_c=44.0, bath_c=52.0, body_c=55.0)
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
        "the body's probe is pressed onto the heating band",
        lambda d: d.rig.probes["body"].dip(92.0),
        2.0 + PROBE_S,
        options=begin(chocolate_c=24.0, bath_c=54.0, body_c=76.0),
        recipe=MELT,
        begun=hot("body", 82.0),
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
        "a flame stands under the crock",
        lambda d: d.rig.probes["body"].lift(lambda: 78.0),
        PROBE_S,
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


CASES = TEMPERATURES + PROBES + JUMPS + STUCK
