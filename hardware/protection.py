"""Rules about mains, earth and keeping the two voltages apart.

Each rule takes the wiring and gives one sentence for each breach, none when all is well.
"""

from __future__ import annotations

from hardware.wiring import Part, Wiring

# The path to anything on the heater's side, in order from the wall. The RCD comes first so that
# it guards the cord; the cut-outs before the switches so that a welded switch stays dead too.
HEAT_PATH = ("rcd", "isolator", "fuse", "cutout", "second-cutout", "relay", "ssr")
# Ready units have isolator and fuse inside; the cut-outs act on their inputs.
READY_PATH = ("rcd", "relay", "ssr")
READY_SUPPLY = ("rcd",)
# What must be able to starve the inputs of both heat switches, by variant.
COIL_PATH = {"box": ("stop",), "ready": ("stop", "cutout", "second-cutout")}
# The 12 V supply powers the switches and the board, so it cannot stand behind them.
SUPPLY_PATH = ("rcd", "isolator", "fuse")
# These must break the neutral as well: a reversed plug makes it the live one.
BOTH_POLES = ("rcd", "isolator")
BARRIER_VOLTS = 3750  # reinforced insulation at 230 V for one minute, from memory
# Way over a surface and through air between mains and low voltage near steam: IEC 60335-1 asks
# 8 mm for reinforced insulation at 250 V, pollution degree 3, material group III (from memory).
CREEPAGE_MM = 8.0
IN_BOX = ("mains", "partition", "control")


def required_path(wiring: Wiring, part: Part) -> tuple[str, ...]:
    """The kinds of part that must stand between the wall and this mains load."""
    if wiring.variant == "ready":
        return READY_SUPPLY if part.kind == "supply" else READY_PATH
    return SUPPLY_PATH if part.kind == "supply" else HEAT_PATH


def mains_loads(wiring: Wiring) -> dict[str, Part]:
    """Parts that take current from the mains."""
    return {
        name: part
        for name, part in wiring.parts.items()
        if part.draws and wiring.nets[part.pins[part.draws.start]].domain == "mains"
    }


def behind_protection(wiring: Wiring) -> list[str]:
    """Every mains load is cut off by every protecting part, taken one at a time."""
    found = []
    for name, part in mains_loads(wiring).items():
        assert part.draws
        live, neutral = part.pins[part.draws.start], part.pins[part.draws.end]
        for kind in required_path(wiring, part):
            if not any(wiring.cuts(p, "L_wall", live) for p in wiring.of_kind(kind)):
                found.append(
                    f"{name} is not behind a {kind}: live reaches it with every {kind} open; "
                    f"put a {kind} in its live path"
                )
            if kind in BOTH_POLES and not any(
                wiring.cuts(p, "N_wall", neutral) for p in wiring.of_kind(kind)
            ):
                found.append(
                    f"{name}: no {kind} breaks its neutral; use a two-pole {kind}, "
                    "for a reversed plug makes neutral the live one"
                )
    return found


def path_order(wiring: Wiring) -> list[str]:
    """The protecting parts come in the order of HEAT_PATH, seen from the wall."""
    found = []
    for name, part in mains_loads(wiring).items():
        assert part.draws
        live = part.pins[part.draws.start]
        kinds = [wiring.parts[p].kind for p in live_path(wiring, live)]
        have = [kind for kind in kinds if kind in HEAT_PATH]
        want = [kind for kind in required_path(wiring, part) if kind in have]
        if have != want:
            found.append(
                f"{name}: from the wall its path is {', '.join(have)}; "
                f"it must be {', '.join(want)}; change the order"
            )
    return found


def live_path(wiring: Wiring, live: str) -> list[str]:
    """The parts that cut `live` off from the wall, in order from the wall."""
    series = [name for name in wiring.parts if wiring.cuts(name, "L_wall", live)]
    # The nearer the wall a part stands, the less is left alive when it opens.
    return sorted(series, key=lambda name: len(wiring.reach("L_wall", (name,))))


