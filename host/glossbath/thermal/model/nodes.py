"""Heat between body, bath, bowl, room and ice water, step by step."""

from __future__ import annotations

import math

from glossbath.chocolate.heat import WATER_CP
from glossbath.errors import InputError

from .contents import Contents
from .rig import RigModel

ICE_LATENT_J_PER_KG = 334e3
"""OpenStax College Physics, table of heats of fusion."""
_NO_SOLID = 1e-6


class Nodes:
    """The temperatures (°C) of one rig, made to go on by `step`.

    body_c is the outer side of the body, inner_c its side to the bath: the same where the model
    gives it one temperature. solid_share is what of the contents that can melt is solid; ice_j is
    the heat in the chill bucket above water at 0 °C, negative while there is ice. heat_j and
    chill_j count the heat from the heater and into the ice water since the start.
    """

    __slots__ = (
        "_bath_j_per_k",
        "_contents_j",
        "_element_share",
        "_ice_j_per_k",
        "_inner_j_per_k",
        "_outer_j_per_k",
        "_solid_misses",
        "_step_s",
        "_through_w_per_k",
        "bath_c",
        "body_c",
        "chill_j",
        "chocolate_c",
        "contents",
        "heat_j",
        "ice_c",
        "ice_j",
        "inner_c",
        "model",
        "room_c",
        "solid_share",
    )

    def __init__(
        self,
        model: RigModel,
        contents: Contents,
        *,
        room_c: float,
        chocolate_c: float,
        bath_c: float,
        body_c: float,
        solid_share: float | None = None,
    ) -> None:
        """A rig at these temperatures; solid_share None: as solid as its temperature allows.

        Raises InputError for a temperature outside -20 to 150 °C.
        """
        for what, celsius in (
            ("room", room_c),
            ("chocolate", chocolate_c),
            ("bath", bath_c),
            ("body", body_c),
        ):
            if not (-20.0 <= celsius <= 150.0):
                raise InputError(
                    f"The {what} is said to have {celsius:g} °C, outside -20 to 150 °C; "
                    "look at its probe."
                )
        self.model = model
        self.contents = contents
        self.room_c = room_c
        self._bath_j_per_k = model.bath_j_per_k
        halves = 2.0 if model.wall_w_per_k > 0.0 else 1.0
        self._outer_j_per_k = model.body_j_per_k / halves
        self._inner_j_per_k = model.body_j_per_k - self._outer_j_per_k
        self._element_share = 0.0
        self._step_s = self._through_w_per_k = 0.0
        self._ice_j_per_k = (model.ice_kg + model.ice_water_kg) * WATER_CP
        self.ice_j = -model.ice_kg * ICE_LATENT_J_PER_KG
        self.ice_c = 0.0
        self._solid_misses = 1.0 - contents.solid_touch_share
        self.heat_j = self.chill_j = 0.0
        self.place(chocolate_c, bath_c, body_c, solid_share)

    def place(
        self, chocolate_c: float, bath_c: float, body_c: float, solid_share: float | None = None
    ) -> None:
        """Set the temperatures, as read from the probes."""
        model = self.model
        self.chocolate_c, self.body_c, self.inner_c = chocolate_c, body_c, body_c
        if model.wall_w_per_k > 0.0:
            film = model.body_bath_w_per_k
            self.inner_c -= (body_c - bath_c) * film / (film + model.wall_w_per_k)
        share = model.bath_probe_body_share
        self.bath_c = (bath_c - share * self.inner_c) / (1.0 - share)
        if solid_share is None:
            solid_share = self.contents.solid_limit(chocolate_c)
        self.solid_share = solid_share if self.contents.latent_j_per_kg > 0.0 else 0.0
        self._contents_j = self.contents.enthalpy_j(chocolate_c, self.solid_share)

    def warm_bucket(self, heat_j: float) -> None:
        """Put heat_j (J) into the chill bucket, at most what makes it as warm as the bath."""
        most_j = self._ice_j_per_k * self.bath_c
        self.ice_j = max(self.ice_j, min(self.ice_j + heat_j, most_j))
        self.ice_c = self.ice_j / self._ice_j_per_k if self.ice_j > 0.0 else 0.0

    @property
    def body_probe_c(self) -> float:
        """What the body's probe shows."""
        return self.body_c + self._element_share * self.model.body_probe_over_k

    @property
    def bath_probe_c(self) -> float:
        """What the bath's probe shows."""
        share = self.model.bath_probe_body_share
        return self.bath_c + share * (self.inner_c - self.bath_c)

    @property
    def touch_share(self) -> float:
        """Of the heat transfer to the bowl that its contents get while pieces are solid."""
        return 1.0 - self.solid_share * self._solid_misses

    @property
    def ice_kg(self) -> float:
        """Ice left in the bucket."""
        return max(0.0, -self.ice_j / ICE_LATENT_J_PER_KG)

    @property
    def stored_j(self) -> float:
        """Heat in body, bath and bowl above 0 °C."""
        return (
            self.body_c * self._outer_j_per_k
            + self.inner_c * self._inner_j_per_k
            + self.bath_c * self._bath_j_per_k
            + self._contents_j
        )

    def step(self, dt_s: float, heat: float, chill: float, bowl_w_per_k: float) -> None:
        """Let dt_s (s, at most the fastest lag) pass with these shares of heater and pump, and
        this heat transfer (W/K) from bath to bowl."""
        model = self.model
        room_c, bath_c, outer_c, inner_c = self.room_c, self.bath_c, self.body_c, self.inner_c
        chocolate_c = self.chocolate_c
        self._element_share += (heat - self._element_share) * dt_s / (dt_s + model.element_lag_s)
        heat = self._element_share
        heat_w = heat * model.heater_w
        body_room = model.room_w_per_k * model.body_room_share
        ice_w = chill * model.chill_w_per_k * (bath_c - self.ice_c)
        bath_w = model.body_bath_w_per_k * (inner_c - bath_c)
        bowl_w = bowl_w_per_k * self.touch_share * (bath_c - chocolate_c)
        if dt_s != self._step_s:
            self._set_step(dt_s)
        through_w = self._through_w_per_k * (outer_c - inner_c)
        outer_w = heat_w - body_room * (outer_c - room_c)
        if self._inner_j_per_k > 0.0:
            self.body_c = outer_c + dt_s * (outer_w - through_w) / self._outer_j_per_k
            self.inner_c = inner_c + dt_s * (through_w - bath_w) / self._inner_j_per_k
        else:
            self.body_c = outer_c + dt_s * (outer_w - bath_w) / self._outer_j_per_k
            self.inner_c = self.body_c
        bath_room = model.room_w_per_k - body_room
        flow_w = bath_w - bowl_w - ice_w - bath_room * (bath_c - room_c)
        self.bath_c = bath_c + dt_s * flow_w / self._bath_j_per_k
        bowl_w -= model.bowl_room_w_per_k * (chocolate_c - room_c)
        self._contents_j += dt_s * bowl_w
        self.heat_j += dt_s * heat_w
        self.chill_j += dt_s * ice_w
        self._follow(dt_s)
        self.ice_j += dt_s * (ice_w + model.ice_room_w_per_k * (room_c - self.ice_c))
        self.ice_c = self.ice_j / self._ice_j_per_k if self.ice_j > 0.0 else 0.0

    def _set_step(self, dt_s: float) -> None:
        """The exchange between the body's halves, exact over a step however thin the wall is."""
        self._step_s = dt_s
        half = self._inner_j_per_k
        if half > 0.0:
            share = -math.expm1(-2.0 * self.model.wall_w_per_k * dt_s / half)
            self._through_w_per_k = 0.5 * half * share / dt_s

    def _follow(self, dt_s: float) -> None:
        """What is in the bowl melts as its temperature allows; the heat left sets that."""
        contents = self.contents
        solid = self.solid_share
        if solid > _NO_SOLID:
            over = solid - contents.solid_limit(self.chocolate_c)
            if over > 0.0:
                self.solid_share = solid = solid - over * min(1.0, dt_s / contents.melt_tau_s)
        sensible = self._contents_j / contents.kg - contents.latent_j_per_kg * (1.0 - solid)
        at_step = contents.cool_j_per_kg_k * contents.step_c
        if sensible <= at_step:
            self.chocolate_c = sensible / contents.cool_j_per_kg_k
        else:
            over = sensible - at_step
            self.chocolate_c = contents.step_c + over / contents.warm_j_per_kg_k
