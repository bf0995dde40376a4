"""The account of heat during a cycle: minute by minute, what the model does not explain."""

from __future__ import annotations

import math

import msgspec

from glossbath.chocolate.heat import WATER_CP
from glossbath.client.messages import Reading

from ..model import Contents, RigModel

BLOCK_S = 60.0
_SMOOTH_S = 10.0
_LONGEST_GAP_S = 15.0
_QUICK_S = 60.0
"""Memory of what heater and ice were a moment before."""
_NOISE_K = 0.03
"""In what a probe says of a minute's change; engineering choices, no source."""
_MOIST_W_PER_M2 = (
    (20.0, 0.0),
    (32.2, 252.0),
    (37.8, 505.0),
    (43.3, 757.0),
    (48.9, 1136.0),
    (60.0, 2082.0),
)
"""Water in °C and its evaporation in W/m²: "Heat loss from open water tanks", Engineering
Toolbox, still air; the first row is where a room's air is no drier than the water."""


class Block(msgspec.Struct, frozen=True):
    """Means over a minute, in W. odd: heat into body, bath and bowl which the model does not
    explain. The others are what a cause would show itself by."""

    odd_body_w: float
    odd_bath_w: float
    odd_bowl_w: float
    heater_w: float
    """From the heater."""
    contact_w: float
    """From body to bath."""
    bowl_w: float
    """From bath to bowl."""
    ice_w: float
    """From bath to ice water."""
    water_w: float
    """Taken up by the bath's water as it warms."""
    melting_w: float
    """Taken up by chocolate that melts."""
    body_w: float
    """Taken up by the body as it warms."""
    lost_w: float
    """From the bath to the room, through the lid."""
    open_w_per_m2: float
    """What an open surface would lose more than a lidded one."""
    unsteady_w: float
    """By how far heater and ice differ from what they were a moment before."""
    settling_w: float
    """The most of the same, from what they were while the body takes to follow."""
    noise_w: tuple[float, float, float]
    """The probes' noise in the odd heats."""


