"""What an open water surface loses to the room by evaporating."""

from __future__ import annotations

import math

_W_PER_M2_KPA = 54.0
_POWER = 1.25
"""Both fitted to the table "Heat loss from open water tanks" (Engineering Toolbox; still air at
15.6 °C, taken at 50 % humidity). A power above 1 is what rising moist air gives: the drier room
above drives its own draught."""


def saturation_kpa(celsius: float) -> float:
    """Vapour pressure over water at saturation in kPa, for 0 to 100 °C.

    Source: Alduchov & Eskridge 1996, Magnus form; within 0.5 % of steam tables up to 60 °C.
    """
    return 0.61094 * math.exp(17.625 * celsius / (243.04 + celsius))


def evaporation_w_per_m2(water_c: float, room_c: float, rh_share: float) -> float:
    """Heat carried off by evaporation in W/m² of open water; condensation is left out (0)."""
    drive_kpa = saturation_kpa(water_c) - rh_share * saturation_kpa(room_c)
    if drive_kpa <= 0.0:
        return 0.0
    return _W_PER_M2_KPA * math.pow(drive_kpa, _POWER)


def vaporisation_j_per_kg(celsius: float) -> float:
    """Heat of vaporisation of water in J/kg; a line through the steam tables, 0 to 100 °C."""
    return 2.501e6 - 2380.0 * celsius
