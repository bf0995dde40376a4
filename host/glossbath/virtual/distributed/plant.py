"""The distributed rig: what can be seen of it, and what a kitchen does to it."""

from __future__ import annotations

from ..limits import require
from .fat import Portion
from .flows import Flows
from .parameters import WATER_J_PER_KG_K

_FILM_SHARE = 0.01
"""What clings to bowl or crock and cannot be taken out."""
_POCKETS = ("chocolate", "bath", "body")


class DistributedPlant(Flows):
    """The rig with the same handles as the lumped plant. Temperatures in °C, masses in kg.

    chocolate_c is the core; layer_c the chocolate at the bowl's wall; seen_c what a probe's
    pocket has.
    """

    __slots__ = ()

    @property
    def chocolate_c(self) -> float:
        return self._core.celsius

    @property
    def layer_c(self) -> float:
        return self._layer.celsius

    @property
    def bath_c(self) -> float:
        """Mean of both layers."""
        return 0.5 * (self._upper_c + self._lower_c)

    @property
    def body_c(self) -> float:
        """The crock's outer face."""
        return self.outer_face_c

    def seen_c(self, name: str) -> float:
        """What surrounds the element of a probe: chocolate, bath or body."""
        return self._pockets_c[_POCKETS.index(name)]

    @property
    def reservoir_c(self) -> float:
        return self.bucket.celsius

    @property
    def ice_kg(self) -> float:
        return self.bucket.ice_kg

    @property
    def chocolate_kg(self) -> float:
        return self._core.kg + self._layer.kg

    @property
    def water_kg(self) -> float:
        return self._water_kg

    @property
    def lid_open(self) -> bool:
        return self._lid_open

    @property
    def melted_share(self) -> float:
        """Liquid share of the fat, layer and core together."""
        core, layer = self._core, self._layer
        return 1.0 - (core.kg * core.solid + layer.kg * layer.solid) / self.chocolate_kg

    @property
    def stable_share(self) -> float:
        """Share of the core's fat that is solid in its high fraction; a prediction."""
        return self._core.high

    @property
    def unstable_share(self) -> float:
        """Share of the core's fat that is solid in its low fraction; a prediction."""
        return self._core.low

    @property
    def stir_current_ma(self) -> float:
        return self.stirrer.current_ma

    # What a kitchen does to it. Each raises InputError when a value is out of range.

    def set_lid(self, is_open: bool) -> None:
        """Take the lid off or put it on."""
        self._lid_open = is_open

    def take_chocolate(self, kg: float) -> None:
        """Ladle out kg, from core and layer alike; a film always stays in the bowl."""
        whole = self.chocolate_kg
        most = whole - _FILM_SHARE * self._p.chocolate_kg
        require("chocolate to take", kg, 0.0, max(0.0, most), "kg")
        for part in (self._core, self._layer):
            self._out_j += part.take(kg * part.kg / whole)
        self._refill()

    def add_chocolate(self, kg: float, celsius: float, stable_share: float | None = None) -> None:
        """Fill in kg at celsius; stable_share None: well set or melted as its temperature says."""
        require("chocolate to add", kg, 0.0, 50.0, "kg")
        share = self._layer.kg / self.chocolate_kg
        for part, of in ((self._layer, share), (self._core, 1.0 - share)):
            added = Portion(self._p.chocolate, kg * of, celsius, stable_share)
            self._in_j += added.heat_j
            part.add(added)
        self._refill()

    def _refill(self) -> None:
        self._fill = min(1.0, self.chocolate_kg / self._p.chocolate_kg)

    def lose_water(self, kg: float) -> None:
        """Spill kg from the bath."""
        most = self._water_kg - _FILM_SHARE * self._p.water_kg
        require("water to lose", kg, 0.0, max(0.0, most), "kg")
        self._out_j += kg * WATER_J_PER_KG_K * self.bath_c
        self._water_kg -= kg

    def add_water(self, kg: float, celsius: float) -> None:
        """Top the bath up with kg at celsius; it mixes with both layers."""
        require("water to add", kg, 0.0, 50.0, "kg")
        require("water temperature", celsius, 0.0, 95.0, "°C")
        self._in_j += kg * WATER_J_PER_KG_K * celsius
        share = kg / (self._water_kg + kg)
        self._upper_c += share * (celsius - self._upper_c)
        self._lower_c += share * (celsius - self._lower_c)
        self._water_kg += kg

    def add_ice(self, kg: float) -> None:
        """Put kg of ice at 0 °C into the bucket."""
        self._in_j += self.bucket.add_ice(kg)

    def take_ice(self, kg: float) -> None:
        """Fish kg of ice out of the bucket."""
        self._out_j += self.bucket.take_ice(kg)

    def warm_bucket(self, celsius: float) -> None:
        """Change the bucket's water for as much at celsius; ice stays."""
        self._in_j += self.bucket.change_water(celsius)
