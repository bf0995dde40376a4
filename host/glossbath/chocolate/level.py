"""The bath's water level."""

from __future__ import annotations

CHOCOLATE_KG_PER_L = 1.2
"""Liquid chocolate at 40 °C: 1200 kg/m3, Beckett 1999."""
FULL_SHARE = 0.85
"""Water and bowl together fill this much of the crock (common practice, no source)."""
LEAST_WATER_KG_PER_KG = 1.0
MOST_WATER_KG_PER_KG = 4.0
"""Water for each kg of chocolate: common practice, no source."""


def water_advice(chocolate_kg: float, water_kg: float, crock_l: float | None) -> list[str]:
    """Sentences about how much water the bath should hold; `crock_l` is None when not known."""
    lines = [
        "Fill until the water stands as high as the chocolate in its bowl and at least 3 cm "
        "below the bowl's rim: a splash of water spoils the whole batch."
    ]
    if crock_l is not None:
        most_l = FULL_SHARE * crock_l - chocolate_kg / CHOCOLATE_KG_PER_L
        if most_l <= 0:
            lines.append(
                f"A crock of {crock_l:g} l has no room for {chocolate_kg:g} kg of chocolate and "
                "water around it: make a smaller batch."
            )
        elif water_kg > most_l:
            lines.append(
                f"{water_kg:g} l of water will run over a crock of {crock_l:g} l: fill at most "
                f"{most_l:.1f} l."
            )
    if water_kg < LEAST_WATER_KG_PER_KG * chocolate_kg:
        lines.append(
            f"{water_kg:g} kg of water is little for {chocolate_kg:g} kg of chocolate: the bath "
            "will swing and may run dry, so look at the level often."
        )
    if water_kg > MOST_WATER_KG_PER_KG * chocolate_kg:
        lines.append(
            f"{water_kg:g} kg of water is much for {chocolate_kg:g} kg of chocolate: most of "
            "the time goes into warming and cooling water."
        )
    return lines
