"""Heat balances by the host's own simple estimate of the rig: what is stored, gained and lost.

Heat is counted as temperature times heat capacity of cooker body, bath and chocolate; nothing is
assumed of crystals, which only make the chocolate answer later.
"""

from __future__ import annotations

from collections.abc import Iterator

from . import limits
from .figures import USUAL, Figures
from .finding import Finding, Lasting, caution, trip
from .window import Point, Window

_STEP_S = 20.0
_STEPS = 120


class Balance:
    """The balances of one cycle with batch_kg of chocolate, which must stay below max_c (°C)."""

    def __init__(self, max_c: float, batch_kg: float, figures: Figures = USUAL) -> None:
        self._max_c = max_c
        self._rig = figures
        self._batch_kg = batch_kg
        self._shown_k = 0.0
        self._chocolate_j_per_k = limits.CHOCOLATE_J_PER_KG_K * batch_kg
        self._wall_w_per_k = limits.STILL_W_PER_K * batch_kg ** (2.0 / 3.0)
        self._best_heat_w = 0.0
        self._lasting = Lasting()

    def look(self, window: Window) -> Iterator[Finding]:
        """Judge the readings up to now."""
        newest = window.newest()
        if newest is not None:
            yield from self._stored(newest)
            yield from self._dry(newest, window)
            yield from self._cold_body(newest, window)
        yield from self._unasked(window)
        yield from self._lost(window)
        yield from self._chill(window)
        yield from self._heater(window)

    def peak_c(self, chocolate_c: float, bath_c: float, body_c: float) -> float:
        """How warm the chocolate still gets if everything is switched off now."""
        rig = self._rig
        vessel_j_per_k = rig.least_bath_j_per_k + rig.body_j_per_k
        over_k = limits.BODY_MEAN_SHARE * max(0.0, body_c - bath_c)
        vessel_c = bath_c + over_k * rig.body_j_per_k / vessel_j_per_k
        melting_j = limits.SOLID_J_PER_KG * self._batch_kg if chocolate_c < limits.SOLID_C else 0.0
        peak_c = chocolate_c
        for _ in range(_STEPS):
            to_chocolate_w = self._wall_w_per_k * (vessel_c - chocolate_c)
            if not to_chocolate_w > 0.0:
                break
            to_room_w = limits.ROOM_W_PER_K * (vessel_c - limits.ROOM_C)
            vessel_c -= _STEP_S * (to_chocolate_w + to_room_w) / vessel_j_per_k
            if chocolate_c > limits.SOLID_C and melting_j > 0.0:
                melting_j -= _STEP_S * to_chocolate_w
            else:
                chocolate_c += _STEP_S * to_chocolate_w / self._chocolate_j_per_k
            peak_c = max(peak_c, chocolate_c)
        return peak_c

    def heat_j(self, point: Point) -> float:
        """Heat above 0 °C."""
        body_c = point.bath_c + limits.BODY_MEAN_SHARE * (point.body_c - point.bath_c)
        return (
            self._rig.bath_j_per_k * point.bath_c
            + self._rig.body_j_per_k * body_c
            + self._chocolate_j_per_k * point.chocolate_c
        )

    def _stored(self, newest: Point) -> Iterator[Finding]:
        peak_c = self.peak_c(newest.chocolate_c, newest.bath_c, newest.body_c)
        over = not peak_c <= self._max_c + limits.STORED_OVER_C
        if self._lasting.for_ms("stored", over, newest.ms) >= limits.STORED_MS:
            yield trip("host-forecast", f"{peak_c:.1f} °C, limit {self._max_c:.1f} °C")

    def _dry(self, newest: Point, window: Window) -> Iterator[Finding]:
        apart_k = newest.body_c - newest.bath_c
        self._learn_apart(apart_k, window)
        dry = self._lasting.for_ms("dry", not apart_k <= self.apart_limit_k(), newest.ms)
        if dry >= limits.STORED_MS:
            yield trip("host-dry", f"{apart_k:.0f} °C above the bath")

    def _learn_apart(self, apart_k: float, window: Window) -> None:
        """Take a difference for the rig's own while the bath takes up the full heat."""
        points = window.thirds(limits.TAKEN_UP_S)
        if points is None or points[3].heat_s - points[0].heat_s < 0.9 * limits.TAKEN_UP_S:
            return
        body_k = points[3].body_c - points[0].body_c
        bath_k = points[3].bath_c - points[0].bath_c
        if body_k > 0.0 and bath_k >= limits.TAKEN_UP_SHARE * body_k:
            self._shown_k = max(self._shown_k, apart_k)

    def apart_limit_k(self) -> float:
        """How far the body may be above the bath."""
        own_k = self._shown_k
        if self._rig.heater_w is not None:
            own_k = max(own_k, self._rig.heater_w / self._rig.body_w_per_k)
        if own_k == 0.0:
            return limits.BODY_OVER_BATH_UNKNOWN_C
        own_k = limits.BODY_OVER_BATH_FACTOR * own_k + limits.BODY_OVER_BATH_C
        return min(own_k, limits.BODY_OVER_BATH_MOST_C)

    def _cold_body(self, newest: Point, window: Window) -> Iterator[Finding]:
        apart_k = newest.body_c - newest.bath_c
        before = window.before(limits.HEATED_S)
        heated = before is not None and newest.heat_s - before.heat_s >= limits.HEATED_FULL_S
        below_k = limits.BODY_UNDER_BATH_HEATED_C if heated else limits.BODY_UNDER_BATH_C
        lasts_ms = self._lasting.for_ms("cold body", not apart_k >= -below_k, newest.ms)
        if lasts_ms >= limits.BODY_UNDER_BATH_MS:
            yield trip("host-implausible", f"cooker body {-apart_k:.1f} °C colder than the bath")

    def _unasked(self, window: Window) -> Iterator[Finding]:
        points = window.thirds(limits.UNASKED_S)
        before = window.before(limits.UNASKED_S + limits.UNASKED_AFTER_S)
        if points is None or before is None or points[3].heat_s > before.heat_s:
            return
        gained_w = self._watts(points)
        least_w = limits.UNASKED_W * 2.0 / 3.0
        if all(w > least_w for w in gained_w) and sum(gained_w) / 3 > limits.UNASKED_W:
            yield trip("host-unasked", f"about {sum(gained_w) / 3:.0f} W")

    def _lost(self, window: Window) -> Iterator[Finding]:
        points = window.thirds(limits.LOST_S)
        before = window.before(limits.LOST_S + limits.LOST_AFTER_S)
        if points is None or before is None or points[3].chill_j > before.chill_j:
            return
        lost_w = [-w for w in self._watts(points)]
        if all(w > limits.LOST_W * 2.0 / 3.0 for w in lost_w) and sum(lost_w) > 3 * limits.LOST_W:
            yield caution("heat-lost", f"about {sum(lost_w) / 3:.0f} W")

    def _chill(self, window: Window) -> Iterator[Finding]:
        newest, middle = window.newest(), window.before(limits.CHILL_S / 2)
        before = window.before(limits.CHILL_S)
        if newest is None or middle is None or before is None or newest.heat_s > before.heat_s:
            return
        # In both halves: hot water that is poured in hides the chill in one of them only.
        for begin, end in ((before, middle), (middle, newest)):
            expected_j = end.chill_j - begin.chill_j
            share = (self.heat_j(begin) - self.heat_j(end)) / expected_j if expected_j else 1.0
            if expected_j < limits.CHILL_LEAST_J / 2 or share >= limits.CHILL_SHARE_OF_EXPECTED:
                return
        yield caution("chill-weak", f"{max(0.0, share) * 100:.0f} % of what is expected")

    def _heater(self, window: Window) -> Iterator[Finding]:
        newest, before = window.newest(), window.before(limits.FULL_HEAT_S)
        if newest is None or before is None:
            return
        if newest.heat_s - before.heat_s < limits.FULL_HEAT * limits.FULL_HEAT_S:
            return
        apart_k = newest.body_c - newest.bath_c
        if not apart_k >= limits.NO_HEAT_K:
            yield caution("heat-missing", f"{limits.FULL_HEAT_S // 60} minutes of full heat")
            return
        to_room_w = limits.COOKER_W_PER_K * (newest.body_c - limits.ROOM_C)
        heat_w = self._rig.body_w_per_k * apart_k + to_room_w
        self._best_heat_w = max(self._best_heat_w, heat_w)
        # In a room colder than the one that is assumed a weak heater seems to give less than none.
        if self._best_heat_w > 0.0 and heat_w < limits.WEAK_HEAT_SHARE * self._best_heat_w:
            share = max(0.0, heat_w) / self._best_heat_w
            yield caution("heat-weak", f"{share * 100:.0f} % of before")

    def _watts(self, points: tuple[Point, Point, Point, Point]) -> list[float]:
        """Mean gain (W) in each third."""
        heats = [self.heat_j(point) for point in points]
        return [
            (heats[at + 1] - heats[at]) / (points[at + 1].ms - points[at].ms) * 1000
            for at in range(3)
        ]
