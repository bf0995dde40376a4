"""Heat through the distributed rig: jacket, crock, two layers of water, bowl, layer, core, ice."""

from __future__ import annotations

import math

from ..actuators import Actuators
from ..limits import require
from ..shell import Beginning, Shell
from .fat import Portion
from .ice import IceBucket
from .moist import STEAM_J_PER_KG, evaporation_kg_per_m2_s, vapour_kg_per_m3
from .motor import Motor
from .parameters import (
    CROCK_J_PER_M3_K,
    CROCK_W_PER_M_K,
    STEEL_J_PER_KG_K,
    WATER_J_PER_KG_K,
    SlabParameters,
)
from .wall import Wall

_LONGEST_STEP_S = 1.0
_BOILING_C = 100.0
_FILM_KG = 0.03
"""Water that stays in the crock whatever is spilt."""


class Flows(Shell[SlabParameters]):
    """The state and one step of it. Temperatures in °C, heat in J, flows in W.

    Energy is counted from the start; each flow leaves one node and enters another, so the account
    closes to rounding.
    """

    __slots__ = (
        "_core",
        "_fill",
        "_jacket_c",
        "_layer",
        "_lid_open",
        "_lower_c",
        "_pockets_c",
        "_upper_c",
        "_wall",
        "_water_kg",
        "bowl_c",
        "bucket",
        "stirrer",
    )

    @classmethod
    def _reference(cls) -> SlabParameters:
        return SlabParameters()

    def _rest(self, begin: Beginning) -> None:
        """Without body_c the crock is as warm as the bath."""
        p = self._p
        water_c = require("bath temperature", begin.bath_c, 0.0, 99.0, "°C")
        body_c = require("body_c", water_c if begin.body_c is None else begin.body_c, 0, 300, "°C")
        self._upper_c = self._lower_c = self.bowl_c = water_c
        self._jacket_c = body_c
        self._wall = Wall(p.crock_mm / 1e3, p.crock_m2, CROCK_W_PER_M_K, CROCK_J_PER_M3_K, body_c)
        self._water_kg = p.water_kg
        layer_kg = p.layer_share * p.chocolate_kg
        fat = begin.chocolate_c, begin.stable_share
        self._layer = Portion(p.chocolate, layer_kg, *fat)
        self._core = Portion(p.chocolate, p.chocolate_kg - layer_kg, *fat)
        self._fill = 1.0
        self._lid_open = False
        self.bucket = IceBucket(
            p.ice_kg, p.bucket_water_kg, p.bucket_water_c, max(1.0, p.ice_melt_w_per_k)
        )
        self.stirrer = Motor()
        self._pockets_c = list(self._around())

    def step(self, dt_s: float, actuators: Actuators) -> None:
        """Let dt_s (s) pass with these shares flowing.

        Raises InputError when dt_s is not above 0 and at most 1 s, or a share is not 0 to 1.
        """
        if not 0.0 < dt_s <= _LONGEST_STEP_S:
            require("dt_s", dt_s, 1e-6, _LONGEST_STEP_S, "s")
        actuators.check()
        heat, chill, stir = actuators.heat_share, actuators.chill_share, actuators.stir_share
        core = self._core
        afloat = core.low + core.high - core.pieces
        self.stirrer.drive(stir, core.celsius, afloat, core.pieces, self._fill)
        self._heat_w = heat * self._heater_w
        times = math.ceil(dt_s / self._wall.longest_step_s - 1e-9)
        for _ in range(times):
            self._flow(dt_s / times, chill * self.pump_share)
        follow = dt_s / (dt_s + self._p.pocket_tau_s)
        pockets = self._pockets_c
        for at, around_c in enumerate(self._around()):
            pockets[at] += (around_c - pockets[at]) * follow

    def _flow(self, dt: float, flow_share: float) -> None:
        p, wall = self._p, self._wall
        surface_w = self._surface_w(dt)  # first: it takes vapour from the mass used below
        upper, lower, bowl = self._upper_c, self._lower_c, self.bowl_c
        half_j_per_k = 0.5 * self._water_kg * WATER_J_PER_KG_K
        wet = min(1.0, self._water_kg / p.water_kg)
        to_wall_w = self._through_jacket(dt)
        inner = wall.cells_c[-1]
        film = wall.film_w_per_k(p.crock_water_w_per_m2_k * p.crock_m2 * wet)
        up_w = film * p.wall_up_share * (inner - upper)
        low_w = film * (1.0 - p.wall_up_share) * (inner - lower)
        wall.step(dt, to_wall_w, up_w + low_w)
        bowl_up_w = p.bowl_water_w_per_k * wet * p.bowl_up_share * (upper - bowl)
        bowl_low_w = p.bowl_water_w_per_k * wet * (1.0 - p.bowl_up_share) * (lower - bowl)
        between_w = self._mixing_w_per_k(upper, lower) * (upper - lower)
        coil = self._coil_w_per_k(flow_share) * wet
        coil_up_w = coil * p.coil_up_share * (upper - self.bucket.celsius)
        coil_low_w = coil * (1.0 - p.coil_up_share) * (lower - self.bucket.celsius)
        self._upper_c += dt * (up_w - bowl_up_w - between_w - coil_up_w - surface_w) / half_j_per_k
        self._lower_c += dt * (low_w - bowl_low_w + between_w - coil_low_w) / half_j_per_k
        self._to_ice(dt, coil_up_w + coil_low_w, flow_share)
        self._to_chocolate(dt, bowl_up_w + bowl_low_w)
        if self._upper_c > _BOILING_C or self._lower_c > _BOILING_C:
            self._boil()

    def _through_jacket(self, dt: float) -> float:
        """From element to jacket, crock and room; returns what enters the crock."""
        p, wall = self._p, self._wall
        gap = wall.film_w_per_k(p.jacket_crock_w_per_m2_k * p.crock_m2)
        outer = wall.cells_c[0]
        gap_w = gap * (self._jacket_c - outer)
        lost_w = p.jacket_room_w_per_k * (self._jacket_c - self._room_c)
        rim_w = p.crock_room_w_per_k * (outer - self._room_c)
        self._jacket_c += dt * (self._heat_w - gap_w - lost_w) / p.jacket_j_per_k
        self._in_j += dt * self._heat_w
        self._out_j += dt * (lost_w + rim_w)
        return gap_w - rim_w

    def _mixing_w_per_k(self, upper: float, lower: float) -> float:
        """Between the layers: a cold one on top falls through, a warm one stays."""
        p = self._p
        size = self._water_kg / 3.0
        if lower > upper:
            return p.overturn_w_per_k * size
        return (p.settled_w_per_k + p.stirred_w_per_k * self.stirrer.turning_share) * size

    def _coil_w_per_k(self, flow_share: float) -> float:
        """Bath to bucket: a flow that warms on its way (effectiveness of a coil in a bath)."""
        flow = self._p.flow_w_per_k * flow_share
        if flow <= 0.0:
            return 0.0
        return flow * -math.expm1(-self._p.coil_w_per_k / flow)

    def _surface_w(self, dt: float) -> float:
        """Dry heat from the upper layer to the room in W; vapour leaves as well, lid off."""
        p = self._p
        upper = self._upper_c
        over = upper - self._room_c
        if not self._lid_open:
            self._out_j += dt * p.lid_w_per_k * over
            return p.lid_w_per_k * over
        kg_per_s = p.open_m2 * evaporation_kg_per_m2_s(
            upper, self._room_c, self._room_share, p.open_w_per_m2_k
        )
        kg = min(dt * kg_per_s, max(0.0, self._water_kg - _FILM_KG))
        self._vaporise(kg)
        dry_w = 2.0 * p.open_w_per_m2_k * p.open_m2 * over
        self._out_j += dt * dry_w
        return dry_w

    def _vaporise(self, kg: float) -> None:
        """Steam leaves from both layers at the temperature of the upper one."""
        if kg <= 0.0:
            return
        before_j = self._bath_j()
        gone_j = kg * (STEAM_J_PER_KG + WATER_J_PER_KG_K * self._upper_c)
        self._out_j += gone_j
        self._water_kg -= kg
        short_j = before_j - gone_j - self._bath_j()
        self._upper_c += short_j / (0.5 * self._water_kg * WATER_J_PER_KG_K)

    def _boil(self) -> None:
        """What is above boiling leaves as steam while there is water."""
        over_j = max(0.0, self._upper_c - _BOILING_C) + max(0.0, self._lower_c - _BOILING_C)
        over_j *= 0.5 * self._water_kg * WATER_J_PER_KG_K
        self._vaporise(min(over_j / STEAM_J_PER_KG, max(0.0, self._water_kg - _FILM_KG)))

    def _to_ice(self, dt: float, coil_w: float, flow_share: float) -> None:
        bucket = self.bucket
        room_w = self._p.bucket_room_w_per_k * (bucket.celsius - self._room_c)
        self._out_j += dt * room_w
        bucket.step(dt, coil_w - room_w, flow_share)

    def _to_chocolate(self, dt: float, to_bowl_w: float) -> None:
        """From bowl to layer, core and room."""
        p, core, layer, motor = self._p, self._core, self._layer, self.stirrer
        moving = motor.turning_share
        mixing = p.still_share + (1.0 - p.still_share) * moving
        mixing *= self._fill
        soft = 1.0 - (1.0 - p.solid_share) * (layer.low + layer.high)
        layer_w = p.bowl_layer_w_per_k * mixing * soft * (self.bowl_c - layer.celsius)
        within = p.layer_core_w_per_k * mixing
        core_w = within * (layer.celsius - core.celsius)
        room_w = p.core_room_w_per_k * self._fill * (core.celsius - self._room_c)
        self.bowl_c += dt * (to_bowl_w - layer_w) / (p.bowl_kg * STEEL_J_PER_KG_K)
        self._in_j += dt * motor.heat_w
        self._out_j += dt * room_w
        layer.step(dt, dt * (layer_w - core_w), moving)
        core.step(dt, dt * (core_w - room_w + motor.heat_w), moving)
        if moving > 0.0 and core.low + core.high + layer.low + layer.high > 0.0:
            self._swap(dt * within / p.chocolate.cp_j_per_kg_k)

    def _swap(self, kg: float) -> None:
        """Crystals go with the chocolate that layer and core change for each other."""
        core, layer = self._core, self._layer
        share = min(0.5, kg / layer.kg)
        for name in ("low", "high", "pieces"):
            moved = share * (getattr(core, name) - getattr(layer, name))
            setattr(layer, name, getattr(layer, name) + moved)
            setattr(core, name, getattr(core, name) - moved * layer.kg / core.kg)

    def _vapour(self, celsius: float) -> float:
        return vapour_kg_per_m3(celsius)

    def _around(self) -> tuple[float, float, float]:
        """What surrounds the pockets of the probes of chocolate, bath and body."""
        p, wall = self._p, self._wall
        core = self._core.celsius
        chocolate = core + p.probe_layer_share * (self._layer.celsius - core)
        chocolate += p.probe_stem_share * (self._room_c - chocolate)
        bath = self._lower_c + p.bath_probe_up_share * (self._upper_c - self._lower_c)
        bath += p.bath_probe_wall_share * (wall.cells_c[-1] - bath)
        body = self.outer_face_c
        return chocolate, bath, body + p.body_probe_jacket_share * (self._jacket_c - body)

    @property
    def outer_face_c(self) -> float:
        """The crock's outer face under the band."""
        p, wall = self._p, self._wall
        film = wall.film_w_per_k(p.jacket_crock_w_per_m2_k * p.crock_m2)
        return wall.face_c(False, film * (self._jacket_c - wall.cells_c[0]))

    def _bath_j(self) -> float:
        return 0.5 * self._water_kg * WATER_J_PER_KG_K * (self._upper_c + self._lower_c)

    def _total_j(self) -> float:
        p = self._p
        return (
            self._jacket_c * p.jacket_j_per_k
            + self._wall.heat_j
            + self._bath_j()
            + self.bowl_c * p.bowl_kg * STEEL_J_PER_KG_K
            + self._layer.heat_j
            + self._core.heat_j
            + self.bucket.heat_j
        )
