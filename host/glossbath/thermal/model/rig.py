"""What one rig is, thermally: one number a field, in physical units."""

from __future__ import annotations

import msgspec

from glossbath.chocolate.heat import CROCK_CP, WATER_CP
from glossbath.errors import InputError

UNCERTAIN = (
    "heater_w",
    "body_j_per_k",
    "body_bath_w_per_k",
    "room_w_per_k",
    "chill_w_per_k",
    "still_w_per_k",
    "stirred_w_per_k",
)
"""Fields that an identification finds, and whose uncertainty a forecast carries on."""

_UNKNOWN = 0.15
"""Relative standard uncertainty of an estimate; engineering choice, no source."""

LIMITS = {
    "heater_w": (20.0, 3000.0, "W"),
    "body_j_per_k": (100.0, 50_000.0, "J/K"),
    "water_kg": (0.05, 20.0, "kg"),
    "bowl_j_per_k": (0.0, 20_000.0, "J/K"),
    "body_bath_w_per_k": (1.0, 1000.0, "W/K"),
    "wall_w_per_k": (0.0, 5000.0, "W/K"),
    "element_lag_s": (0.0, 1800.0, "s"),
    "body_probe_over_k": (-50.0, 200.0, "K"),
    "bath_probe_body_share": (-0.9, 0.9, "(share)"),
    "room_w_per_k": (0.05, 50.0, "W/K"),
    "bowl_room_w_per_k": (0.0, 20.0, "W/K"),
    "body_room_share": (0.0, 1.0, "(share)"),
    "chill_w_per_k": (0.0, 500.0, "W/K"),
    "still_w_per_k": (0.05, 500.0, "W/K"),
    "stirred_w_per_k": (0.05, 500.0, "W/K"),
    "bowl_kg": (0.05, 20.0, "kg"),
    "probe_lag_s": (0.0, 120.0, "s"),
    "ice_kg": (0.0, 100.0, "kg"),
    "ice_water_kg": (0.05, 100.0, "kg"),
    "ice_room_w_per_k": (0.0, 20.0, "W/K"),
}
"""Lowest, highest and unit of each field: what is beyond is absurd."""