def switches_starve(wiring: Wiring) -> list[str]:
    """Stop button, and where mains stays closed both cut-outs, starve both heat switches."""
    found = []
    for name, part in wiring.of_kind("relay", "ssr", "driver", "comparator").items():
        feed = part.pins.get("vcc") or (part.draws and part.pins[part.draws.start])
        for kind in COIL_PATH[wiring.variant]:
            if feed and not any(wiring.cuts(p, "12v_raw", feed) for p in wiring.of_kind(kind)):
                found.append(
                    f"{name} keeps its 12 V with every {kind} open; put a {kind} into its feed"
                )
    return found


def motors_starve(wiring: Wiring) -> list[str]:
    """The stop button starves both motors."""
    found = []
    for name, part in wiring.of_kind("pump", "motor").items():
        assert part.draws
        feed = part.pins[part.draws.start]
        if not any(wiring.cuts(p, "12v_raw", feed) for p in wiring.of_kind("stop")):
            found.append(f"{name} keeps its 12 V with the stop button pressed; move its feed")
    return found


def rcd_current(wiring: Wiring) -> list[str]:
    """The RCD trips at 30 mA or less (IEC 61008, from memory; a GFCI at 4 to 6 mA)."""
    return [
        f"{name} trips at {part.rated.trip_ma:g} mA; choose one of 30 mA or less"
        for name, part in wiring.of_kind("rcd").items()
        if not (0 < part.rated.trip_ma <= 30)
    ]


def earth_everywhere(wiring: Wiring) -> list[str]:
    """Every metal part reaches protective earth, by its own wire or through what holds it."""
    found = []
    for name, part in wiring.parts.items():
        if not part.metal:
            continue
        chain = [name]
        while "PE" not in wiring.parts[chain[-1]].pins.values():
            bond = wiring.parts[chain[-1]].bond
            if not bond or bond in chain:
                found.append(
                    f"{name} is metal and has no earth: the chain {' -> '.join(chain)} ends "
                    "before PE; give it an earth wire or bond it to a part that has one"
                )
                break
            chain.append(bond)
    return found


def voltages_apart(wiring: Wiring) -> list[str]:
    """Low voltage and mains never share a connector or a compartment, and never join."""
    found = [
        f"{net} is low voltage and joined to the mains; separate them"
        for net in sorted(wiring.reach("L_wall") | wiring.reach("N_wall"))
        if wiring.nets[net].domain != "mains"
    ]
    for name, part in wiring.parts.items():
        domains = wiring.domains(part)
        holds = wiring.places[part.place].holds
        if part.kind == "connector" and len(domains) > 1:
            found.append(f"{name} carries mains and low voltage in one connector; use two")
        elif len(domains) > 1 and not part.barrier_volts >= BARRIER_VOLTS:
            found.append(
                f"{name} touches mains and low voltage with {part.barrier_volts:g} V between; "
                f"choose one with {BARRIER_VOLTS} V or more"
            )
        if len(domains) > 1 and not part.creepage_mm >= CREEPAGE_MM:
            found.append(
                f"{name} keeps mains and low voltage {part.creepage_mm:g} mm apart; "
                f"{CREEPAGE_MM:g} mm is the least: wide leads, or a slot in the board"
            )
        if len(domains) > 1 and holds != "barrier":
            found.append(f"{name} has both voltages and must sit astride the partition")
        if holds != "barrier" and not domains <= {holds}:
            found.append(
                f"{name} brings {' and '.join(sorted(domains))} into the place {part.place!r}, "
                f"which holds {holds} only; move it"
            )
    return found


def cables_by_connector(wiring: Wiring) -> list[str]:
    """The low-voltage wires of a part outside the box come in through one connector."""
    inside = {net for part in _in_box(wiring) for net in part.pins.values()}
    found = []
    for name, part in wiring.parts.items():
        wires = {net for net in part.pins.values() if wiring.nets[net].domain == "elv"} & inside
        if part.place in IN_BOX or not wires:
            continue
        connectors = wiring.of_kind("connector").values()
        if not any(wires <= set(connector.pins.values()) for connector in connectors):
            found.append(
                f"{name} is outside the box and no connector has all of its wires "
                f"({', '.join(sorted(wires))}); give it one"
            )
    return found


def _in_box(wiring: Wiring) -> list[Part]:
    return [part for part in wiring.parts.values() if part.place in IN_BOX]


RULES = (
    behind_protection,
    path_order,
    switches_starve,
    motors_starve,
    rcd_current,
    earth_everywhere,
    voltages_apart,
    cables_by_connector,
)
