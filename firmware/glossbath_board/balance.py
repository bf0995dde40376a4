"""The bath's account of heat: what the readings do not show, computed from what was asked for.

Three things are found here: the heat that is still in the body and will reach the water later, how
late it comes, and how much of heater and chill really arrives. Mains sag, ice melts away, crocks
are thin or thick, and a model that nobody has measured may be off by half.
"""

from .model import Model

ROOM_C = 22.0  # what this is wrong by, the bath's integral finds
_SHARE_S = 60.0  # memory of a learned share
_FULL_PERMILLE = 990
_LEAST, _MOST = 0.05, 2.5
_WORKS = 0.3  # a share that was seen and is greater may be relied upon
_FLOW_S = 40.0  # memory of the heat that arrives
_LATE_S = 5.0, 900.0  # how late heat may reach the water
_DOUBTED = 5.0  # by how much more a crock of a rig that nobody measured may hold than the model's
_SEEN_K = 0.3  # heat in the body that its flow shows more surely than what was asked for
_SEEN_S = 90.0


class Supply:
    """How much of what was asked of heater or chill arrives, as a share of the model's.

    Learned only after it has been asked for at full for settle_s: before, heat is still on its
    way. works: it was seen in this cycle, and not too weak to count on.
    """

    def __init__(self, settle_s: float) -> None:
        self.settle_s = settle_s
        self._full_s = 0.0
        self.share: float = 1.0
        self.works = False

    def step(self, asked_permille: int, found: float, dt_s: float) -> None:
        """found is the share seen in the bath's slope over the last dt_s."""
        if asked_permille < _FULL_PERMILLE:
            self._full_s = 0.0
            return
        self._full_s += dt_s
        if self._full_s > self.settle_s:
            found = min(max(found, _LEAST), _MOST)
            self.share += (found - self.share) * dt_s / _SHARE_S
            self.works = self.share > _WORKS


class Lateness:
    """How late heat reaches the water, found from the first long spell of full heat.

    What was given and has not arrived is in the body: by the steady flow that follows, that is
    its lateness. A rig that nobody has measured is taken to have a thick crock until then.
    """

    def __init__(self, model: Model) -> None:
        self._trust = model.trust
        self._model_s = model.body_lag_s
        self.seconds: float = model.body_lag_s
        if model.trust < 0.5:
            self.seconds *= 1.0 + _DOUBTED * (0.8 - model.trust)
        self.known = False
        self._spell_s = 0.0
        self._arrived_k = 0.0
        self._flow = 0.0

    def step(self, full: bool, flow: float, own: float, dt_s: float) -> bool:
        """flow reaches bath and body together (K/s of the whole) while full heat is given, own of
        it warms the body. True once, when the lateness has been found."""
        if self.known or not full:
            self.known = self.known or self._spell_s > 0.0
            return False
        self._spell_s += dt_s
        self._arrived_k += flow * dt_s
        self._flow += (flow - self._flow) * dt_s / (_FLOW_S if self._spell_s > _FLOW_S else 10.0)
        if self._spell_s < _FLOW_S or self._flow - own < 1e-4:
            return False
        found = (self._flow * self._spell_s - self._arrived_k) / (self._flow - own)
        found = min(max(found, _LATE_S[0]), _LATE_S[1])
        if self._spell_s < 3.0 * found + 200.0:
            return False
        self.seconds = self._trust * self._model_s + (1.0 - self._trust) * found
        self.known = True
        return True


class Balance:
    """Heat flows of body, bath and ice water. Flows in W, temperatures in °C, slopes in °C/s."""

    def __init__(self, model: Model) -> None:
        self._model = model
        self.late = Lateness(model)
        self.heat = Supply(3.0 * self.late.seconds)
        self.chill = Supply(25.0)
        self.stored_k = 0.0  # by which the bath will rise from what the body still holds

    @property
    def heater_w(self) -> float:
        """What the heater gives at full."""
        return self._model.heater_w * self.heat.share

    def chill_w(self, bath: float) -> float:
        """What the ice water takes at full from a bath this warm; it is taken to be at 0 °C."""
        return self._model.chill_w_k * self.chill.share * max(bath, 1.0)

    def lost_w(self, bath: float, to_chocolate_w: float) -> float:
        """What leaves the bath by itself."""
        return to_chocolate_w + self._model.loss_w_k * (bath - ROOM_C)

    def coming_k(self, lost_w: float) -> float:
        """By how much what the body holds will warm a bath that loses lost_w all the while: heat
        that only makes good a steady loss is none to wait for."""
        paid_k = max(0.0, lost_w) * self.late.seconds / self._model.bath_j_k
        return max(0.0, self.stored_k - paid_k)

    def from_body_w(self) -> float:
        """What the body is giving to the water beyond what keeps both at one temperature."""
        return self.stored_k * self._model.bath_j_k / self.late.seconds

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
        self.heat.step(heat_permille, found_w / model.heater_w, dt_s)
        own = slope * body / whole
        full = heat_permille >= _FULL_PERMILLE and chill_permille == 0
        if self.late.step(full, found_w / whole, own, dt_s):
            self.heat.settle_s = 3.0 * self.late.seconds
        found_w = self.from_body_w() - lost_w - (whole - body) * slope
        self.chill.step(chill_permille, found_w / (model.chill_w_k * max(bath, 1.0) + 1.0), dt_s)
        gain = heat_permille * 0.001 * self.heater_w / whole
        gain -= self.stored_k / self.late.seconds + own
        if self.stored_k > _SEEN_K and chill_permille == 0:
            seen_k = self.late.seconds * (slope - own + lost_w / whole)
            gain += (seen_k - self.stored_k) / _SEEN_S
        self.stored_k = max(0.0, self.stored_k + gain * dt_s)
