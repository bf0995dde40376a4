"""Where the bath should be for the chocolate to arrive soon and stop where it should.

The chocolate follows the bath late, and the bath itself can be moved only so fast. So the bath
runs ahead of the target by what can still be taken back in time: far away at the phase's limit,
then on a braking curve, at last in proportion to the error. Where nothing can be relied upon to
take it back, it runs ahead by no more than the chocolate itself takes up on its way to the edge of
the window: heat given off by the bath warms the chocolate, and both end there. Towards the end of
a dwell it already moves for the next phase, as far as the chocolate stays in its window.
"""

from math import exp, sqrt

from .cycle import Cycle
from .program import Phase

_READY = 0.9  # a run-up begins when it needs this share of what the rig can do
_EDGE_C = 0.1  # how near the edge of its window the chocolate may come in a run-up ...
_KEPT = 0.7  # of the way from target to edge of the window that an unbraked bath may use ...
_KEPT_MORE = 0.25  # ... and more with a model that is trusted
_DOUBT_C = 0.4  # ... and how much farther from it a model without any trust keeps
_PAST = 0.5  # of its lateness: for so long a bath that is led back evenly is as far off as it was


class Trajectory:
    """The chocolate's way under a bath that can be moved at a limited rate. lag_s: how late the
    chocolate follows the bath."""

    def __init__(self) -> None:
        self.begin(400.0, 1.0, 0.0, 0.0, 0.0)
        self.rely(0.0, 0.0, 120.0, True)

    def begin(
        self, lag_s: float, trust: float, share: float, below_k: float, above_k: float
    ) -> None:
        """A new phase. trust (0 to 1) says how far to lean on the model. share: heat capacity of
        the chocolate over that of the bath. below_k and above_k: from the target to the edges of
        the window."""
        self.lag_s = lag_s
        self._trust = trust
        self._share = share * (0.3 + 0.7 * trust)
        kept = _KEPT + _KEPT_MORE * trust
        self._below_k = kept * below_k
        self._above_k = kept * above_k
        self._running_up = False
        self._spoilt = False

    def rely(self, warm_c_s: float, chill_c_s: float, settle_s: float, chills: bool) -> None:
        """How fast heat and chill move the bath (°C/s, 0 if not), how late it follows what it is
        asked, and whether chill was seen to work."""
        self._warm_c_s = warm_c_s
        self._chill_c_s = chill_c_s
        self._settle_s = settle_s
        self._chills = chills

    def _back_c_s(self, error: float) -> float:
        """The rate that takes back a bath that is ahead on the side of error."""
        if error < 0.0:
            return self._warm_c_s * self._trust
        return self._chill_c_s * self._trust if self._chills else 0.0

    def lead(self, error: float) -> float:
        """How far the bath may be beyond the target while error (°C) is left.

        A bath x ahead that waits settle_s and then comes back at rate r moves the chocolate by
        x settle/lag + x²/(2 r lag) (1 + x/(3 r lag)): this is that, solved for x. Near the
        target it is error * lag / settle, which holds without a way back as well, up to what the
        chocolate takes up.
        """
        size = abs(error)
        soft = min(size * self.lag_s / self._settle_s, self._unbraked(error))
        lead = max(self._braked(error), soft)
        return lead if error >= 0.0 else -lead

    def reach(self, error: float) -> float:
        """The most that the bath may be beyond the target on the side of error, whatever asks."""
        return max(self._braked(error), self._unbraked(error))

    def _unbraked(self, error: float) -> float:
        """For a bath that nothing but the chocolate brings back: both end inside the window."""
        room_k = self._below_k if error < 0.0 else self._above_k
        return room_k + self._share * (abs(error) + room_k)

    def _braked(self, error: float) -> float:
        back_c_s = self._back_c_s(error)
        reach = back_c_s * self.lag_s
        if reach < 1e-3:
            return 0.0
        wait = back_c_s * self._settle_s
        ahead = sqrt(wait * wait + 2.0 * reach * abs(error)) - wait
        return ahead / (1.0 + ahead / (6.0 * reach))

    def slope(self, error: float, drift_c_s: float, ahead_k: float) -> float:
        """How fast the bath must move, °C/s, while error shrinks at drift_c_s and the bath is
        ahead_k farther from the target than it should be by now.

        A bath that is led back late carries the chocolate past its target by ahead_k times its
        lateness over the chocolate's: the nearer that comes to the window's edge, the more of the
        way that lead will have to go is asked for beforehand.
        """
        room_k = self._below_k if error < 0.0 else self._above_k
        past_k = _PAST * ahead_k * self._settle_s / self.lag_s
        share = min(1.0, max(0.0, past_k / max(room_k, 0.05)))
        return share * self._steepness(error, drift_c_s) if share > 0.0 else 0.0

    def _steepness(self, error: float, drift_c_s: float) -> float:
        """How fast lead changes, °C/s, while error shrinks at drift_c_s."""
        braked = self._braked(error)
        if braked < self._unbraked(error):
            soft = abs(error) * self.lag_s / self._settle_s
            if braked < soft:
                steep = soft < self._unbraked(error)
                return -drift_c_s * (self.lag_s / self._settle_s if steep else self._share)
        back_c_s = self._back_c_s(error)
        reach = back_c_s * self.lag_s
        if reach < 1e-3:
            return 0.0
        wait = back_c_s * self._settle_s
        return -drift_c_s * reach / sqrt(wait * wait + 2.0 * reach * abs(error))

    def run_up(self, cycle: Cycle, phase: Phase, chocolate: float, bath: float) -> float:
        """The rate, °C/s, at which the bath already moves for the next phase, or 0.

        bath is where the bath will be once the body has given off its heat.
        """
        after = cycle.next_phase
        if after is None or after.target_mc == phase.target_mc:
            return 0.0
        if not cycle.dwell_ms:
            # The chocolate left its window in a run-up: not again in this phase.
            self._spoilt = self._spoilt or self._running_up
            self._running_up = False
        if self._spoilt or not cycle.dwell_ms:
            return 0.0
        up = after.target_mc > phase.target_mc
        most = self._warm_c_s if up else self._chill_c_s
        edge = _EDGE_C + _DOUBT_C * (1.0 - self._trust)
        goal = phase.high_mc / 1000 - edge if up else phase.low_mc / 1000 + edge
        left_s = (phase.dwell_ms - cycle.dwell_ms) / 1000
        rate = self._ramp(left_s, chocolate, bath, goal)
        rate = min(max(rate if up else -rate, 1e-6), most)
        self._running_up = self._running_up or rate >= _READY * most
        if not self._running_up:
            return 0.0
        return rate if up else -rate

    def _ramp(self, left_s: float, chocolate: float, bath: float, goal: float) -> float:
        """The steady rate of the bath, °C/s, that brings the chocolate to goal in left_s."""
        keep = exp(-left_s / self.lag_s)
        reach = left_s - self.lag_s * (1.0 - keep)
        return (goal - bath - (chocolate - bath) * keep) / max(reach, 1e-2)
