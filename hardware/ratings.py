"""Rules about what parts must stand: current, voltage and heat.

Currents are not written down part by part: they follow from the loads that a part feeds.
"""

from __future__ import annotations

import math

from hardware.wiring import Part, Wiring

# Nets that loads are fed from and return to, by domain.
SOURCES = {"mains": ("L_wall", "N_wall"), "elv": ("12v_raw", "gnd")}


def load_amps(wiring: Wiring, part: Part) -> float:
    """The worst current a load takes, in amperes."""
    if part.draws is None:
        return 0.0
    return part.draws.amps + part.draws.watts / wiring.mains.lowest_volts


def amps_through(wiring: Wiring, name: str) -> float:
    """The worst current through a part: the sum of the loads it would cut off by opening."""
    if not wiring.parts[name].through:
        return 0.0
    total = 0.0
    reached = {net: wiring.reach(net, (name,)) for pair in SOURCES.values() for net in pair}
    for load in wiring.parts.values():
        if load.draws is None:
            continue
        start, end = load.pins[load.draws.start], load.pins[load.draws.end]
        feed, back = SOURCES[wiring.nets[start].domain]
        if start not in reached[feed] or end not in reached[back]:
            total += load_amps(wiring, load)
    return total


def values_are_given(wiring: Wiring) -> list[str]:
    """Every resistor has its ohms, and the capacitors whose value matters their farads."""
    found = [
        f"{name} has no resistance given; write its ohms into wiring.toml"
        for name, part in wiring.of_kind("resistor").items()
        if not part.rated.ohms > 0
    ]
    found += [
        f"{name} has a tolerance of {part.rated.tolerance_percent:g} %; no such part is sold"
        for name, part in wiring.parts.items()
        if not part.rated.tolerance_percent + part.rated.drift_percent <= 40
    ]
    return found + [
        f"{name} has no capacitance given; write its farads into wiring.toml"
        for name in ("C1", "C2", "C3", "C5")
        if not wiring.parts[name].rated.farads > 0
    ]


def loads_are_fed(wiring: Wiring) -> list[str]:
    """Every load has a way to its supply and back, or the sums above mean nothing."""
    found = []
    for name, part in wiring.parts.items():
        if part.draws is None:
            continue
        for terminal, source in zip(
            (part.draws.start, part.draws.end),
            SOURCES[wiring.nets[part.pins[part.draws.start]].domain],
            strict=True,
        ):
            if part.pins[terminal] not in wiring.reach(source):
                found.append(f"{name}.{terminal} has no way to {source}; complete its circuit")
    return found


def nets_have_two_ends(wiring: Wiring) -> list[str]:
    """A net with one terminal is a wire that somebody forgot."""
    ends = [net for part in wiring.parts.values() for net in part.pins.values()]
    open_ended = ("L_wall", "N_wall")
    return [
        f"net {name} ends nowhere: it has {ends.count(name)} terminal; connect or remove it"
        for name, net in wiring.nets.items()
        if ends.count(name) < 2 and not net.on_board and name not in open_ended
    ]


def currents(wiring: Wiring) -> list[str]:
    """Rated current is the margin times the worst load, for every part that carries one."""
    found = []
    for name, part in wiring.parts.items():
        if not part.through:
            continue
        margin = wiring.margin.fuse_amps if part.kind == "fuse" else wiring.margin.amps
        need = margin * amps_through(wiring, name)
        if not part.rated.amps >= max(need, 1e-9):
            found.append(
                f"{name} is rated {part.rated.amps:g} A and must stand {need:.2f} A "
                f"({margin:g} times its worst load); choose a larger one"
            )
    return found


def connector_currents(wiring: Wiring) -> list[str]:
    """A connector stands the margin times the loads on each of its contacts."""
    found = []
    for name, part in wiring.of_kind("connector").items():
        for net in part.pins.values():
            amps = sum(
                load_amps(wiring, load)
                for load in wiring.parts.values()
                if load.draws and net in (load.pins[load.draws.start], load.pins[load.draws.end])
            )
            if net == "12v_raw":  # all of the supply's current
                amps = _loads_at_once(wiring)
            need = wiring.margin.amps * amps
            if net != "gnd" and not part.rated.amps >= need:
                found.append(
                    f"{name} is rated {part.rated.amps:g} A and carries {net}, "
                    f"which needs {need:.2f} A; choose a larger one"
                )
    return found


def _loads_at_once(wiring: Wiring) -> float:
    """Amperes of all 12 V loads together."""
    return sum(
        load_amps(wiring, part)
        for part in wiring.parts.values()
        if part.draws and wiring.nets[part.pins[part.draws.start]].domain == "elv"
    )