class RigModel(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One rig. The defaults are the reference rig: 250 W slow cooker, 3 kg crock and 3 kg water.

    Heat enters the body (crock and heater band), goes through the bath into what is in the bowl,
    and leaves to the room and into ice water. `check` raises InputError on absurd values.
    """

    heater_w: float = 250.0
    body_j_per_k: float = 2700.0
    """Crock and heater band: 3 kg at 900 J/(kg K); estimate."""
    water_kg: float = 3.0
    """In the bath. Weighed: it is the known heat capacity that gives all others their scale."""
    bowl_j_per_k: float = 250.0
    """Counted with the bath, whose temperature it nearly has: 0.5 kg of steel; estimate."""
    body_bath_w_per_k: float = 40.0
    """With a full bath; estimate."""
    wall_w_per_k: float = 0.0
    """Through the body, from the middle of its outer half, where its probe is, to that of its
    inner half; 0: the body has one temperature."""
    element_lag_s: float = 0.0
    """How late the element's heat enters the body."""
    body_probe_over_k: float = 0.0
    """How far the body's probe is above the outer half at full power: it may touch the element."""
    bath_probe_body_share: float = 0.0
    """Of the body's inner half in what the bath's probe shows, which may hang near the wall; below
    0 it hangs where the water follows late."""
    room_w_per_k: float = 1.9
    """From body and bath, lid on. Whole cookers lose 1.5 to 3 (common practice, no source)."""
    bowl_room_w_per_k: float = 0.1
    """From what is in the bowl, over its top; estimate."""
    body_room_share: float = 0.8
    """The part of that loss which leaves from the body's outside, not over the bath; estimate."""
    chill_w_per_k: float = 30.0
    """Bath to ice water with the pump running; estimate."""
    still_w_per_k: float = 1.9
    """Bath to what is in the bowl, not stirred; estimate."""
    stirred_w_per_k: float = 6.8
    """The same with the stirrer always on; between, in proportion to its share of time."""
    bowl_kg: float = 1.0
    """What was in the bowl when these two were found."""
    probe_lag_s: float = 8.0
    """A steel tube of 6 mm in stirred liquid; estimate."""
    ice_kg: float = 2.0
    ice_water_kg: float = 2.0
    """What is filled into the chill bucket."""
    ice_room_w_per_k: float = 0.6
    """An uninsulated bucket; estimate."""
    uncertainty_shares: dict[str, float] = {}
    """Relative standard uncertainty of fields in UNCERTAIN; a field that is missing has 15 %."""

    @classmethod
    def default(cls) -> RigModel:
        """The reference rig, before anything was measured."""
        return cls()

    @property
    def bath_j_per_k(self) -> float:
        """Water and bowl."""
        return self.water_kg * WATER_CP + self.bowl_j_per_k

    @property
    def bucket_j_per_k(self) -> float:
        """The water in the chill bucket, without its ice."""
        return self.ice_water_kg * WATER_CP

    @property
    def probe_bath_w_per_k(self) -> float:
        """From the body's probe through wall and film to what the bath's probe shows."""
        through = 1.0 / self.wall_w_per_k if self.wall_w_per_k > 0.0 else 0.0
        return 1.0 / (through + (1.0 - self.bath_probe_body_share) / self.body_bath_w_per_k)

    @property
    def body_lag_s(self) -> float:
        """How late the water follows the element: element, wall and film one after another."""
        through = 0.5 / self.wall_w_per_k if self.wall_w_per_k > 0.0 else 0.0
        return self.element_lag_s + self.body_j_per_k * (1.0 / self.body_bath_w_per_k + through)

    @property
    def store_j_per_k(self) -> float:
        """All that the heater warms beside the chocolate: body, water and bowl."""
        return self.bath_j_per_k + self.body_j_per_k

    def bowl_w_per_k(self, stir_share: float, kg: float) -> float:
        """Bath to kg in the bowl, at a stirrer that runs for that share of the time.

        The wetted wall grows as the 2/3 power of what is in the bowl, as the board assumes.
        """
        w_per_k = self.still_w_per_k + (self.stirred_w_per_k - self.still_w_per_k) * stir_share
        return w_per_k * float((kg / self.bowl_kg) ** (2.0 / 3.0))

    @property
    def measured(self) -> bool:
        """Whether an experiment or a cycle has found what this rig is."""
        return "heater_w" in self.uncertainty_shares

    def uncertainty(self, name: str) -> float:
        """Relative standard uncertainty of one of UNCERTAIN."""
        return self.uncertainty_shares.get(name, _UNKNOWN)

    def check(self) -> RigModel:
        """This model, or InputError that names the first value which is implausible."""
        for name, (low, high, unit) in LIMITS.items():
            value = getattr(self, name)
            if not (low <= value <= high):
                raise InputError(
                    f"The rig model's {name} is {value:g} {unit}, outside {low:g} to {high:g} "
                    f"{unit}; correct it or identify the rig again."
                )
        for name, share in self.uncertainty_shares.items():
            if name not in UNCERTAIN or not (0.0 <= share <= 10.0):
                raise InputError(
                    f"The rig model's uncertainty_shares has {name} = {share:g}; it may hold "
                    f"{', '.join(UNCERTAIN)}, each from 0 to 10."
                )
        return self


def as_described(
    model: RigModel,
    *,
    water_kg: float | None = None,
    heater_w: float | None = None,
    crock_kg: float | None = None,
    room_w_per_k: float | None = None,
    ice_kg: float | None = None,
) -> RigModel:
    """A model with what a person says of the rig in place of what is known of it; no ice: no
    chill. Raises InputError for implausible values."""
    said = {
        "water_kg": water_kg,
        "heater_w": heater_w,
        "body_j_per_k": None if crock_kg is None else crock_kg * CROCK_CP,
        "room_w_per_k": room_w_per_k,
        "ice_kg": ice_kg,
        "chill_w_per_k": 0.0 if ice_kg == 0.0 else None,
    }
    changed = {name: value for name, value in said.items() if value is not None}
    return msgspec.structs.replace(model, **changed).check()
