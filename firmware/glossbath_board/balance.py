"""The bath's account of heat: what the readings do not show, reckoned from what was asked for.

Two things are found here: the heat that is still in the body and will reach the water later, and
how much of heater and chill really arrives. Mains sag, ice melts away, and a model that nobody has
measured may be off by half.
"""

from .model import Model

ROOM_C = 22.0  # what this is wrong by, the bath's integral finds
_SHARE_S = 60.0  # memory of a learned share
_FULL_PERMILLE = 990
_LEAST, _MOST = 0.05, 2.5


class Supply:
    """How much of what was asked of heater or chill arrives, as a share of the model's.

    Learned only after it has been asked for at full for settle_s: before, heat is still on its
    way.
    """

    def __init__(self, settle_s: float) -> None:
        self._settle_s = settle_s
        self._full_s = 0.0
        self.share: float = 1.0

    def step(self, asked_permille: int, found: float, dt_s: float) -> None:
        """found is the share seen in the bath's slope over the last dt_s."""
        if asked_permille < _FULL_PERMILLE:
            self._full_s = 0.0
            return
        self._full_s += dt_s
        if self._full_s > self._settle_s:
            found = min(max(found, _LEAST), _MOST)
            self.share += (found - self.share) * dt_s / _SHARE_S


class Balance:
    """Heat flows of body, bath and ice water. Flows in W, temperatures in °C, slopes in °C/s."""

    def __init__(self, model: Model) -> None:
        self._model = model
        self._heat = Supply(3.0 * model.body_lag_s)
        self._chill = Supply(25.0)
        self.stored_k = 0.0  # by which the bath will rise from what the body still holds

    @property
    def heater_w(self) -> float:
        """What the heater gives at full."""
        return self._model.heater_w * self._heat.share

    def chill_w(self, bath: float) -> float:
        """What the ice water takes at full from a bath this warm; it is taken to be at 0 °C."""
        return self._model.chill_w_k * self._chill.share * max(bath, 1.0)

    def lost_w(self, bath: float, to_chocolate_w: float) -> float:
        """What leaves the bath by itself."""
        return to_chocolate_w + self._model.loss_w_k * (bath - ROOM_C)

    def from_body_w(self) -> float:
        """What the body is giving to the water beyond what keeps both at one temperature."""
        return self.stored_k * self._model.bath_j_k / self._model.body_lag_s

    def step(
        self,
        heat_permille: int,
        chill_permille: int,
        bath: float,
        slope: float,
        lost_w: float,
        dt_s: float,
    ) -> None:
        """Let dt_s pass with this asked for; lost_w as lost_w() gives it."""
        model = self._model
        whole, body = model.bath_j_k, model.body_j_k
        found_w = whole * slope + lost_w
        self._heat.step(heat_permille, found_w / model.heater_w, dt_s)
        found_w = self.from_body_w() - lost_w - (whole - body) * slope
        self._chill.step(chill_permille, found_w / (model.chill_w_k * max(bath, 1.0) + 1.0), dt_s)
        gain = heat_permille * 0.001 * self.heater_w / whole
        gain -= self.stored_k / model.body_lag_s + slope * body / whole
        self.stored_k = max(0.0, self.stored_k + gain * dt_s)
