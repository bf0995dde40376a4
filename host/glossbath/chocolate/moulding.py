"""From the bowl to the wrapped bar: moulds, cooling, demoulding, wrapping.

Cooling is one-dimensional conduction with the latent heat of setting, by the enthalpy method. How
much air takes away is known only roughly, so a time is always a range. Contraction, not a clock,
says when a bar comes out.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from . import heat, limits
from .room import Air
from .sweat import dry_above_c

MOULD_C = (20.0, 28.0)
"""Moulds when they are filled, and never above the chocolate (common practice, no source)."""
COOLER_C = (10.0, 15.0)
"""Air of the cooler (common practice, no source)."""
CONDUCTIVITY_W_PER_M_K = 0.25
"""Chocolate, 15 to 40 °C: 0.22 to 0.28, Clegg 2001 in Beckett, 4th ed."""
KG_PER_M3 = 1250.0
"""Between liquid 1200 and solid 1300: Beckett 1999."""
AIR_W_PER_M2_K = {"still": (8.0, 11.0), "moving": (12.0, 20.0)}
"""Convection and radiation at a tray: still air by McAdams and Churchill and Chu, moving air of 1
to 3 m/s by the laminar flat plate, both with radiation (own computation with the library ht)."""
CELLS = 20
CONTRACTION_PERCENT = 1.0
"""Greatest contraction of a bar: cocoa butter shrinks by at most 2 % in length, nearly all in its
first half hour after setting, and only from seed (Lovegren and Feuge 1965); of a bar half is
fat."""
ICE_J_PER_KG = 334_000.0

Moving = Literal["still", "moving"]


class Cooling(msgspec.Struct, frozen=True):
    """How moulded chocolate cools."""

    fast_s: float
    slow_s: float
    """Until its hottest place has set; the ends of what the air takes away."""
    heat_j: float
    cooler_w: float
    """Mean power in the faster case."""
    mould_c: tuple[float, float]
    demould_above_c: float | None
    """The room's air wets, or blooms, what comes out colder; None for a room that is not known."""
    lines: list[str]

    def sentences(self) -> list[str]:
        """The plan in words."""
        return list(self.lines)


def cooling_s(
    thickness_mm: float,
    w_per_m2_k: float,
    from_c: float,
    to_c: float,
    air_c: float,
    *,
    latent_j_per_kg: float,
    sets_c: tuple[float, float],
    sides: int = 1,
) -> float:
    """Seconds until the hottest place of a slab is at `to_c`.

    Cooled by air at `air_c` on one or both sides, the other side insulated. The latent heat is
    given off evenly over sets_c (low, high). Raises InputError when it never comes there.
    """
    import numpy as np

    limits.number("thickness", thickness_mm, 0.5, 100.0, "mm")
    limits.celsius("air of the cooler", air_c, (-10.0, to_c - 0.5))
    depth_m = thickness_mm / 1000 / sides
    step_m = depth_m / CELLS
    low_c, high_c = sets_c
    cp = heat.CHOCOLATE_CP
    inside = CONDUCTIVITY_W_PER_M_K / step_m
    outside = 1.0 / (1.0 / w_per_m2_k + step_m / 2 / CONDUCTIVITY_W_PER_M_K)
    dt_s = 0.4 * KG_PER_M3 * step_m * cp / (inside + max(inside, outside))
    # Enthalpy in J/kg at the corners of the curve, so that temperature is read from it.
    corners_c = np.array([-100.0, low_c, high_c, 200.0])
    corners_j = cp * corners_c + np.array([0.0, 0.0, latent_j_per_kg, latent_j_per_kg])
    enthalpy = np.full(CELLS, np.interp(from_c, corners_c, corners_j))
    celsius = np.full(CELLS, from_c)
    seconds = 0.0
    flow = np.zeros(CELLS + 1)
    while celsius[-1] > to_c:
        flow[0] = outside * (air_c - celsius[0])
        flow[1:-1] = inside * (celsius[:-1] - celsius[1:])
        enthalpy += dt_s * (flow[:-1] - flow[1:]) / (KG_PER_M3 * step_m)
        celsius = np.interp(enthalpy, corners_j, corners_c)
        seconds += dt_s
    return seconds


def plan(
    kg: float,
    thickness_mm: float,
    from_c: float,
    air_c: float,
    *,
    kind: str,
    fat_share: float,
    moving: Moving = "moving",
    mould_c: float | None = None,
    room: Air | None = None,
) -> Cooling:
    """Cooling, demoulding and wrapping of kg of chocolate in moulds of this depth.

    Raises InputError.
    """
    high_c = heat.MELTS_C[kind][0]
    sets_c = (high_c - heat.SETS_OVER_K, high_c)
    limits.celsius("air of the cooler", air_c, (2.0, sets_c[0] - 1.0))
    latent = heat.latent_j(1.0, fat_share, from_c, air_c, kind=kind)
    slow_s, fast_s = (
        cooling_s(
            thickness_mm, w, from_c, sets_c[0], air_c, latent_j_per_kg=-latent, sets_c=sets_c
        )
        for w in AIR_W_PER_M2_K[moving]
    )
    given_off = -heat.batch_heat(kg, fat_share, from_c, air_c, kind=kind).total_j
    dry_c = None if room is None else dry_above_c(room, kind)
    lines = [
        f"Moulds clean, dry and polished, at {MOULD_C[0]:g} to {min(MOULD_C[1], from_c):g} °C, "
        "never warmer than the chocolate; fill them, vibrate until no bubble rises, scrape off.",
        f"In {moving} air of {air_c:g} °C it has set through after about {fast_s / 60:.0f} to "
        f"{slow_s / 60:.0f} min, cooled from its open side.",
        f"It gives off {given_off / 1000:.0f} kJ, most of it by setting: a cooler has to take "
        f"{given_off / fast_s:.0f} W, or {given_off / ICE_J_PER_KG:.2f} kg of ice.",
        f"It comes out by its contraction, up to {CONTRACTION_PERCENT:g} % of its length: through "
        "a clear mould it looks "
        "lighter and detached, and it slides when the mould is tilted. Dark patches still stick.",
        *_warnings(from_c, air_c, mould_c),
        *_demoulding(air_c, dry_c),
    ]
    return Cooling(fast_s, slow_s, given_off, given_off / fast_s, MOULD_C, dry_c, lines)


def _warnings(from_c: float, air_c: float, mould_c: float | None) -> list[str]:
    lines = []
    if not (COOLER_C[0] <= air_c <= COOLER_C[1]):
        lines.append(
            f"{COOLER_C[0]:g} to {COOLER_C[1]:g} °C are usual: colder air makes unstable crystals "
            "and cracks, warmer air makes dull and spotted bars (common practice, no source)."
        )
    if mould_c is not None and mould_c > min(MOULD_C[1], from_c):
        lines.append(f"Moulds of {mould_c:g} °C are too warm: bars set dull and stick.")
    if mould_c is not None and mould_c < MOULD_C[0]:
        lines.append(f"Moulds of {mould_c:g} °C are too cold: the surface sets dull at once.")
    return lines


def _demoulding(air_c: float, dry_c: float | None) -> list[str]:
    if dry_c is None:
        return ["Give the room's temperature and humidity to see whether it sweats coming out."]
    if air_c >= dry_c:
        return ["In this room it stays dry when it comes out: wrap it at the room's temperature."]
    return [
        f"In this room's air anything colder than {dry_c:.1f} °C gets damp: let it warm to that, "
        "covered, before it comes out, and wrap it at the room's temperature."
    ]
