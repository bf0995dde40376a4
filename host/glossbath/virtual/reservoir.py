"""The bucket of ice water which the chill pump draws from."""

from __future__ import annotations

from .limits import require
from .parameters import PlantParameters


class IceWater:
    """Ice and water well mixed: at 0 °C while there is ice, warmer after.

    Heat is counted from liquid water at 0 °C, so enthalpy_j is negative while ice is left.
    """

    __slots__ = ("_cp", "_latent", "celsius", "enthalpy_j", "kg")

    def __init__(self, p: PlantParameters) -> None:
        """The reservoir as first filled; water above 0 °C over ice first melts some of it."""
        self._cp = p.water_cp_j_per_kg_k
        self._latent = p.latent_ice_j_per_kg
        self.kg = p.ice_kg + p.reservoir_water_kg
        self.enthalpy_j = (
            p.reservoir_water_kg * self._cp * p.reservoir_water_c - p.ice_kg * self._latent
        )
        self.celsius = 0.0
        self.warm(0.0)

    @property
    def ice_kg(self) -> float:
        """Ice left in kg."""
        return max(0.0, -self.enthalpy_j / self._latent)

    def warm(self, heat_j: float) -> None:
        """Take in heat_j (J): ice melts first, then the water warms."""
        self.enthalpy_j += heat_j
        self.celsius = max(0.0, self.enthalpy_j / (self.kg * self._cp))

    def add_ice(self, kg: float) -> float:
        """Put in kg of ice at 0 °C; returns the enthalpy (J) that comes with it."""
        carried_j = -require("ice to add", kg, 0.0, 100.0, "kg") * self._latent
        self.kg += kg
        self.warm(carried_j)
        return carried_j

    def take_ice(self, kg: float) -> float:
        """Take out kg of ice; returns the enthalpy (J) that leaves with it.

        Raises InputError when there is less ice, or when nothing would be left.
        """
        most = min(self.ice_kg, self.kg - 0.001)
        carried_j = -require("ice to take out", kg, 0.0, max(0.0, most), "kg") * self._latent
        self.kg -= kg
        self.warm(-carried_j)
        return carried_j

    def change_water(self, celsius: float) -> float:
        """As much water at celsius in place of what is liquid; returns the heat (J) brought."""
        require("reservoir's water", celsius, 0.0, 95.0, "°C")
        brought_j = (self.kg - self.ice_kg) * self._cp * (celsius - self.celsius)
        self.warm(brought_j)
        return brought_j
