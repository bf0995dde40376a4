"""Heat flows between heater body, bath water, bowl, chocolate, room and ice water.

A lumped model. What one node loses in a step another gains, so energy is kept to rounding whatever
the step. `Plant` adds what can be seen of it and what a kitchen does to it.
"""

from __future__ import annotations

import math

from .actuators import Actuators
from .bath import Bath
from .limits import require
from .melting import ChocolateMass
from .parameters import PlantParameters
from .reservoir import IceWater
from .shell import Beginning, Shell
from .stirrer import Stirrer


class Thermal(Shell[PlantParameters]):
    """The nodes, what flows between them in a step, and the account of energy in J."""

    __slots__ = (
        "_bath",
        "_body_c",
        "_body_j_per_k",
        "_bowl_c",
        "_bowl_j_per_k",
        "_chocolate",
        "_fill_share",
        "_reservoir",
        "_step_limit_s",
        "stirrer",
    )

    @classmethod
    def _reference(cls) -> PlantParameters:
        return PlantParameters()

    def _rest(self, begin: Beginning) -> None:
        p = self._p
        self._step_limit_s = p.step_limit_s
        self._body_j_per_k = p.body_kg * p.body_cp_j_per_kg_k
        self._bowl_j_per_k = p.bowl_kg * p.bowl_cp_j_per_kg_k
        self.stirrer = Stirrer(p.stirrer)
        self._bath = Bath(p, begin.bath_c)
        self._bowl_c = self._bath.celsius
        body_c = self._room_c if begin.body_c is None else begin.body_c
        self._body_c = require("body_c", body_c, 0.0, 300.0, "°C")
        self._chocolate = ChocolateMass(
            p.chocolate, p.chocolate_kg, begin.chocolate_c, begin.stable_share
        )
        self._fill_share = 1.0
        self._reservoir = IceWater(p)

    def step(self, dt_s: float, actuators: Actuators) -> None:
        """Let dt_s (s) pass with these shares flowing.

        Raises InputError when dt_s is not above 0 and within the parameters' step_limit_s, or a
        share is outside 0 to 1.
        """
        self._check(dt_s, actuators)
        chocolate = self._chocolate
        stirrer = self.stirrer
        stirrer.drive(
            actuators.stir_share,
            chocolate.celsius,
            chocolate.suspended_share,
            chocolate.piece_share,
            self._fill_share,
        )
        mixing = stirrer.turning_share / self._p.nominal_stir_share
        heat_w = actuators.heat_share * self._heater_w
        self._heat_w = heat_w
        self._in_j += dt_s * (heat_w + stirrer.heat_w)
        chocolate_room_w = self._p.chocolate_room_w_per_k * self._fill_share
        chocolate_room_w *= chocolate.celsius - self._room_c
        chocolate_w = self._through_bath(
            dt_s, heat_w, actuators.chill_share * self.pump_share, mixing
        )
        chocolate_w += stirrer.heat_w - chocolate_room_w
        self._out_j += dt_s * chocolate_room_w + self._to_room(dt_s)
        chocolate.step(dt_s, dt_s * chocolate_w, mixing if mixing < 1.0 else 1.0)

    def _through_bath(
        self, dt_s: float, heat_w: float, chill_share: float, mixing: float
    ) -> float:
        """Heat from element to body, bath, bowl and ice water; returns what reaches the chocolate
        in W, which is not yet given to it."""
        p = self._p
        bath = self._bath
        body_c = self._body_c
        bath_c = bath.celsius
        bowl_c = self._bowl_c
        wet = bath.wet_share
        body_bath_w = p.body_water_w_per_k * wet * (body_c - bath_c)
        bath_bowl_w = p.water_bowl_w_per_k * wet * (bath_c - bowl_c)
        bowl_w_per_k = self._bowl_chocolate_w_per_k(mixing)
        bowl_chocolate_w = bowl_w_per_k * (bowl_c - self._chocolate.celsius)
        chill_w = chill_share * p.coil_w_per_k * wet * (bath_c - self._reservoir.celsius)
        self._body_c = body_c + dt_s * (heat_w - body_bath_w) / self._body_j_per_k
        self._bowl_c = bowl_c + dt_s * (bath_bowl_w - bowl_chocolate_w) / self._bowl_j_per_k
        bath.warm(dt_s * (body_bath_w - bath_bowl_w - chill_w))
        self._reservoir.warm(dt_s * chill_w)
        return bowl_chocolate_w

    def _to_room(self, dt_s: float) -> float:
        """Heat from body, bath and ice water to the room; returns it in J, without vapour."""
        p = self._p
        room_c = self._room_c
        body_w = p.body_room_w_per_k * (self._body_c - room_c)
        surface_w = self._bath.surface_w(dt_s, room_c, self._room_share)
        reservoir_w = p.reservoir_room_w_per_k * (self._reservoir.celsius - room_c)
        self._body_c -= dt_s * body_w / self._body_j_per_k
        self._bath.warm(-dt_s * surface_w)
        self._reservoir.warm(-dt_s * reservoir_w)
        return dt_s * (body_w + surface_w + reservoir_w)

    def _check(self, dt_s: float, actuators: Actuators) -> None:
        if not (0.0 < dt_s <= self._step_limit_s):
            require("dt_s", dt_s, 1e-6, self._step_limit_s, "s")
        actuators.check()

    def _bowl_chocolate_w_per_k(self, mixing: float) -> float:
        """Bowl to chocolate in W/K: less when still, mostly solid or nearly empty."""
        p = self._p
        stirred = p.still_share + (1.0 - p.still_share) * math.pow(mixing, 2.0 / 3.0)
        melted = p.solid_share + (1.0 - p.solid_share) * self._chocolate.melted_share
        return p.bowl_chocolate_w_per_k * self._fill_share * stirred * melted

    def _total_j(self) -> float:
        return (
            self._body_c * self._body_j_per_k
            + self._bowl_c * self._bowl_j_per_k
            + self._bath.enthalpy_j
            + self._chocolate.enthalpy_j
            + self._reservoir.enthalpy_j
        )