def supply_current(wiring: Wiring) -> list[str]:
    """The 12 V supply gives the margin times all its loads at once, and can melt its fuse."""
    total = _loads_at_once(wiring)
    fuses = [p.rated.amps for p in wiring.of_kind("fuse").values() if p.pins["1"] == "12v_raw"]
    need = max([wiring.margin.supply_amps * total, *(1.25 * amps for amps in fuses)])
    return [
        f"{name} gives {part.rated.amps:g} A and must give {need:.2f} A; choose a larger one"
        for name, part in wiring.of_kind("supply").items()
        if not part.rated.amps >= need
    ]


def fuses_go_first(wiring: Wiring) -> list[str]:
    """Every part behind a fuse stands 1.25 times that fuse, so that the fuse is the weak spot."""
    found = []
    for fuse_name, fuse in wiring.of_kind("fuse").items():
        source = SOURCES[wiring.nets[fuse.pins["1"]].domain][0]
        behind = wiring.reach(source) - wiring.reach(source, (fuse_name,))
        # The low-side switches stand behind the fuse as well, on the far side of their loads.
        behind |= {
            load.pins[load.draws.end]
            for load in wiring.parts.values()
            if load.draws and load.pins[load.draws.start] in behind and source == "12v_raw"
        }
        need = 1.25 * fuse.rated.amps
        for name, part in wiring.parts.items():
            carries = [part.pins[terminal] for pair in part.through for terminal in pair]
            if name == fuse_name or part.kind in ("resistor", "fuse"):
                continue
            if any(net in behind for net in carries) and not part.rated.amps >= need:
                found.append(
                    f"{name} is rated {part.rated.amps:g} A behind {fuse_name} of "
                    f"{fuse.rated.amps:g} A; it must stand {need:g} A, or take a smaller fuse"
                )
    return found


def voltages(wiring: Wiring) -> list[str]:
    """Rated voltage is the margin times the highest voltage at the part's terminals."""
    found = []
    for name, part in wiring.parts.items():
        need = _volts_needed(wiring, part)
        if not part.rated.volts >= need:
            found.append(
                f"{name} is rated {part.rated.volts:g} V and must stand {need:g} V; "
                "choose a higher one"
            )
    return found


def _volts_needed(wiring: Wiring, part: Part) -> float:
    """Volts that the part's own rating must cover; 0 where its kind is not sold by voltage."""
    mains = "mains" in wiring.domains(part)
    if part.kind == "resistor":
        return wiring.margin.mains_volts * part.sees_volts if mains else 0.0
    if mains and part.kind != "heater":
        return wiring.margin.mains_volts * wiring.mains.highest_volts
    highest = max((wiring.nets[net].volts for net in part.pins.values()), default=0.0)
    if part.kind in ("mosfet", "diode", "schottky", "capacitor"):
        return wiring.margin.elv_volts * highest
    if part.through or part.kind in ("connector", "converter", "board", "driver", "comparator"):
        return highest
    return 0.0


def powers(wiring: Wiring) -> list[str]:
    """Rated power is the margin times what a resistor turns into heat."""
    found = []
    for name, part in wiring.of_kind("resistor").items():
        volts = part.sees_volts or _volts_across(wiring, part)
        heat = volts**2 / part.rated.ohms
        if part.through and not part.sees_volts:
            heat = amps_through(wiring, name) ** 2 * part.rated.ohms
        need = wiring.margin.watts * heat
        if not part.rated.watts >= max(need, 1e-9):
            found.append(
                f"{name} is rated {part.rated.watts:g} W and must stand {need:.2f} W; "
                "choose a larger one"
            )
    return found


def _volts_across(wiring: Wiring, part: Part) -> float:
    """The most that can lie between a resistor's ends: the higher of its two nets."""
    return max(wiring.nets[net].volts for net in part.pins.values())


def scales(wiring: Wiring) -> list[str]:
    """The scales the firmware uses are those of the parts."""
    ohms = {name: part.rated.ohms for name, part in wiring.parts.items()}
    want = {
        "supply_divider": (ohms["R26"] + ohms["R27"]) / ohms["R27"],
        "stir_volts_per_amp": ohms["R17"] * wiring.parts["U2"].rated.gain,
        "ntc_fixed_ohm": ohms["R28"],
    }
    return [
        f"[scale] {name} is {getattr(wiring.scale, name):g} and the parts give {value:g}; "
        "make them agree"
        for name, value in want.items()
        if not math.isclose(getattr(wiring.scale, name), value, rel_tol=1e-6)
    ]


RULES = (
    loads_are_fed,
    nets_have_two_ends,
    currents,
    connector_currents,
    supply_current,
    fuses_go_first,
    voltages,
    powers,
    scales,
)
