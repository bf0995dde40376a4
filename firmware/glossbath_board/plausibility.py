"""What only time shows: readings that jump, rise, stand still, or do not answer heat and chill.

The reasoning is that of energy, with wide margins: heat goes from the element to the body, from
there to the bath, from there to the chocolate, and never from cold to warm. Nothing here judges;
the cut-offs compare these numbers with their limits. Integers only, nothing allocated in a pass.
"""

from . import cycle, limits
from .port import const
from .reading import OK, Reading

_SECOND_MS = const(1_000)
_RING_S = const(10)
_RING = limits.RISE_WINDOW_S // _RING_S
_STILL_MC = const(40)  # less than one step of a DS18B20
_SETTLED_S = const(120)  # a neighbour that follows late has followed by now
_OFFSET_MC = const(2_000)  # two probes in one place may differ by so much
_FULL_PERMILLE = const(800)
_SHORT_PERMILLE_S = const(10_000)  # heat that may be missing in a spell of full heat
_SPELL_S = const(300)
_SIGN_MC = const(500)  # a rise of body or bath that shows that heat arrives
_GAP_MC = const(2_000)  # so does a body that much above the bath
_AGAINST_MC = const(3_000)
_APART_FROM_MC = const(5_000)
_FOLLOWED_MC = const(1_500)
_COAST_S = const(60)
_DARK_S = const(120)


