"""What the virtual rig is made of: one number a field, each with its source or marked estimate."""

from __future__ import annotations

from dataclasses import dataclass, field

from .limits import require
from .melting import ChocolateParameters
from .stirrer import StirrerParameters


@dataclass(frozen=True)
class PlantParameters:
    """A 250 W slow cooker with 3 kg of water and 1 kg of dark chocolate in a steel bowl."""

    chocolate: ChocolateParameters = field(default_factory=ChocolateParameters)
    stirrer: StirrerParameters = field(default_factory=StirrerParameters)

    heater_w: float = 250.0
    """At the nominal mains voltage; slow cookers take 70 to 370 W by size (consumer pages)."""
    body_kg: float = 3.0
    """Crock and heater band as one; estimate."""
    body_cp_j_per_kg_k: float = 900.0
    """Stoneware 800 to 1000, common practice, no source."""
    water_kg: float = 3.0
    """A full bath. With less, less of the wall and of the bowl is wetted."""
    water_cp_j_per_kg_k: float = 4180.0
    """Water at 30 to 50 °C, CoolProp."""
    bowl_kg: float = 0.5
    """Estimate."""
    bowl_cp_j_per_kg_k: float = 500.0
    """Stainless steel, from memory."""
    chocolate_kg: float = 1.0
    """A full bowl. With less, less of the bowl is wetted."""

    body_water_w_per_k: float = 40.0
    """Free convection at some 350 W/(m² K) on 0.12 m² of inner wall; estimate."""
    water_bowl_w_per_k: float = 30.0
    """Free convection at some 450 W/(m² K) on 0.065 m² of bowl; estimate."""
    bowl_chocolate_w_per_k: float = 6.0
    """Stirred; with the water side this makes 5 W/K from bath to chocolate. Estimate."""
    nominal_stir_share: float = 0.5
    """The stir share at which bowl_chocolate_w_per_k holds."""
    still_share: float = 1.0 / 3.0
    """Of bowl_chocolate_w_per_k without stirring; between, the 2/3 power of speed (paddle form,
    Chilton, Drew and Jebens, from memory)."""
    solid_share: float = 0.5
    """Of bowl_chocolate_w_per_k while all fat is solid; estimate."""

    body_room_w_per_k: float = 1.5
    """0.14 m² of outer wall at 10.5 W/(m² K), free convection and radiation at 40 °C."""
    lid_room_w_per_k: float = 0.4
    chocolate_room_w_per_k: float = 0.1
    """With the body's: 2.0 W/K lid on; whole cookers lose 1.5 to 3, common practice, no source."""
    open_area_m2: float = 0.03
    """Open water round the bowl with the lid off; estimate."""
    open_w_per_m2_k: float = 10.4
    """Open surface without evaporation: "Heat loss from open water tanks", Engineering Toolbox."""

    coil_w_per_k: float = 30.0
    """Chill coil with the pump at full; estimate."""
    ice_kg: float = 2.0
    reservoir_water_kg: float = 2.0
    reservoir_water_c: float = 0.0
    latent_ice_j_per_kg: float = 334e3
    """OpenStax College Physics, table of heats of fusion."""
    reservoir_room_w_per_k: float = 0.6
    """An uninsulated bucket; estimate."""

    def __post_init__(self) -> None:
        """Raises InputError when a value cannot be physical."""
        for name in ("body_kg", "water_kg", "bowl_kg", "chocolate_kg"):
            require(name, getattr(self, name), 0.05, 50.0, "kg")
        for name in ("body_cp_j_per_kg_k", "water_cp_j_per_kg_k", "bowl_cp_j_per_kg_k"):
            require(name, getattr(self, name), 100.0, 1e5, "J/(kg K)")
        for name in self.__dataclass_fields__:
            if name.endswith("_w_per_k"):
                require(name, getattr(self, name), 0.0, 1000.0, "W/K")
        require("heater_w", self.heater_w, 0.0, 3000.0, "W")
        require("latent_ice_j_per_kg", self.latent_ice_j_per_kg, 1e5, 1e6, "J/kg")
        require("ice_kg", self.ice_kg, 0.0, 100.0, "kg")
        require("reservoir_water_kg", self.reservoir_water_kg, 0.0, 100.0, "kg")
        require("ice and water", self.ice_kg + self.reservoir_water_kg, 0.001, 200.0, "kg")
        require("reservoir_water_c", self.reservoir_water_c, 0.0, 95.0, "°C")
        require("nominal_stir_share", self.nominal_stir_share, 0.01, 1.0, "(share)")
        require("still_share", self.still_share, 0.0, 1.0, "(share)")
        require("solid_share", self.solid_share, 0.0, 1.0, "(share)")
        require("open_area_m2", self.open_area_m2, 0.0, 1.0, "m²")
        require("open_w_per_m2_k", self.open_w_per_m2_k, 0.0, 100.0, "W/(m² K)")
        require("longest step", self.step_limit_s, 0.25, 1.0, "s")

    @property
    def step_limit_s(self) -> float:
        """Longest step in s which keeps every node well away from ringing: a third of the fastest
        time constant, at most 1 s."""
        water = self.water_kg * self.water_cp_j_per_kg_k
        body = self.body_kg * self.body_cp_j_per_kg_k
        bowl = self.bowl_kg * self.bowl_cp_j_per_kg_k
        chocolate = self.chocolate_kg * self.chocolate.cp_cool_j_per_kg_k
        stirred = self.bowl_chocolate_w_per_k * max(1.0, self.nominal_stir_share ** (-2.0 / 3.0))
        rates = (
            (self.body_water_w_per_k + self.body_room_w_per_k) / body,
            (self.body_water_w_per_k + self.water_bowl_w_per_k + self.coil_w_per_k) / water,
            (self.water_bowl_w_per_k + stirred) / bowl,
            stirred / chocolate,
        )
        fastest = max(rates)
        return 1.0 if fastest < 1.0 / 3.0 else 1.0 / (3.0 * fastest)
