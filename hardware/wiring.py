"""wiring.toml as typed data, and the two questions the rules ask of it.

What can be reached from a net, and does a part stand between two nets: everything that
protects is a part without which the load is cut off.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TypeVar

import msgspec

from glossbath.errors import InputError

_T = TypeVar("_T")
HERE = Path(__file__).parent
WIRING_FILE = HERE / "wiring.toml"
VARIANTS = ("ready", "box")
"""How the mains side is made: of ready units that nobody opens, or as a box by an electrician."""
OVERLAYS = {"ready": HERE / "ready.toml"}


class Net(msgspec.Struct, forbid_unknown_fields=True):
    """A set of terminals joined by copper. `volts` is the highest to 0 V on elv nets."""

    domain: str
    text: str
    volts: float = 0.0
    on_board: bool = False
    """Ends on the controller board itself, so one terminal is enough."""


class Place(msgspec.Struct, forbid_unknown_fields=True):
    """Where parts sit; `holds` is the domain allowed there, or `barrier`."""

    holds: str
    text: str


class Draw(msgspec.Struct, forbid_unknown_fields=True, rename={"start": "from", "end": "to"}):
    """What a load takes at worst between two of its terminals: amperes or watts."""

    start: str
    end: str
    amps: float = 0.0
    watts: float = 0.0


class Rated(msgspec.Struct, forbid_unknown_fields=True, frozen=True):
    """What a part must be sold for; zero means the rating does not matter for it."""

    amps: float = 0.0
    volts: float = 0.0
    watts: float = 0.0
    ohms: float = 0.0
    farads: float = 0.0
    celsius: float = 0.0
    gain: float = 0.0
    trip_ma: float = 0.0
    minus_c: float = 0.0
    plus_c: float = 0.0
    bulb_c: float = 0.0
    """How far a thermostat may open below and above `celsius`, and the most its bulb stands."""
    ohms_120: float = 0.0
    """In place of `ohms` where the supply is 100 to 127 V."""
    tolerance_percent: float = 0.0
    drift_percent: float = 0.0
    """As sold, and what temperature adds."""
    leak_ua: float = 0.0
    leak_ma: float = 0.0
    """Most current that flows when it should not: a diode's, a solid-state relay's."""
    drop_low_volts: float = 0.0
    drop_high_volts: float = 0.0
    ratio_low_percent: float = 0.0
    ratio_high_percent: float = 0.0
    """An optocoupler's transfer ratio at 1 mA."""
    pull_in_percent: float = 0.0
    least_amps: float = 0.0
    release_volts: float = 0.0
    gate_volts: float = 0.0
    kelvin_b: float = 0.0
    photo_ma: float = 0.0


class Part(msgspec.Struct, forbid_unknown_fields=True):
    """One component. `through` lists the terminal pairs that carry a load's current."""

    kind: str
    text: str
    value: str
    why: str
    place: str
    pins: dict[str, str] = {}
    through: list[tuple[str, str]] = []
    draws: Draw | None = None
    rated: Rated = Rated()
    sees_volts: float = 0.0
    barrier_volts: float = 0.0
    creepage_mm: float = 0.0
    """Least way between mains and low voltage, over a surface and through air."""
    buy: str = ""
    """What to look for in the datasheet, where that is not plain from the rest."""
    value_120: str = ""
    """In place of `value` where the supply is 100 to 127 V."""
    at: str = ""
    """The part beside which it has to sit."""
    metal: bool = False
    bond: str = ""
    option: bool = False


class Mains(msgspec.Struct, forbid_unknown_fields=True):
    """The supply voltages the rig is meant for; `range` by nominal volts: least and most."""

    lowest_volts: float
    highest_volts: float
    range: dict[str, tuple[float, float]]


class Margin(msgspec.Struct, forbid_unknown_fields=True):
    """How many times the worst load a rating must be."""

    fuse_amps: float
    supply_amps: float
    amps: float
    elv_volts: float
    mains_volts: float
    watts: float


class Temperature(msgspec.Struct, forbid_unknown_fields=True):
    """The ladder of temperatures at the crock, in °C, and the distances between its rungs."""

    bath_ceiling_c: float
    wall_working_c: float
    body_limit_c: float
    probe_error_c: float
    overshoot_c: float
    boil_over_c: float
    order_c: float
    margin_c: float


class Pulse(msgspec.Struct, forbid_unknown_fields=True):
    """What drives the charge pump of the master relay, and what it must do."""

    toggle_every_ms: float
    missed_edges: int
    let_go_s: float
    rail_volts_low: float
    rail_volts_high: float
    driver_drop_volts: float
    stray_leak_ua: float
    offset_volts: float