class Account:
    """Follows the readings of one cycle.

    Probes show late what heat and chill do, so these are taken as late; all is smoothed alike.
    solid_share is what of the chocolate that can melt is solid, from its temperature alone.
    """

    def __init__(self, model: RigModel, contents: Contents, room_c: float) -> None:
        self._model = model
        self._contents = contents
        self._room_c = room_c
        self._quick_w, self._slow_w = [0.0, 0.0], [0.0, 0.0]
        self._slow_s = max(_QUICK_S, model.body_lag_s)
        self._settling_w = 0.0
        self._element = 0.0
        """Share of the heater's power that reaches the body; an element is cold when a cycle
        begins."""
        self.solid_share: float | None = None
        self.chill_j = 0.0
        """Heat that went into the ice water so far, from the bath and the room."""
        self._time_s: float | None = None
        self._forget()

    def add_reading(self, reading: Reading) -> Block | None:
        """Take in a reading; a Block when a minute is full. After a gap, or a reading without all
        temperatures, the minute begins anew."""
        body_c, bath_c, chocolate_c = reading.body_c, reading.bath_c, reading.chocolate_c
        if body_c is None or bath_c is None or chocolate_c is None:
            self._forget()
            return None
        dt_s = 0.0 if self._time_s is None else reading.time_s - self._time_s
        self._time_s = reading.time_s
        self._melt(chocolate_c, dt_s)
        if not (0.0 < dt_s <= _LONGEST_GAP_S):
            self._forget()
        shares = (reading.heat_share, reading.chill_share, reading.stir_share)
        self._follow((body_c, bath_c, chocolate_c), shares, dt_s)
        return self._close() if self._span_s >= BLOCK_S else None

    def spend(self, filled_j: float) -> None:
        """The bucket's ice is gone and its water as warm as the bath, whatever was counted: of a
        bucket that warms the chill takes ever less. filled_j: what heat it was filled with, in J
        above 0 °C."""
        bath_c = self._celsius[1] if self._celsius else 0.0
        self.chill_j = self._model.bucket_j_per_k * max(0.0, bath_c) - filled_j

    def _forget(self) -> None:
        self._celsius: list[float] = []
        self._late: list[float] = []
        self._shares: list[float] = []
        self._inner_c: float | None = None
        self._opened: tuple[tuple[float, float, float], float, float] | None = None
        self._begin()

    def _begin(self) -> None:
        if self._celsius:
            self._opened = (self._see(0.0), self._celsius[2], self.solid_share or 0.0)
        self._sums = [0.0] * 10
        self._span_s = 0.0

    def _melt(self, chocolate_c: float, dt_s: float) -> None:
        limit = self._contents.solid_limit(chocolate_c)
        if self.solid_share is None:
            self.solid_share = limit
        over = self.solid_share - limit
        if over > 0.0 and dt_s > 0.0:
            self.solid_share -= over * min(1.0, dt_s / self._contents.melt_tau_s)

    def _follow(
        self, celsius: tuple[float, ...], shares: tuple[float, float, float], dt_s: float
    ) -> None:
        """Smooth what was read and add up the flows it means."""
        element = -math.expm1(-max(0.0, dt_s) / max(self._model.element_lag_s, 1e-3))
        self._element += element * (shares[0] - self._element)
        shares = (self._element, *shares[1:])
        if not self._celsius:
            self._celsius, self._late, self._shares = list(celsius), list(shares), list(shares)
            self._begin()
            return
        probe = -math.expm1(-dt_s / max(self._model.probe_lag_s, 1e-3))
        smooth = -math.expm1(-dt_s / _SMOOTH_S)
        for at in range(3):
            self._celsius[at] += smooth * (celsius[at] - self._celsius[at])
            self._late[at] += probe * (shares[at] - self._late[at])
            self._shares[at] += smooth * (self._late[at] - self._shares[at])
        self._add(dt_s)

    def _see(self, dt_s: float) -> tuple[float, float, float]:
        """Temperatures of the body's outer and inner side and of the bath, from what the probes
        show. The inner side is not measured: it follows its two neighbours as the model has it."""
        model = self._model
        body_c, probe_c, _ = self._celsius
        share = model.bath_probe_body_share
        outer_c = body_c - self._shares[0] * model.body_probe_over_k
        if model.wall_w_per_k <= 0.0:
            return outer_c, outer_c, (probe_c - share * outer_c) / (1.0 - share)
        film = model.body_bath_w_per_k / (1.0 - share)
        through = model.wall_w_per_k
        rest_c = (through * outer_c + film * probe_c) / (through + film)
        if self._inner_c is None:
            self._inner_c = rest_c
        rate = (through + film) / (0.5 * model.body_j_per_k)
        self._inner_c -= math.expm1(-rate * dt_s) * (rest_c - self._inner_c)
        return outer_c, self._inner_c, (probe_c - share * self._inner_c) / (1.0 - share)

    def _add(self, dt_s: float) -> None:
        model = self._model
        outer_c, inner_c, bath_c = self._seen = self._see(dt_s)
        chocolate_c = self._celsius[2]
        heat, chill, stir = self._shares
        solid = self.solid_share or 0.0
        touch = 1.0 - solid * (1.0 - self._contents.solid_touch_share)
        bowl_w_per_k = model.bowl_w_per_k(stir, self._contents.kg) * touch
        body_room = model.room_w_per_k * model.body_room_share
        lost_w = (model.room_w_per_k - body_room) * (bath_c - self._room_c)
        contact_w = model.body_bath_w_per_k * (inner_c - bath_c)
        bowl_w = bowl_w_per_k * (bath_c - chocolate_c)
        ice_w = chill * model.chill_w_per_k * bath_c
        heater_w = heat * model.heater_w
        terms = (
            heater_w - contact_w - body_room * (outer_c - self._room_c),
            contact_w - bowl_w - ice_w - lost_w,
            bowl_w - model.bowl_room_w_per_k * (chocolate_c - self._room_c),
            heater_w,
            contact_w,
            bowl_w,
            ice_w,
            lost_w,
            *self._changes(heater_w, ice_w, dt_s),
        )
        self.chill_j += dt_s * (ice_w + model.ice_room_w_per_k * self._room_c)
        for at, watts in enumerate(terms):
            self._sums[at] += dt_s * watts
        self._span_s += dt_s

    def _changes(self, heater_w: float, ice_w: float, dt_s: float) -> tuple[float, float]:
        """How far heater and ice are from what they were, at a quick and at a slow memory. What
        was far is forgotten at the slow one too: power that falls back to its own memory has not
        settled an element that is still warming."""
        found = []
        for memory, tau_s in ((self._quick_w, _QUICK_S), (self._slow_w, self._slow_s)):
            share = -math.expm1(-dt_s / tau_s)
            for at, watts in enumerate((heater_w, ice_w)):
                memory[at] += share * (watts - memory[at])
            found.append(abs(heater_w - memory[0]) + abs(ice_w - memory[1]))
        self._settling_w = max(found[1], self._settling_w * math.exp(-dt_s / self._slow_s))
        return found[0], self._settling_w

    def _body_j(self, seen: tuple[float, float, float]) -> float:
        """Heat in the body: its halves, or all of it at one temperature."""
        return 0.5 * self._model.body_j_per_k * (seen[0] + seen[1])

    def _close(self) -> Block:
        model, span_s, opened = self._model, self._span_s, self._opened
        assert opened is not None
        body_w, bath_w, in_bowl_w, heater_w, contact_w, bowl_w, ice_w, lost_w, quick_w, slow_w = (
            joules / span_s for joules in self._sums
        )
        before, chocolate_before_c, solid_before = opened
        bath_k_per_s = (self._seen[2] - before[2]) / span_s
        contents, chocolate_c = self._contents, self._celsius[2]
        solid = self.solid_share or 0.0
        melting_w = contents.kg * contents.latent_j_per_kg * (solid_before - solid) / span_s
        taken_j = contents.enthalpy_j(chocolate_c, solid)
        taken_j -= contents.enthalpy_j(chocolate_before_c, solid_before)
        in_body_w = (self._body_j(self._seen) - self._body_j(before)) / span_s
        block = Block(
            odd_body_w=in_body_w - body_w,
            odd_bath_w=model.bath_j_per_k * bath_k_per_s - bath_w,
            odd_bowl_w=taken_j / span_s - in_bowl_w,
            heater_w=heater_w,
            contact_w=contact_w,
            bowl_w=bowl_w,
            ice_w=ice_w,
            water_w=model.water_kg * WATER_CP * bath_k_per_s,
            melting_w=melting_w,
            body_w=in_body_w,
            lost_w=lost_w,
            open_w_per_m2=_evaporation(self._celsius[1]),
            unsteady_w=quick_w,
            settling_w=slow_w,
            noise_w=(
                _NOISE_K * model.body_j_per_k / span_s,
                _NOISE_K * model.bath_j_per_k / span_s,
                _NOISE_K * contents.kg * contents.warm_j_per_kg_k / span_s,
            ),
        )
        self._begin()
        return block


def _evaporation(bath_c: float) -> float:
    """W/m² from open water, by straight lines in the table; ends beyond it."""
    before_c, before = _MOIST_W_PER_M2[0]
    for celsius, watts in _MOIST_W_PER_M2[1:]:
        if bath_c <= celsius:
            share = max(0.0, (bath_c - before_c) / (celsius - before_c))
            return before + share * (watts - before)
        before_c, before = celsius, watts
    return before
