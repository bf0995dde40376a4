"""The physical rig: its heat model, what can be seen of it, and what a kitchen does to it."""

from __future__ import annotations

from .actuators import Actuators
from .evaporation import saturation_kpa
from .limits import require
from .melting import ChocolateMass
from .thermal import Thermal

__all__ = ["Actuators", "Plant"]

_FILM_SHARE = 0.01
"""What clings to the bowl and cannot be taken out, as a share of a full one."""


class Plant(Thermal):
    """The physical rig. Temperatures in °C, masses in kg, heat in J, shares from 0 to 1.

    Call `step` with the time that has passed and the shares that really flowed. Energy is counted
    from the start: stored_j = energy_in_j - energy_out_j. In comes from the heater, the stirrer
    and what is filled in; out goes to the room (less what the ice water draws from it), as vapour,
    and with what is taken out. Materials carry their heat above liquid water and solid chocolate
    at 0 °C. `stirrer` has flags for what can go wrong with it.
    """

    __slots__ = ()

    def _vapour(self, celsius: float) -> float:
        return saturation_kpa(celsius)

    # What can be seen.

    @property
    def chocolate_c(self) -> float:
        return self._chocolate.celsius

    @property
    def layer_c(self) -> float:
        """The chocolate at the bowl's wall, which is as warm as the rest here."""
        return self._chocolate.celsius

    def seen_c(self, name: str) -> float:
        """What surrounds a probe: chocolate, bath or body."""
        if name == "chocolate":
            return self._chocolate.celsius
        return self._bath.celsius if name == "bath" else self._body_c

    @property
    def bath_c(self) -> float:
        return self._bath.celsius

    @property
    def body_c(self) -> float:
        return self._body_c

    @property
    def bowl_c(self) -> float:
        return self._bowl_c

    @property
    def reservoir_c(self) -> float:
        return self._reservoir.celsius

    @property
    def chocolate_kg(self) -> float:
        return self._chocolate.kg

    @property
    def water_kg(self) -> float:
        return self._bath.kg

    @property
    def lid_open(self) -> bool:
        return self._bath.lid_open

    @property
    def ice_kg(self) -> float:
        return self._reservoir.ice_kg

    @property
    def melted_share(self) -> float:
        """Liquid share of the fat."""
        return self._chocolate.melted_share

    @property
    def stable_share(self) -> float:
        """Share of the fat in stable crystals, pieces included; a prediction."""
        return self._chocolate.stable_share

    @property
    def unstable_share(self) -> float:
        """Share of the fat in unstable crystals; a prediction."""
        return self._chocolate.unstable_share

    @property
    def stir_current_ma(self) -> float:
        return self.stirrer.current_ma

    @property
    def energy_out_j(self) -> float:
        return self._out_j + self._bath.vapour_j

    # What a kitchen does to it. Each raises InputError when a value is out of range.

    def set_lid(self, is_open: bool) -> None:
        """Take the lid off or put it on."""
        self._bath.lid_open = is_open

    def take_chocolate(self, kg: float) -> None:
        """Ladle out kg of the mixed chocolate; a film always stays in the bowl."""
        most = self._chocolate.kg - _FILM_SHARE * self._p.chocolate_kg
        require("chocolate to take", kg, 0.0, max(0.0, most), "kg")
        self._out_j += self._chocolate.take(kg)
        self._refill()

    def add_chocolate(self, kg: float, celsius: float, stable_share: float | None = None) -> None:
        """Fill in kg at celsius; stable_share None: well set or melted as its temperature says."""
        added = ChocolateMass(self._p.chocolate, kg, celsius, stable_share)
        self._in_j += added.enthalpy_j
        self._chocolate.add(added)
        self._refill()

    def _refill(self) -> None:
        self._fill_share = min(1.0, self._chocolate.kg / self._p.chocolate_kg)

    def lose_water(self, kg: float) -> None:
        """Spill kg from the bath."""
        self._out_j += self._bath.lose(kg)

    def add_water(self, kg: float, celsius: float) -> None:
        """Top the bath up with kg at celsius."""
        self._in_j += self._bath.add(kg, celsius)

    def add_ice(self, kg: float) -> None:
        """Put kg of ice at 0 °C into the reservoir."""
        self._in_j += self._reservoir.add_ice(kg)

    def take_ice(self, kg: float) -> None:
        """Fish kg of ice out of the reservoir."""
        self._out_j += self._reservoir.take_ice(kg)

    def warm_bucket(self, celsius: float) -> None:
        """Change the reservoir's water for as much at celsius; ice stays."""
        self._in_j += self._reservoir.change_water(celsius)
