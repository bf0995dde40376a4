"""The water in the crock, and what leaves over its surface: heat, vapour, spills."""

from __future__ import annotations

from .evaporation import evaporation_w_per_m2, vaporisation_j_per_kg
from .limits import require
from .parameters import PlantParameters

_FILM_SHARE = 0.01
"""What clings to the crock and never leaves, as a share of a full bath."""
_BOILING_C = 100.0
"""At sea level."""


class Bath:
    """Water of one temperature. vapour_j counts the heat (J) all its steam has carried off."""

    __slots__ = ("_cp", "_film_kg", "_p", "celsius", "kg", "lid_open", "vapour_j", "wet_share")

    def __init__(self, p: PlantParameters, celsius: float) -> None:
        """A full bath at celsius, lid on. Raises InputError when celsius is not 0 to 100 °C."""
        self._p = p
        self._cp = p.water_cp_j_per_kg_k
        self._film_kg = _FILM_SHARE * p.water_kg
        self.celsius = require("bath temperature", celsius, 0.0, _BOILING_C, "°C")
        self.kg = p.water_kg
        self.wet_share = 1.0
        """Share of the walls that water touches."""
        self.lid_open = False
        self.vapour_j = 0.0

    @property
    def enthalpy_j(self) -> float:
        """Heat above liquid water at 0 °C in J."""
        return self.kg * self._cp * self.celsius

    def warm(self, heat_j: float) -> None:
        """Take in heat_j (J). Above boiling, water turns to steam; a dry crock goes on heating."""
        self.celsius += heat_j / (self.kg * self._cp)
        if self.celsius > _BOILING_C:
            excess_j = (self.celsius - _BOILING_C) * self.kg * self._cp
            self._vaporise(excess_j, vaporisation_j_per_kg(_BOILING_C))

    def surface_w(self, dt_s: float, room_c: float, rh_share: float) -> float:
        """Dry heat to the room in W; with the lid off, dt_s (s) of evaporation happens as well."""
        p = self._p
        over_k = self.celsius - room_c
        if not self.lid_open:
            return p.lid_room_w_per_k * over_k
        w_per_m2 = evaporation_w_per_m2(self.celsius, room_c, rh_share)
        self._vaporise(dt_s * p.open_area_m2 * w_per_m2, vaporisation_j_per_kg(self.celsius))
        return p.open_w_per_m2_k * p.open_area_m2 * over_k

    def _vaporise(self, heat_j: float, j_per_kg: float) -> None:
        kg = min(heat_j / j_per_kg, self.kg - self._film_kg)
        if kg <= 0.0:
            return
        latent_j = kg * j_per_kg
        self.vapour_j += latent_j + kg * self._cp * self.celsius
        self._hold(self.kg - kg)
        self.celsius -= latent_j / (self.kg * self._cp)

    def _hold(self, kg: float) -> None:
        self.kg = kg
        self.wet_share = min(1.0, kg / self._p.water_kg)

    def lose(self, kg: float) -> float:
        """Spill kg of water; returns the heat (J) that leaves with it.

        Raises InputError when there is less than that besides the film which stays behind.
        """
        require("water to lose", kg, 0.0, max(0.0, self.kg - self._film_kg), "kg")
        self._hold(self.kg - kg)
        return kg * self._cp * self.celsius

    def add(self, kg: float, celsius: float) -> float:
        """Pour in kg of water at celsius; returns the heat (J) that comes with it."""
        require("water to add", kg, 0.0, 50.0, "kg")
        carried_j = kg * self._cp * require("water temperature", celsius, 0.0, 95.0, "°C")
        total_j = self.enthalpy_j + carried_j
        self._hold(self.kg + kg)
        self.celsius = total_j / (self.kg * self._cp)
        return carried_j
