"""Whether a phase can still be reached as things are: what full heat or full chill do at best.

Taken are the rate at which the bath really changes, which holds for a rig that nobody measured,
with a dead pump, without ice or in a hot room, whatever its crock is made of; and how much less
that becomes on the way, since a warm bath loses more and a cool one gives less. Where that is
uncertain, what speaks for the phase is taken, so that what is told is certain.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable
from statistics import linear_regression

from glossbath.chocolate.phase import PhasePlan
from glossbath.client.messages import Reading

from ..model import Contents, RigModel
from .shortfall import Shortfall
from .standstill import FULL_SHARE, STEP_S, Standstill

SETTLE_S = 180.0
"""Full heat or chill before its rate counts: pump and crock are late."""
SPAN_S = 300.0
_SURE_K = 0.4
"""The bath must miss what is needed by this at the end of the phase's time."""
_BACK_K = 1.0
"""What was told is over once the bath not only reaches what is needed, but passes it by this."""
_DEAD_SHARE = 0.2
"""A chill that takes less of what it should is none: all that the bath loses goes to the room."""
_PATIENCE = 3
"""Steps in a row that must tell the same."""
_LOSS_SHARE, _LOSS_SHARE_UNKNOWN = 0.8, 0.5
"""Of a rig's loss to its room, what is sure of it: measured, or the reference rig's."""
_ROOM_K, _ROOM_UNKNOWN_C = 1.0, 20.0
"""How much cooler than known the room may be; and how cool a room is of which nothing is known,
since the guess for it may be a bath that was still warm."""
_FASTER = 1.1
"""Heat that is on its way through the crock may yet make the bath warm faster by this."""
_NOISE_K_PER_S = 1e-4
"""A probe's noise in a rate over half the span."""
_STEADY = 1.06
"""A rate that grows by more from half to half has not come up yet. All of these are engineering
choices, tried on both virtual plants; no source."""


