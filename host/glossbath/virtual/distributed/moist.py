"""What an open bath gives to moist air: heat and vapour by the analogy of Chilton and Colburn."""

from __future__ import annotations

import math

_LEWIS = 0.9
"""Thermal over mass diffusivity of water vapour in air near 25 °C (from memory)."""
_AIR_J_PER_M3_K = 1190.0
"""Density times heat capacity of air near 25 °C (from memory)."""
_GAS_J_PER_KG_K = 461.5
"""Gas constant of water vapour (from memory)."""
STEAM_J_PER_KG = 2.43e6
"""Heat of vaporisation near 30 °C (steam tables, from memory)."""


def vapour_kg_per_m3(celsius: float, humid_share: float = 1.0) -> float:
    """Density of vapour in kg/m³ at a share of saturation; Antoine's equation for water, 1 to
    100 °C, constants from memory: 8.07131, 1730.63, 233.426 (mmHg)."""
    pa = 133.322 * math.pow(10.0, 8.07131 - 1730.63 / (233.426 + celsius))
    return humid_share * pa / (_GAS_J_PER_KG_K * (celsius + 273.15))


def evaporation_kg_per_m2_s(
    water_c: float, room_c: float, humid_share: float, w_per_m2_k: float
) -> float:
    """Vapour that leaves in kg/(m² s), w_per_m2_k being the film's; condensation is left out."""
    drive = vapour_kg_per_m3(water_c) - vapour_kg_per_m3(room_c, humid_share)
    if drive <= 0.0:
        return 0.0
    m_per_s = w_per_m2_k / (_AIR_J_PER_M3_K * math.pow(_LEWIS, 2.0 / 3.0))
    return m_per_s * drive
