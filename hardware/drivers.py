"""What the small parts round the drivers must be: series resistors, diodes, leakage, 5 V."""

from __future__ import annotations

from hardware.wiring import Wiring

PIN_AMPS = 0.02  # into a gate that has shorted to 0 V; RP2040 pins are good for 12 mA for long
SERIES = {"R11": "R1", "R12": "R2", "R15": "R3", "R16": "R4"}  # and the pull-down behind each
PIN_VOLTS = 3.3
LEAST_COIL_AMPS = 0.01
WEAKEST_GATE_OHM = 100_000
PROBE_FUSE_AMPS = (0.1, 0.3)
EDGE_SHARE = 0.01  # the pump's edge is over in this share of the time between edges


def series_resistors(wiring: Wiring) -> list[str]:
    """Between a pin and its driver: enough to save the pin, too little to lower the level."""
    found = []
    for name, pull in SERIES.items():
        ohms, behind = wiring.parts[name].rated.ohms, wiring.parts[pull].rated.ohms
        if not PIN_VOLTS / PIN_AMPS <= ohms <= behind / 10:
            found.append(
                f"{name} has {ohms:g} ohm; between a pin and its driver it must have "
                f"{PIN_VOLTS / PIN_AMPS:.0f} to {behind / 10:.0f} ohm"
            )
    return found


def pump_resistor(wiring: Wiring) -> list[str]:
    """R35 holds each edge's peak under what the diodes stand, and lets it pass in time."""
    ohms = wiring.parts["R35"].rated.ohms
    peak = wiring.pulse.rail_volts_high / ohms
    stands = min(wiring.parts[name].rated.amps for name in ("D2", "D3"))
    slowest = ohms * max(wiring.parts[name].rated.farads for name in ("C1", "C2", "C3"))
    found = []
    if not stands >= peak:
        found.append(
            f"D2 and D3 stand {stands:g} A and each edge brings {peak:.2f} A; enlarge R35"
        )
    if not slowest <= EDGE_SHARE * wiring.pulse.toggle_every_ms / 1000:
        found.append(f"R35 slows the edges to {1000 * slowest:.0f} ms; reduce it")
    return found


def switch_lets_go(wiring: Wiring) -> list[str]:
    """What its driver leaks is half of what keeps a solid-state relay on, at most."""
    drive = wiring.analogue.driver_leak_ua * 1e-6 * wiring.analogue.switch_input_ohm
    release = wiring.parts["SSR1"].rated.release_volts
    if 2 * drive <= release:
        return []
    return [f"SSR1 releases at {release:g} V and Q1 may leave {drive:g} V; choose another SSR1"]


def lamp_stays_dark(wiring: Wiring) -> list[str]:
    """The leakage of an open switch does not light H1 while a small cooker is in."""
    found = []
    for supply, (least, most) in wiring.mains.range.items():
        ohms = most**2 / wiring.sense.cooker_watts_least
        volts = wiring.parts["SSR1"].rated.leak_ma / 1000 * ohms
        if not volts <= 0.1 * least:
            found.append(f"SSR1's leakage puts {volts:.0f} V on H1 at {supply} V; take another")
    return found


def five_volts(wiring: Wiring) -> list[str]:
    """Converter and diode carry the board with the usual margin."""
    need = wiring.margin.amps * wiring.parts["U1"].rated.amps
    return [
        f"{name} gives {wiring.parts[name].rated.amps:g} A and the board needs {need:g} A with "
        "its margin; choose a larger one"
        for name in ("DC1", "D6")
        if not (need > 0 and wiring.parts[name].rated.amps >= need)
    ]


def hot_places(wiring: Wiring) -> list[str]:
    """What lies on the crock or in the bath stands more heat than it meets there."""
    t = wiring.temperature
    met = {
        "S5": t.bath_ceiling_c,
        "B3": t.body_limit_c + t.overshoot_c,
        "B6": t.body_limit_c + t.overshoot_c,
    }
    return [
        f"{name} stands {wiring.parts[name].rated.celsius:g} °C and meets {celsius:g} °C; "
        "choose another"
        for name, celsius in met.items()
        if not wiring.parts[name].rated.celsius >= celsius + t.margin_c
    ]


