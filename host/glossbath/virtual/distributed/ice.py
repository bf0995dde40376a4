"""The bucket: ice that melts at a finite rate into water which the pump sends through the coil."""

from __future__ import annotations

import math

from ..limits import require

_CP = 4186.0
"""Water at 0 to 30 °C, J/(kg K) (CoolProp)."""
_FUSION_J_PER_KG = 333.6e3
"""Heat of fusion of ice (CRC Handbook, from memory)."""
_STILL_SHARE = 0.35
"""Of the exchange between ice and water, without the pump; estimate."""


class IceBucket:
    """Water at celsius with ice_kg in it. The water warms above 0 °C while ice is left, since the
    ice takes heat only in proportion to its surface."""

    __slots__ = ("_melt_w_per_k", "celsius", "ice_kg", "water_kg")

    def __init__(
        self, ice_kg: float, water_kg: float, water_c: float, melt_w_per_k: float
    ) -> None:
        """melt_w_per_k: from water to 1 kg of ice while the pump runs."""
        self.ice_kg = require("ice", ice_kg, 0.0, 100.0, "kg")
        self.water_kg = require("bucket's water", water_kg, 0.2, 100.0, "kg")
        self.celsius = require("bucket's water", water_c, 0.0, 95.0, "°C")
        self._melt_w_per_k = require("melt_w_per_k", melt_w_per_k, 1.0, 2000.0, "W/K")

    @property
    def heat_j(self) -> float:
        """Heat above water at 0 °C in J, below zero while much ice is left."""
        return self.water_kg * _CP * self.celsius - self.ice_kg * _FUSION_J_PER_KG

    def step(self, dt_s: float, heat_w: float, flow_share: float) -> None:
        """Let dt_s pass with heat_w (W) coming in from coil and room."""
        self.celsius += dt_s * heat_w / (self.water_kg * _CP)
        if self.ice_kg <= 0.0:
            return
        w_per_k = self._melt_w_per_k * math.pow(self.ice_kg, 2.0 / 3.0)
        w_per_k *= _STILL_SHARE + (1.0 - _STILL_SHARE) * flow_share
        stored_j_per_k = self.water_kg * _CP
        melt_j = self.celsius * stored_j_per_k * -math.expm1(-dt_s * w_per_k / stored_j_per_k)
        kg = melt_j / _FUSION_J_PER_KG
        if kg > self.ice_kg:
            kg = self.ice_kg
            melt_j = kg * _FUSION_J_PER_KG
        self.ice_kg -= kg
        total_j = self.water_kg * _CP * self.celsius - melt_j  # meltwater comes at 0 °C
        self.water_kg += kg
        self.celsius = total_j / (self.water_kg * _CP)

    def add_ice(self, kg: float) -> float:
        """Put in kg of ice at 0 °C; returns the heat (J) that comes with it."""
        self.ice_kg += require("ice to add", kg, 0.0, 100.0, "kg")
        return -kg * _FUSION_J_PER_KG

    def take_ice(self, kg: float) -> float:
        """Take out kg of ice; returns the heat (J) that leaves with it."""
        self.ice_kg -= require("ice to take out", kg, 0.0, max(0.0, self.ice_kg), "kg")
        return -kg * _FUSION_J_PER_KG

    def change_water(self, celsius: float) -> float:
        """As much water at celsius in place of what is there; returns the heat (J) brought."""
        require("bucket's water", celsius, 0.0, 95.0, "°C")
        brought_j = self.water_kg * _CP * (celsius - self.celsius)
        self.celsius = celsius
        return brought_j