class Sense(msgspec.Struct, forbid_unknown_fields=True):
    """What the load sense must do, and what heat and age take from its optocoupler."""

    level_high_volts: float
    level_low_volts: float
    hot_share: float
    aged_share: float
    led_volts: float
    cooker_watts_least: float
    settle_ms: float


class Analogue(msgspec.Struct, forbid_unknown_fields=True):
    """The board's converter, and what its error may cost."""

    reference_percent: float
    full_scale_volts: float
    guard_at_c: float
    guard_error_c: float
    driver_leak_ua: float
    switch_input_ohm: float


class Scale(msgspec.Struct, forbid_unknown_fields=True):
    """Raw reading to value, for the firmware."""

    supply_divider: float
    stir_volts_per_amp: float
    ntc_fixed_ohm: float


class Wiring(msgspec.Struct, forbid_unknown_fields=True):
    """The whole of wiring.toml."""

    mains: Mains
    margin: Margin
    temperature: Temperature
    pulse: Pulse
    sense: Sense
    analogue: Analogue
    scale: Scale
    places: dict[str, Place]
    nets: dict[str, Net]
    parts: dict[str, Part]
    variant: str = "box"

    def domains(self, part: Part) -> set[str]:
        """The domains that a part's terminals lie in, earth left out."""
        return {self.nets[net].domain for net in part.pins.values()} - {"earth"}

    def of_kind(self, *kinds: str) -> dict[str, Part]:
        """The parts of these kinds, by name."""
        return {name: part for name, part in self.parts.items() if part.kind in kinds}

    def reach(self, start: str, without: Iterable[str] = ()) -> set[str]:
        """The nets that current can reach from `start` when the parts in `without` are open."""
        open_parts = set(without)
        edges = [
            (part.pins[a], part.pins[b])
            for name, part in self.parts.items()
            if name not in open_parts
            for a, b in part.through
        ]
        seen = {start}
        grew = True
        while grew:
            new = {b for a, b in edges if a in seen} | {a for a, b in edges if b in seen}
            grew = not new <= seen
            seen |= new
        return seen

    def cuts(self, name: str, source: str, target: str) -> bool:
        """Whether opening the part `name` cuts `target` off from `source`."""
        return target not in self.reach(source, (name,))


class Overlay(msgspec.Struct, forbid_unknown_fields=True):
    """What a variant changes: parts that go, places, nets and parts that come or are replaced."""

    drop: list[str]
    places: dict[str, Place]
    nets: dict[str, Net]
    parts: dict[str, Part]


def load(path: Path = WIRING_FILE, variant: str = "box") -> Wiring:
    """Read wiring.toml as one of VARIANTS. Raises InputError naming file and entry at fault."""
    if variant not in VARIANTS:
        raise InputError(f"There is no variant {variant!r}: use {' or '.join(VARIANTS)}.")
    wiring = _decoded(path, Wiring)
    if variant in OVERLAYS:
        _lay_over(wiring, _decoded(OVERLAYS[variant], Overlay))
    wiring.variant = variant
    for name, part in wiring.parts.items():
        _check_part(wiring, name, part)
    return wiring


def _decoded(path: Path, kind: type[_T]) -> _T:
    try:
        return msgspec.toml.decode(path.read_bytes(), type=kind)
    except msgspec.DecodeError as err:
        raise InputError(f"{path.name}: {err}; correct the entry named") from err


def _lay_over(wiring: Wiring, overlay: Overlay) -> None:
    """Make a variant of the wiring; nets and places that nothing uses any more go."""
    for name in overlay.drop:
        if name not in wiring.parts:
            raise InputError(f"drop: {name} is not a part of wiring.toml; correct it")
        del wiring.parts[name]
    wiring.parts |= overlay.parts
    wiring.places |= overlay.places
    wiring.nets |= overlay.nets
    used = {net for part in wiring.parts.values() for net in part.pins.values()}
    wiring.nets = {name: net for name, net in wiring.nets.items() if name in used}
    here = {part.place for part in wiring.parts.values()}
    wiring.places = {name: place for name, place in wiring.places.items() if name in here}


def _check_part(wiring: Wiring, name: str, part: Part) -> None:
    if part.place not in wiring.places:
        raise InputError(f"{name}: place {part.place!r} is not listed in [places]; add or correct")
    for terminal, net in part.pins.items():
        if net not in wiring.nets:
            raise InputError(f"{name}.{terminal}: net {net!r} is not listed in [nets]; correct it")
    ends = [end for pair in part.through for end in pair]
    if part.draws:
        ends += [part.draws.start, part.draws.end]
    for end in ends:
        if end not in part.pins:
            raise InputError(f"{name}: terminal {end!r} is not among its pins; correct it")
    if part.bond and part.bond not in wiring.parts:
        raise InputError(f"{name}: bond {part.bond!r} is not a part; name the part that earths it")