def coil(wiring: Wiring) -> list[str]:
    """K1's coil draws what the wiring counts with, and is a coil for 12 V."""
    part = wiring.parts["K1"]
    if not part.rated.ohms or part.draws is None:  # a ready unit states its current alone
        return []
    amps = wiring.pulse.rail_volts_high / part.rated.ohms
    if LEAST_COIL_AMPS <= amps <= part.draws.amps:
        return []
    return [
        f"K1's coil draws {1000 * amps:.0f} mA; {1000 * LEAST_COIL_AMPS:.0f} to "
        f"{1000 * part.draws.amps:.0f} mA is what its driver and fuse are for"
    ]


def free_wheels(wiring: Wiring) -> list[str]:
    """A diode across a coil or a motor carries all its current when it is switched off."""
    found = []
    for name, load in (("D1", "K1"), ("D4", "M1"), ("D5", "M2")):
        draws = wiring.parts[load].draws
        assert draws
        if not wiring.parts[name].rated.amps >= draws.amps:
            found.append(
                f"{name} stands {wiring.parts[name].rated.amps:g} A and {load} leaves "
                f"{draws.amps:g} A when it is switched off; choose a larger one"
            )
    return found


def gate_falls(wiring: Wiring) -> list[str]:
    """Q2's gate falls by itself within a millisecond when the comparator is dead."""
    ohms = wiring.parts["R38"].rated.ohms
    if ohms <= WEAKEST_GATE_OHM:
        return []
    return [f"R38 has {ohms:g} ohm and may have {WEAKEST_GATE_OHM} at the most; reduce it"]


def input_levels(wiring: Wiring) -> list[str]:
    """A closed switch gives a full level; a cable shorted to 0 V draws little current."""
    found = []
    for feed, pull in (("R22", "R6"), ("R23", "R8"), ("R24", "R10")):
        a, b = wiring.parts[feed].rated.ohms, wiring.parts[pull].rated.ohms
        level = PIN_VOLTS * b / (a + b)
        if not (level >= 1.1 * wiring.sense.level_high_volts and PIN_VOLTS / a <= PIN_AMPS):
            found.append(
                f"{feed} and {pull} give {level:.2f} V and {1000 * PIN_VOLTS / a:.0f} mA into a "
                "short; change one"
            )
    return found


def stirrer_sense(wiring: Wiring) -> list[str]:
    """The filter's resistor takes no more than its 1 % of the reading."""
    share = wiring.parts["R18"].rated.ohms / wiring.parts["R5"].rated.ohms
    return [] if share <= 0.011 else [f"R18 takes {100 * share:.0f} % of the reading; reduce it"]


def probe_supply(wiring: Wiring) -> list[str]:
    """The probes' fuse carries them and still saves the board's regulator."""
    low, high = PROBE_FUSE_AMPS
    amps = wiring.parts["F4"].rated.amps
    return [] if low <= amps <= high else [f"F4 has {amps:g} A; take {low:g} to {high:g} A"]


def guard_element(wiring: Wiring) -> list[str]:
    """The second guard's element is what the firmware assumes."""
    ohms = wiring.parts["B6"].rated.ohms
    if ohms == wiring.scale.ntc_fixed_ohm:
        return []
    return [f"B6 has {ohms:g} ohm and the firmware assumes {wiring.scale.ntc_fixed_ohm:g}"]


def motors_are_for_12_volts(wiring: Wiring) -> list[str]:
    """Pump and stirrer are sold for the rail they hang on."""
    return [
        f"{name} is for {part.rated.volts:g} V and hangs on 12 V; choose another"
        for name, part in wiring.of_kind("pump", "motor").items()
        if not part.rated.volts >= 12
    ]


RULES = (
    series_resistors,
    pump_resistor,
    switch_lets_go,
    lamp_stays_dark,
    five_volts,
    hot_places,
    coil,
    free_wheels,
    gate_falls,
    input_levels,
    stirrer_sense,
    probe_supply,
    guard_element,
    motors_are_for_12_volts,
)
