"""How much water a dehumidifier has to take out of a room, at once and day by day."""

from __future__ import annotations

import msgspec

from glossbath.errors import InputError

from . import limits
from .room import Air, water_kg_per_kg

W_PER_L_A_DAY = 28.3
"""Latent heat of the water collected, 2450 kJ/kg at 20 °C: CoolProp."""
MACHINE_KWH_PER_L = 0.45
"""Electric work of a small dehumidifier (engineering estimate, no source)."""
AIR_CHANGES_PER_H = 0.5
"""A closed kitchen (engineering estimate, no source)."""


class Drying(msgspec.Struct, frozen=True):
    """Litres of water to take out of a room's air."""

    once_l: float
    per_day_l: float
    """What leaks in with outside air; 0 when that is drier than the target."""
    per_day_least_l: float
    per_day_most_l: float
    """For half and twice the air changes: how tight a room is, is seldom known."""

    @property
    def heat_w(self) -> float:
        """Heat that a dehumidifier gives to the room while it keeps up."""
        return self.per_day_l * (W_PER_L_A_DAY + MACHINE_KWH_PER_L * 1000 / 24)

    def sentences(self) -> list[str]:
        """The answer in words."""
        lines = [f"The air of the room must lose {self.once_l:.2f} l of water once."]
        if self.per_day_l == 0:
            return [*lines, "Outside air is drier than that: open the window."]
        return [
            *lines,
            f"Keeping it there takes about {self.per_day_l:.1f} l a day "
            f"({self.per_day_least_l:.1f} to {self.per_day_most_l:.1f} l), without cooking, "
            "people and wet floors.",
            f"A dehumidifier gives its work and the heat of that water back to the room, about "
            f"{self.heat_w:.0f} W: cool the room as well.",
        ]


def drying(
    volume_m3: float,
    room: Air,
    to_rh_share: float,
    *,
    outside: Air | None = None,
    air_changes_per_h: float = AIR_CHANGES_PER_H,
) -> Drying:
    """Litres from humidity ratios, at constant room temperature.

    Without `outside`, the air that leaks in is taken to be like the room's. Raises InputError.
    """
    limits.number("room's volume", volume_m3, 1.0, 10_000.0, "m³")
    limits.number("air changes", air_changes_per_h, 0.0, 20.0, "per hour")
    limits.share("humidity aimed at", to_rh_share, 0.05, 1.0)
    if not (to_rh_share < room.rh_share):
        raise InputError(
            f"The humidity aimed at must lie below the room's {room.rh_share * 100:.0f} %, "
            f"not at {to_rh_share * 100:.0f} %."
        )
    aim_kg_per_kg = water_kg_per_kg(room.room_c, to_rh_share, room.pressure_pa)
    dry_air_kg = volume_m3 * room.water_g_per_m3 / room.water_g_per_kg
    once = dry_air_kg * (room.water_g_per_kg / 1000 - aim_kg_per_kg)
    incoming = (outside or room).water_g_per_kg / 1000
    per_day = max(0.0, 24 * air_changes_per_h * dry_air_kg * (incoming - aim_kg_per_kg))
    return Drying(once, per_day, per_day / 2, per_day * 2)
