"""Target and estimates become asked heat, chill and stirring.

Two loops in a cascade: the chocolate's error asks for a bath temperature inside the phase's
limits, the bath's error asks for heat or chill. The supervisor decides what is allowed of it.
"""

from simple_pid import PID

from .estimate import Estimate
from .program import Phase

PERIOD_MS = 1_000  # probes give a new value about once a second; faster would see the same twice

# Gains for the reference rig (3 kg water, 3 kg crock, 1 kg chocolate, 250 W), by SIMC:
# bath: integrator of 0.0167 °C/s at full heat behind 75 s of heater lag; chocolate: 6 min lag.
_BATH_KP = 0.40  # share of heater power per °C
_BATH_KI = _BATH_KP / 600
_CHOCOLATE_KP = 1.5  # °C of bath per °C of chocolate
_CHOCOLATE_KI = _CHOCOLATE_KP / 600
_INTEGRATE_WITHIN_C = 1.0
_CHILL_PER_HEAT = 0.35  # the chill coil moves about three times the heater's power
_DEAD_SHARE = 0.04  # neither heat nor chill is asked for less than this
_REST_C = 0.8  # while heating up, chill waits until the bath is this far above its target


def _quiet() -> int:
    """simple-pid wants a clock although every call brings its own dt."""
    return 0


class Loop:
    """simple-pid with what it leaves out: conditional integration and a gate for what is not finite.

    Temperatures in °C, output in the caller's unit between the limits given at each step.
    """

    def __init__(self, kp: float, ki: float) -> None:
        self._ki = ki
        self._pid = PID(kp, ki, 0.0, sample_time=None, time_fn=_quiet)

    def start_from(self, output: float) -> None:
        """Forget the past and go on from output without a jump."""
        self._pid.set_auto_mode(False)
        self._pid.set_auto_mode(True, last_output=output)

    def step(
        self, target: float, value: float, low: float, high: float, dt_s: float, integrate: bool
    ) -> float:
        """The output for the coming dt_s."""
        pid = self._pid
        pid.setpoint = target
        pid.Ki = self._ki if integrate else 0.0
        pid.output_limits = (low, high)
        before = pid.components[1]
        output = pid(value, dt=dt_s)
        error = target - value
        if (output >= high and error > 0) or (output <= low and error < 0):
            pid._integral = before  # saturated: what cannot be given is not integrated
        return output


class Control:
    """The cascade. Asked values stay readable between steps, so that a report can show them."""

    def __init__(self, chocolate: Estimate, bath: Estimate) -> None:
        self._chocolate = chocolate
        self._bath = bath
        self._outer = Loop(_CHOCOLATE_KP, _CHOCOLATE_KI)
        self._inner = Loop(_BATH_KP, _BATH_KI)
        self._since_ms = 0
        self.rest()

    def rest(self) -> None:
        """Ask for nothing and forget the past."""
        self.heat_permille = 0
        self.chill_permille = 0
        self.stir_permille = 0
        self.bath_target_mc: int | None = None
        self._outer.start_from(0.0)
        self._inner.start_from(0.0)

    def step(self, phase: Phase | None, dt_ms: int) -> None:
        """Renew what is asked for, once in PERIOD_MS."""
        if phase is None:
            if self.bath_target_mc is not None or self.stir_permille:
                self.rest()
            return
        self.stir_permille = phase.stir_permille
        if not (self._chocolate.known and self._bath.known):
            self.heat_permille = 0
            self.chill_permille = 0
            return
        self._since_ms += dt_ms
        if self._since_ms >= PERIOD_MS:
            self._renew(phase, self._since_ms / 1000)
            self._since_ms = 0

    def _renew(self, phase: Phase, dt_s: float) -> None:
        target = phase.target_mc / 1000
        error = target - self._chocolate.celsius
        low, high = phase.bath_low_mc / 1000, phase.bath_high_mc / 1000
        near = -_INTEGRATE_WITHIN_C < error < _INTEGRATE_WITHIN_C
        bath_target = target + self._outer.step(
            target, self._chocolate.celsius, low - target, high - target, dt_s, near
        )
        self.bath_target_mc = int(bath_target * 1000)
        power = self._inner.step(bath_target, self._bath.celsius, -1.0, 1.0, dt_s, True)
        warming = error > _INTEGRATE_WITHIN_C
        over = self._bath.celsius - bath_target
        self.heat_permille = int(power * 1000) if power > _DEAD_SHARE else 0
        chill = power < -_DEAD_SHARE and over > (_REST_C if warming else 0.0)
        self.chill_permille = int(-power * _CHILL_PER_HEAT * 1000) if chill else 0