class Track:
    """One probe's past. Temperatures in m°C.

    value is the last believed one; jump_mc how far the newest reading is from it; rise_mc how far
    it lies above the lowest of the last RISE_WINDOW_S; still_s for how long it has not moved.
    """

    def __init__(self, reading: Reading) -> None:
        self._reading = reading
        self._ring = [0] * _RING
        self.rest()

    def rest(self) -> None:
        """Forget the past."""
        self.value: int | None = None
        self.jump_mc = 0
        self.rise_mc = 0
        self.still_s = 0
        self._seen_ms = -1
        self._anchor_mc = 0
        self._lowest_mc = 0
        self._seconds = 0

    def look(self) -> None:
        """Take a new reading in; one that jumped is not believed, however good its checksum."""
        reading = self._reading
        milli = reading.milli
        if reading.fault != OK or milli is None or reading.taken_ms == self._seen_ms:
            return
        self._seen_ms = reading.taken_ms
        value = self.value
        if value is None:
            value = self._begin(milli)
        self.jump_mc = abs(milli - value)
        if self.jump_mc <= limits.JUMP_MC:
            self.value = milli

    def _begin(self, milli: int) -> int:
        self.value = self._anchor_mc = self._lowest_mc = milli
        self.still_s = -1  # the first second makes it 0, and the neighbours' watch begins
        for at in range(_RING):
            self._ring[at] = milli
        return milli

    def second(self) -> None:
        """A second has passed."""
        value = self.value
        if value is None:
            return
        if -_STILL_MC <= value - self._anchor_mc <= _STILL_MC:
            self.still_s += 1
        else:
            self._anchor_mc = value
            self.still_s = 0
        if self._seconds % _RING_S == 0:
            self._turn_ring(value)
        self._seconds += 1
        if value < self._lowest_mc:
            self._lowest_mc = value
        self.rise_mc = value - self._lowest_mc

    def _turn_ring(self, value: int) -> None:
        ring = self._ring
        ring[self._seconds // _RING_S % _RING] = value
        lowest = value
        for at in range(_RING):
            if ring[at] < lowest:
                lowest = ring[at]
        self._lowest_mc = lowest


class Plausibility:
    """What the three probes and the power given show together. All numbers are 0 at rest.

    stuck_bath_mc        how far the body moved away from it while this reading stood still
    stuck_body_mc        how far the bath moved while this reading stood still
    stuck_chocolate_mc_s            m°C times seconds of bath at a still chocolate, less an offset
    against_mc                      rise of a chocolate that is warmer than its bath
    apart_mc_s                      m°C times seconds of bath that the chocolate did not follow
    body_cold_mc                    how far the body is below the bath after a spell of full heat
    idle_heat_s                     seconds of full heat that neither body nor bath shows
    warming_mc                      rise of the body while no heat is given
    body_far                        the body was too far above the bath and has not come back
    """

    def __init__(self, chocolate: Reading, bath: Reading, body: Reading) -> None:
        self.chocolate = Track(chocolate)
        self.bath = Track(bath)
        self.body = Track(body)
        self.rest()

    def rest(self) -> None:
        """Forget the past."""
        self.chocolate.rest()
        self.bath.rest()
        self.body.rest()
        self._resting = True
        self._since_ms = 0
        self.stuck_chocolate_mc_s = self.stuck_bath_mc = self.stuck_body_mc = 0
        self._body_then_mc = self._bath_then_mc = 0
        self.against_mc = 0
        self._coldest_mc: int | None = None
        self.apart_mc_s = 0
        self._apart_from_mc: int | None = None
        self.body_cold_mc = self.idle_heat_s = 0
        self._spell_s = self._short = 0
        self._sign_body_mc = self._sign_bath_mc = 0
        self.warming_mc = 0
        self._dark_s = 0
        self._dimmest_mc = 0
        self.body_far = False

    def step(self, state: str, heat: int, chill: int, heat_on: bool, dt_ms: int) -> None:
        """Let dt_ms pass in which heat and chill (permille) were given."""
        if state not in cycle.HEATING:
            if not self._resting:
                self.rest()
            return
        self._resting = False
        self.chocolate.look()
        self.bath.look()
        self.body.look()
        self._since_ms += dt_ms
        if self._since_ms >= _SECOND_MS:
            self._since_ms -= _SECOND_MS
            self._second(heat, chill, heat_on)

    def _second(self, heat: int, chill: int, heat_on: bool) -> None:
        self.chocolate.second()
        self.bath.second()
        self.body.second()
        chocolate, bath, body = self.chocolate.value, self.bath.value, self.body.value
        if chocolate is None or bath is None or body is None:
            return
        self._watch_still(chocolate, bath, body)
        self._watch_order(chocolate, bath)
        self._watch_following(chocolate, bath)
        self._watch_spell(bath, body, heat, chill)
        self._watch_dark(bath, body, heat_on or heat > 0)
        over_mc = body - min(bath, limits.BODY_WARM_MC - limits.BODY_APART_MC)
        if over_mc > limits.BODY_APART_MC:
            self.body_far = True
        elif over_mc < limits.BODY_BACK_MC:
            self.body_far = False

    def _watch_still(self, chocolate: int, bath: int, body: int) -> None:
        still_s = self.bath.still_s
        if still_s == 0:
            self._body_then_mc = body
        # A bath that is held may stand still while a thick crock comes nearer to it.
        away_mc = abs(body - bath) - abs(self._body_then_mc - bath)
        self.stuck_bath_mc = max(0, away_mc) if still_s >= _SETTLED_S else 0
        still_s = self.body.still_s
        if still_s == 0:
            self._bath_then_mc = bath
        self.stuck_body_mc = abs(bath - self._bath_then_mc) if still_s >= _SETTLED_S else 0
        if self.chocolate.still_s == 0:
            self.stuck_chocolate_mc_s = 0
        else:
            self.stuck_chocolate_mc_s += max(0, abs(bath - chocolate) - _OFFSET_MC)

    def _watch_order(self, chocolate: int, bath: int) -> None:
        if chocolate - bath < _AGAINST_MC:
            self._coldest_mc = None
            self.against_mc = 0
            return
        if self._coldest_mc is None or chocolate < self._coldest_mc:
            self._coldest_mc = chocolate
        self.against_mc = chocolate - self._coldest_mc

    def _watch_following(self, chocolate: int, bath: int) -> None:
        if bath - chocolate < _APART_FROM_MC:
            self._apart_from_mc = None
            self.apart_mc_s = 0
            return
        since = self._apart_from_mc
        if since is None or not -_FOLLOWED_MC < chocolate - since < _FOLLOWED_MC:
            self._apart_from_mc = chocolate
            self.apart_mc_s = 0
            return
        self.apart_mc_s += bath - chocolate

    def _watch_spell(self, bath: int, body: int, heat: int, chill: int) -> None:
        self._short = max(0, self._short + _FULL_PERMILLE - heat)
        if chill > 0 or self._short > _SHORT_PERMILLE_S:
            self._spell_s = self._short = self.idle_heat_s = self.body_cold_mc = 0
            return
        self._spell_s += 1
        self.body_cold_mc = bath - body if self._spell_s >= _SPELL_S else 0
        shown = (
            body - self._sign_body_mc >= _SIGN_MC
            or bath - self._sign_bath_mc >= _SIGN_MC
            or body - bath >= _GAP_MC
        )
        if self._spell_s == 1 or shown:
            self._sign_body_mc, self._sign_bath_mc = body, bath
            self.idle_heat_s = 0
            return
        self._sign_body_mc = min(self._sign_body_mc, body)
        self._sign_bath_mc = min(self._sign_bath_mc, bath)
        self.idle_heat_s += 1

    def _watch_dark(self, bath: int, body: int, heated: bool) -> None:
        if heated:
            self._dark_s = self.warming_mc = 0
            return
        self._dark_s += 1
        if self._dark_s <= _COAST_S or body < self._dimmest_mc:
            self._dimmest_mc = body
        shown = self._dark_s >= _DARK_S and body - bath >= _AGAINST_MC
        self.warming_mc = body - self._dimmest_mc if shown else 0