class Reach:
    """Follows the readings of one cycle."""

    def __init__(self, model: RigModel, contents: Contents) -> None:
        self._model = model
        self._contents = contents
        self._index = -1
        self._full_s: float | None = None
        self._points: deque[tuple[float, float, float]] = deque()
        """Time in s; bath in °C; what the bowl draws, in K/s of the bath."""
        self._left_s = 0.0
        self._state = ""
        self._still = Standstill()
        self._best: tuple[float, float] | None = None
        """The fastest that full heat has warmed the bath in this phase, in K/s, and at what °C."""
        self._found: Shortfall | None = None
        self._times = 0
        self._bath_c = self._chocolate_c = self._room_c = 0.0

    def look(
        self, reading: Reading, phase: PhasePlan, room_c: float, known: bool = True
    ) -> Shortfall | None:
        """Take in a reading in a room of room_c (°C), which is known or a guess; what will not be
        reached, if anything.

        What was found stands while the recipe is held, until it can be reached.
        """
        if reading.phase_index != self._index or self._went_on(reading):
            self._index, self._best, self._found = reading.phase_index, None, None
            self._forget()
            self._still.forget()
        self._state = reading.state
        self._left_s = phase.timeout_s - reading.phase_elapsed_s
        self._room_c = room_c
        cools = phase.name == "cool"
        if cools:
            self._still.add_reading(reading)
        if self._add(reading):
            stands = cools and self._still.stands(reading, phase.window.high_c)
            short = self._short(phase, known, stands)
            self._times = self._times + 1 if (short is None) == (self._found is not None) else 0
            if self._times >= _PATIENCE:
                self._found, self._times = short, 0
        inside = phase.window.low_c <= (reading.chocolate_c or 0.0) <= phase.window.high_c
        if inside:
            self._found = None
        return self._found

    def _went_on(self, reading: Reading) -> bool:
        return self._state == "held" and reading.state == "running"

    def _forget(self) -> None:
        self._points.clear()
        self._full_s, self._times = None, 0

    def _add(self, reading: Reading) -> bool:
        """Keep a reading of full heat or full chill; True where the span is full."""
        share = reading.chill_share if reading.phase == "cool" else reading.heat_share
        counts = reading.state == "running" or self._found is not None
        bath_c, chocolate_c = reading.bath_c, reading.chocolate_c
        if share < FULL_SHARE or not counts or bath_c is None or chocolate_c is None:
            self._forget()
            return False
        if self._full_s is None:
            self._full_s = reading.time_s
        since = reading.time_s - self._full_s
        last_s = self._points[-1][0] if self._points else -math.inf
        if since < SETTLE_S or reading.time_s - last_s < STEP_S:
            return False
        model = self._model
        drawn_w = model.bowl_w_per_k(reading.stir_share, self._contents.kg) * (
            bath_c - chocolate_c
        )
        self._points.append((reading.time_s, bath_c, max(0.0, drawn_w) / model.store_j_per_k))
        while reading.time_s - self._points[0][0] > SPAN_S:
            self._points.popleft()
        self._bath_c, self._chocolate_c = bath_c, chocolate_c
        spans = reading.time_s - self._points[0][0] > SPAN_S - 2.0 * STEP_S
        return spans and len(self._points) > 2  # two lie at the ends of a gap, and say nothing

    def _rates(self) -> tuple[float, float]:
        """K/s of the bath over the first and the second half of the span."""
        points = list(self._points)
        half = len(points) // 2
        return _slope(points[: half + 1]), _slope(points[half:])

    def _short(self, phase: PhasePlan, known: bool, stands: bool) -> Shortfall | None:
        cooling = phase.name == "cool"
        needed_c = phase.window.high_c if cooling else phase.window.low_c
        model, contents = self._model, self._contents
        loss = model.room_w_per_k * (_LOSS_SHARE if model.measured else _LOSS_SHARE_UNKNOWN)
        store = model.store_j_per_k + contents.kg * contents.warm_j_per_kg_k
        ends: tuple[float, float] | None
        if cooling:
            coldest_c = self._room_c - _ROOM_K if known else min(self._room_c, _ROOM_UNKNOWN_C)
            ends = self._coolest_c(loss / store, coldest_c, store)
        else:
            ends = self._warmest_c(loss / store)
        if ends is None:
            return None
        end_c, final_c = ends
        missed_k = end_c - needed_c if cooling else needed_c - end_c
        if missed_k <= (_SURE_K if self._found is None else -_BACK_K) and not stands:
            return None
        return Shortfall(
            phase.name,
            cooling,
            needed_c,
            end_c,
            final_c,
            self._bath_c,
            self._chocolate_c,
            self._room_c,
            self._left_s,
            self._power_w(store),
            stands,
        )

    def _power_w(self, store_j_per_k: float) -> float:
        """What heater or ice water seem to give or take, in W, as far as the rig is known."""
        rate = _slope(self._points)
        lost_w = self._model.room_w_per_k * (self._bath_c - self._room_c)
        return abs(rate * store_j_per_k + lost_w)

    def _coolest_c(
        self, loss_per_s: float, room_c: float, store_j_per_k: float
    ) -> tuple[float, float]:
        """Where full chill brings the bath at best in the time that is left, and in any time."""
        now_c, rate = self._bath_c, _slope(self._points)
        if rate >= 0.0:
            return now_c, now_c
        chill_per_s = max(0.0, (-rate - loss_per_s * (now_c - room_c)) / max(1.0, now_c))
        if self._power_w(store_j_per_k) < _DEAD_SHARE * self._model.chill_w_per_k * now_c:
            chill_per_s = 0.0
        final_c = loss_per_s * room_c / (loss_per_s + chill_per_s)
        over_k = now_c - final_c
        if over_k <= 0.0:
            return now_c, now_c
        return final_c + over_k * math.exp(rate * self._left_s / over_k), final_c

    def _warmest_c(self, loss_per_s: float) -> tuple[float, float] | None:
        """Where full heat brings the bath at best in the time that is left, and in any time; None
        while the heat has not come up yet."""
        before, after = self._rates()
        if after > _STEADY * max(before, 0.0) + _NOISE_K_PER_S:
            return None
        drawn = max(point[2] for point in self._points)
        rate = _FASTER * max(0.0, _slope(self._points)) + drawn
        best = self._best
        if best is None or rate > best[0] - loss_per_s * (self._bath_c - best[1]):
            self._best = best = (rate, self._bath_c)
        rate = max(0.0, best[0] - loss_per_s * (self._bath_c - best[1]))
        over_k = rate / loss_per_s
        return self._bath_c - over_k * math.expm1(
            -loss_per_s * self._left_s
        ), self._bath_c + over_k


def _slope(points: Iterable[tuple[float, float, float]]) -> float:
    """K/s by least squares."""
    times_s, baths_c, _ = zip(*points, strict=True)
    return linear_regression(times_s, baths_c).slope
