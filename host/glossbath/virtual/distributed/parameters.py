"""What the distributed rig is made of. Every number without a source is an estimate."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..limits import require
from .fat import Fat, fat_of

CROCK_J_PER_M3_K = 1.95e6
"""Stoneware: 2300 kg/m³ times 850 J/(kg K) (from memory)."""
CROCK_W_PER_M_K = 1.3
"""Stoneware, 1 to 1.7 (from memory)."""
WATER_J_PER_KG_K = 4179.0
"""Near 35 °C (CoolProp)."""
STEEL_J_PER_KG_K = 500.0
"""Stainless steel (from memory)."""


@dataclass(frozen=True)
class SlabParameters:
    """A 250 W cooker with an 8 mm crock, 3 kg of water and 1 kg of chocolate in a steel bowl.

    Shares are from 0 to 1; places of probes are stated as shares of the two things they touch.
    """

    chocolate: Fat = field(default_factory=Fat)
    heater_w: float = 250.0
    jacket_j_per_k: float = 320.0
    """Band and inner shell, which the element warms first."""
    jacket_crock_w_per_m2_k: float = 24.0
    """Across the gap by contact and radiation."""
    jacket_room_w_per_k: float = 0.3
    crock_mm: float = 8.0
    crock_m2: float = 0.13
    """Wetted when full."""
    crock_room_w_per_k: float = 0.6
    """Rim and foot."""
    crock_water_w_per_m2_k: float = 340.0
    """Free convection."""

    water_kg: float = 3.0
    settled_w_per_k: float = 8.0
    """Between the layers of 3 kg while the upper one is the warmer."""
    stirred_w_per_k: float = 12.0
    """More, while the stirrer shakes the bowl."""
    overturn_w_per_k: float = 300.0
    """While the lower one is the warmer."""
    wall_up_share: float = 0.66
    """Of the crock's heat: its plume rises."""
    coil_up_share: float = 0.7
    """Of the chill coil that hangs in the upper layer."""
    lid_w_per_k: float = 0.5
    open_m2: float = 0.035
    open_w_per_m2_k: float = 5.5
    """Film of still air; radiation adds as much again."""

    bowl_kg: float = 0.5
    bowl_up_share: float = 0.5
    bowl_water_w_per_k: float = 28.0
    chocolate_kg: float = 1.0
    layer_share: float = 0.12
    """Of the chocolate, which lies at the bowl's wall and follows it first."""
    bowl_layer_w_per_k: float = 12.0
    layer_core_w_per_k: float = 14.0
    still_share: float = 0.4
    """Of both, without stirring."""
    solid_share: float = 0.5
    """Of the latter, while all fat is solid."""
    core_room_w_per_k: float = 0.15

    ice_kg: float = 2.0
    bucket_water_kg: float = 2.0
    bucket_water_c: float = 4.0
    ice_melt_w_per_k: float = 90.0
    """From the bucket's water to 1 kg of ice in pieces, pump on."""
    bucket_room_w_per_k: float = 0.7
    coil_w_per_k: float = 32.0
    flow_w_per_k: float = 120.0
    """Heat that the pump's flow carries for each kelvin."""

    probe_layer_share: float = 0.1
    """Of the chocolate probe that stands in the layer at the wall."""
    probe_stem_share: float = 0.004
    """Of the room in what it shows, by conduction along its stem."""
    bath_probe_up_share: float = 0.5
    bath_probe_wall_share: float = 0.1
    """Of the crock's inner face in what the bath's probe shows."""
    body_probe_jacket_share: float = 0.03
    """Of the jacket in what the guard on the crock's outer face shows."""
    pocket_tau_s: float = 5.0
    """How late a probe's pocket follows what surrounds it."""

    def __post_init__(self) -> None:
        """Raises InputError when a value cannot be physical."""
        require("heater_w", self.heater_w, 0.0, 3000.0, "W")
        require("crock_mm", self.crock_mm, 2.0, 30.0, "mm")
        require("crock_m2", self.crock_m2, 0.02, 1.0, "m²")
        require("jacket_j_per_k", self.jacket_j_per_k, 10.0, 1e5, "J/K")
        require("open_m2", self.open_m2, 0.0, 1.0, "m²")
        require("ice_kg", self.ice_kg, 0.0, 100.0, "kg")
        require("bucket_water_c", self.bucket_water_c, 0.0, 95.0, "°C")
        for name in ("water_kg", "bowl_kg", "chocolate_kg", "bucket_water_kg"):
            require(name, getattr(self, name), 0.05, 50.0, "kg")
        for name in self.__dataclass_fields__:
            value = getattr(self, name)
            if name.endswith("_share"):
                require(name, value, 0.0, 1.0, "(share)")
            elif name.endswith(("_w_per_k", "_w_per_m2_k")):
                require(name, value, 0.0, 2000.0, name.split("_w_per_")[0])
        require("layer_share", self.layer_share, 0.02, 0.5, "(share)")
        require("pocket_tau_s", self.pocket_tau_s, 0.5, 600.0, "s")


def slab_of(kind: str) -> SlabParameters:
    """The reference rig with its bowl full of dark, milk or white chocolate, or of water."""
    return SlabParameters(chocolate=fat_of(kind))
