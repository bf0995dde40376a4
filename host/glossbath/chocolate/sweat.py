"""Cold chocolate in a warm room: whether it sweats, and how long to leave it wrapped.

Water condenses on what is colder than the dew point; on chocolate it dissolves sugar, which stays
behind as sugar bloom.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import msgspec

from . import limits
from .heat import CHOCOLATE_CP
from .phase import PhasePlan
from .room import Air, surface_c

SURFACE_RH_SHARE = {"dark": 0.82, "milk": 0.78, "white": 0.78}
"""Above this humidity at its surface chocolate takes up water and sugar bloom begins: dark 82 to
85 %, milk 78 % (food-info.net, Wageningen University); white taken as milk. That is 3 to 4 K above
the dew point."""
SURFACE_W_PER_M2_K = 9.4
"""Still air and radiation at a wall of 30 °C, by the Churchill correlation in the library ht."""
CHOCOLATE_KG_PER_M3 = 1300.0
"""Solid chocolate: Beckett 1999."""
WRAPPED_FACTOR = 3.0
"""A closed box slows warming by about this much (engineering estimate, no source)."""
DOUBT_SHARE = 0.4
"""Of the waiting time (engineering estimate, no source)."""


class Sweat(msgspec.Struct, frozen=True):
    """Whether something cold gets wet in a room, and for how long."""

    sweats: bool
    margin_c: float
    """Surface above the dew point; negative means water."""
    wait_s: float | None
    """Until the surface is warm enough to stay dry; None when that never comes."""
    wait_least_s: float | None
    wait_most_s: float | None
    line: str

    def sentences(self) -> list[str]:
        """The answer in words."""
        return [self.line]


def sweat(
    chocolate_c: float,
    room: Air,
    *,
    thickness_mm: float = 10.0,
    wrapped: bool = True,
    kind: str = "dark",
) -> Sweat:
    """How long cold chocolate must warm, unopened, before it can lie in the room's air.

    Warming of a slab from both faces as one lump, T = room - (room - start) exp(-t/tau) with
    tau = density x cp x half thickness / surface coefficient. `wrapped`: in its closed box.
    Raises InputError.
    """
    limits.celsius("chocolate", chocolate_c, (-30.0, 40.0))
    limits.number("thickness", thickness_mm, 1.0, 100.0, "mm")
    margin = chocolate_c - room.dew_point_c
    safe_c = dry_above_c(room, kind)
    if chocolate_c >= safe_c:
        return Sweat(False, margin, 0.0, 0.0, 0.0, "It stays dry: use it at once.")
    if safe_c >= room.room_c:
        return Sweat(
            margin < 0,
            margin,
            None,
            None,
            None,
            f"In this air nothing gets warm enough to stay dry, {safe_c:.1f} °C: dry the room "
            "first.",
        )
    seconds = tau_s(thickness_mm, wrapped=wrapped) * math.log(
        (room.room_c - chocolate_c) / (room.room_c - safe_c)
    )
    least, most = seconds * (1 - DOUBT_SHARE), seconds * (1 + DOUBT_SHARE)
    how = "closed in its box" if wrapped else "where the air is dry"
    verb = "will" if margin < 0 else "may"
    line = (
        f"At {chocolate_c:g} °C it {verb} sweat, the dew point is {room.dew_point_c:.1f} °C and "
        f"{kind} chocolate stays dry above {safe_c:.1f} °C: leave it {how} for {_minutes(most)} "
        f"(about {_minutes(seconds)} may do), then open it."
    )
    return Sweat(margin < 0, margin, seconds, least, most, line)


def dry_above_c(room: Air, kind: str) -> float:
    """The surface temperature in °C above which a kind of chocolate stays dry in a room's air:
    where the room's water makes the air at the surface as humid as that kind bears."""
    return surface_c(room, SURFACE_RH_SHARE.get(kind, min(SURFACE_RH_SHARE.values())))


def cycle_sweats(room: Air, kind: str, phases: Iterable[PhasePlan]) -> list[str]:
    """What will sweat during the cycle in a damp room: bath, bowl, the chocolate itself."""
    lines: list[str] = []
    cooled = [phase for phase in phases if phase.name in ("cool", "reheat", "hold")]
    if not cooled:
        return lines
    bath_c = min(phase.bath_low_c for phase in cooled)
    coolest_c = min(phase.window.low_c for phase in cooled)
    if bath_c < room.dew_point_c:
        lines.append(
            f"The room's dew point is {room.dew_point_c:.1f} °C and the bath may cool to "
            f"{bath_c:g} °C: the bath's lid and the bowl's outside will sweat, so keep drops off "
            "the chocolate."
        )
    safe_c = dry_above_c(room, kind)
    if coolest_c < safe_c:
        lines.append(
            f"Chocolate below {safe_c:.1f} °C takes up water from this air, and the cycle cools "
            f"it to {coolest_c:g} °C: dry or cool the room before you start, and keep it covered."
        )
    return lines


def tau_s(thickness_mm: float, *, wrapped: bool) -> float:
    """Time constant in s of a chocolate slab that warms from both faces in still air."""
    half_m = thickness_mm / 2000
    bare = CHOCOLATE_KG_PER_M3 * CHOCOLATE_CP * half_m / SURFACE_W_PER_M2_K
    return bare * (WRAPPED_FACTOR if wrapped else 1.0)


def _minutes(seconds: float) -> str:
    return f"{math.ceil(seconds / 300) * 5} min"
