"""Target and estimates become asked heat, chill and stirring.

Two loops in a cascade: the chocolate's error asks for a bath temperature inside the phase's
limits, the bath's error asks for power, and power is heat or chill. A small model of the rig says
beforehand what the loops would otherwise find out by erring. The supervisor decides what is
allowed of it.
"""

from simple_pid import PID

from .balance import Balance
from .cycle import Cycle
from .estimate import Estimate
from .model import Model
from .port import const
from .program import Phase
from .split_range import SplitRange
from .trajectory import Trajectory

PERIOD_MS = 1_000  # probes give a new value about once a second; faster would see the same twice

_BATH_S = const(30.0)  # how fast the bath's loop closes: probe, estimate, pump window take half
_BATH_TI_S = const(400.0)
_CHOCOLATE_TI_S = const(400.0)
_NEAR_C = const(0.6)  # integrate within this of the target ...
_STILL_C = const(0.7)  # ... and while the chocolate has less than this to go within its own lag
_FADE_S = const(200.0)  # how slowly an integral is let go of
_FAR_C = const(5.0)  # the chocolate's integral does not hold for a target this far away
_SURELY_C = const(0.2)
_OFFSET_C = const(0.7)  # between bath and chocolate at rest; a loss to the room asks for less
_OWN_S = const(120.0)  # memory of the heat that crystals give off ...
_OWN_C = const(0.4)  # ... which counts from here on ...
_OWN_MOST_C = const(4.0)  # ... and at most so much
_ASTRAY_C = const(0.5)  # a bath this far from what it is asked teaches nothing about the offset
_WALL_C = const(0.6)  # in a hold bath and chocolate at the wall stay this near the window
_CHOCOLATE_J_G_K = const(1.63)
_BATCH_G = const(1_000)  # of a cycle without a program, which has no phase either
_LEAST = const(0.15)  # of its power that a strong heater keeps
_EASE = const(0.1)  # of its power a second, for each time that a rise is too fast by its whole
_BACK = const(0.02)  # for one that is too slow; slower, since the element still gives off heat
_CLEAR_C = const(0.16)  # an error of the bath this size makes heat and chill take turns, not noise
_GAP_C = const(7.0)  # a body this far above the bath: short pulses of heat stay below
_APART_C = const(27.0)  # and no body goes farther, where the supervisor withholds heat at 35 ...
_WARM_C = const(72.0)  # ... nor is warmer, where it does at 76 ...
_AHEAD_S = const(60.0)  # ... even by what the element still gives off in this time ...
_TAKES_C_S = const(0.003)  # ... while the bath takes the heat: else the supervisor is to see it
_HOT_C = const(40.0)  # no air and no room makes a probe that warm
_BODY_C_S = const(0.13)  # 23 °C in the three minutes in which the supervisor allows 35
_BATH_C_S = const(0.045)  # 2.7 °C a minute, where the host allows 4


def _quiet() -> int:
    """simple-pid wants a clock although every call brings its own dt."""
    return 0


class Loop:
    """simple-pid with what it leaves out: conditional integration and a start without a jump.

    Its own limits stay open, since it would cut the integral to limits that hold for one step
    alone.
    """

    def __init__(self) -> None:
        self.pid = PID(1.0, 0.0, 0.0, sample_time=None, time_fn=_quiet)
        self.ki = 0.0
        self.most = 1e9  # that the integral may become
        self.left = 0.0  # to go, which is more than the error where more is on its way
        self._over = False
        self._under = False

    def start_from(self, integral: float) -> None:
        """Forget the past and go on from this integral term."""
        self.pid.set_auto_mode(False)
        self.pid.set_auto_mode(True, last_output=integral)
        self._over = self._under = False

    def step(
        self, target: float, value: float, low: float, high: float, dt_s: float, integrate: bool
    ) -> float:
        """The output for the coming dt_s, within low and high. Where nothing is integrated an
        integral that works against what is left to go is let go of."""
        pid = self.pid
        error = target - value
        stuck = (self._over and error > 0.0) or (self._under and error < 0.0)
        pid.setpoint = target
        pid.Ki = self.ki if integrate and not stuck else 0.0
        output = pid(value, dt=dt_s) or 0.0
        integral = pid.components[1]
        if not integrate and integral * self.left < 0.0:
            self.start_from(integral * (1.0 - dt_s / _FADE_S))
        elif not -self.most <= integral <= self.most:
            self.start_from(min(max(integral, -self.most), self.most))
        self._over = output >= high  # what cannot be given is not integrated
        self._under = output <= low
        return min(max(output, low), high)

    @property
    def cut(self) -> bool:
        """Whether the last output was more than can be given."""
        return self._over or self._under


class Control:
    """The cascade. Asked values stay readable between steps, so that a report can show them.

    cycle tells the batch and which phase comes next.
    """

    def __init__(
        self,
        chocolate: Estimate,
        bath: Estimate,
        body: Estimate,
        cycle: Cycle,
        model: Model | None = None,
    ) -> None:
        self._chocolate = chocolate
        self._bath = bath
        self._body = body
        self._cycle = cycle
        self.model = model or Model()
        self._trajectory = Trajectory()
        self._split_range = SplitRange()
        self._outer = Loop()
        self._outer.pid.error_map = self._trajectory.lead
        self._inner = Loop()
        self._since_ms = 0
        self.rest()

    @property
    def heat_permille(self) -> int:
        """Share of the heater's power asked for."""
        return self._split_range.heat_permille

    @property
    def chill_permille(self) -> int:
        """Share of the pump's flow asked for."""
        return self._split_range.chill_permille

    def use(self, model: Model) -> None:
        """Another model from now on; only at rest, since gains follow from it."""
        self.model = model
        self.rest()

    def rest(self) -> None:
        """Ask for nothing and forget the past."""
        self.stir_permille = 0
        self.bath_target_mc: int | None = None
        self._phase: Phase | None = None
        self._wall_w_k = 0.0
        self._own_k = 0.0
        self._split_range.rest()
        self._balance = Balance(self.model)
        self._share = 1.0
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
            self._split_range.rest()
            return
        self._since_ms += dt_ms
        if self._since_ms >= PERIOD_MS:
            if phase is not self._phase:
                self._enter(phase)
            self._renew(phase, self._since_ms / 1000)
            self._since_ms = 0

    def _enter(self, phase: Phase) -> None:
        """Gains for this phase's stirring and temperatures, and this batch."""
        before, self._phase = self._phase, phase
        self._own_k = 0.0
        target = phase.target_mc / 1000
        if before is None or not -_FAR_C < target - before.target_mc / 1000 < _FAR_C:
            self._outer.start_from(0.0)
        model = self.model
        program = self._cycle.program
        batch_g = program.batch_g if program else _BATCH_G
        self._wall_w_k = model.wall_w_k(batch_g, phase.stir_permille)
        self._trajectory.begin(
            model.chocolate_lag_s(batch_g, phase.stir_permille),
            model.trust,
            batch_g * _CHOCOLATE_J_G_K / model.bath_j_k,
            (phase.target_mc - phase.low_mc) / 1000,
            (phase.high_mc - phase.target_mc) / 1000,
        )
        self._outer.ki = 1.0 / _CHOCOLATE_TI_S
        self._outer.most = _OFFSET_C
        self._inner.pid.Kp = model.bath_j_k / _BATH_S
        self._inner.ki = self._inner.pid.Kp / _BATH_TI_S
        self._inner.most = 0.5 * model.heater_w

    def _rely(self, target: float) -> None:
        """What has been found about heater, chill and crock, for a bath near target."""
        balance, whole = self._balance, self.model.bath_j_k
        lost_w = balance.lost_w(target, 0.0)
        self._trajectory.rely(
            max(0.0, balance.heater_w - lost_w) / whole,
            max(0.0, balance.chill_w(target) + lost_w) / whole,
            balance.late.seconds + _BATH_S,
            balance.chill.works,
        )

    def _renew(self, phase: Phase, dt_s: float) -> None:
        balance, trajectory, split_range = self._balance, self._trajectory, self._split_range
        chocolate, bath = self._chocolate.celsius, self._bath.celsius
        lost_w = balance.lost_w(bath, self._wall_w_k * (bath - chocolate))
        balance.step(
            split_range.heat_permille,
            split_range.chill_permille,
            bath,
            self._bath.slope_c_s,
            lost_w,
            dt_s,
        )
        target = phase.target_mc / 1000
        self._rely(target)
        error = target - chocolate
        settled = bath + balance.stored_k
        ramp = trajectory.run_up(self._cycle, phase, chocolate, settled)
        near = ramp == 0.0 and -_NEAR_C < error < _NEAR_C
        to_go = self._chocolate.slope_c_s * trajectory.lag_s
        still = self._follows(bath) and -_STILL_C < to_go < _STILL_C
        led = near and still and not self._inner.cut
        self._outer.left = 0.0 if near else error
        rest = target - self._own(chocolate + to_go - bath, still, dt_s)
        low, high = self._limits(phase, rest, error)
        wanted = rest + self._outer.step(target, chocolate, low - rest, high - rest, dt_s, led)
        rate = 0.0
        if ramp != 0.0:
            low, high = phase.bath_low_mc / 1000, phase.bath_high_mc / 1000
            led_c = min(max(settled + ramp * _BATH_S, low), high)
            # Never the other way: heat believed in the body would ask for more of itself.
            wanted = min(wanted, led_c) if ramp < 0.0 else max(wanted, led_c)
        elif phase.bath_low_mc < wanted * 1000 < phase.bath_high_mc:
            ahead = wanted - bath if error < 0.0 else bath - wanted
            rate = trajectory.slope(error, (bath - chocolate) / trajectory.lag_s, ahead)
        self.bath_target_mc = int(wanted * 1000)
        self._drive(wanted, lost_w, rate, dt_s, near)

    def _own(self, above_k: float, still: bool, dt_s: float) -> float:
        """How much colder than its target the bath must be because the chocolate sets and warms
        itself. above_k: by how much it will be warmer than the bath if both are left alone."""
        if still or above_k < self._own_k:
            self._own_k += (above_k - self._own_k) * dt_s / _OWN_S
        return min(max(self._own_k - _OWN_C, 0.0), _OWN_MOST_C)

    def _follows(self, bath: float) -> bool:
        """Whether the bath is about where it was last asked to be."""
        asked = self.bath_target_mc
        return asked is not None and -_ASTRAY_C < asked / 1000 - bath < _ASTRAY_C

    def _limits(self, phase: Phase, rest: float, error: float) -> tuple:
        """Where the bath may be: inside the phase's limits, and no farther from where it would
        rest than can be taken back; in a hold, near enough to the window for the chocolate at the
        wall."""
        low, high = phase.bath_low_mc / 1000, phase.bath_high_mc / 1000
        low = max(low, rest - self._trajectory.reach(min(error, -1e-6)))
        high = min(high, rest + self._trajectory.reach(max(error, 0.0)))
        if phase.name == "hold":
            low = max(low, phase.low_mc / 1000 - _WALL_C)
            high = min(high, phase.high_mc / 1000 + _WALL_C)
        return low, max(low, high)

    def _drive(
        self, wanted: float, lost_w: float, rate: float, dt_s: float, integrate: bool
    ) -> None:
        """Ask for the power that brings the bath to wanted, which moves at rate (°C/s), while it
        loses lost_w."""
        balance, bath = self._balance, self._bath.celsius
        self._inner.left = wanted - bath
        ahead_w = lost_w + self.model.bath_j_k * rate
        value = wanted
        coming_k = balance.coming_k(lost_w)
        if bath + coming_k < wanted:
            value = bath + coming_k  # heat in the body will come by itself
        elif bath > wanted:
            value = bath
            # and must be taken out as well, the more surely the warmer the bath already is
            ahead_w -= balance.from_body_w() * min(1.0, (bath - wanted) / _SURELY_C)
        heater_w, chill_w = balance.heater_w, balance.chill_w(bath)
        most_w = heater_w * self._eased(dt_s)
        power_w = ahead_w + self._inner.step(
            wanted, value, -chill_w - ahead_w, most_w - ahead_w, dt_s, integrate
        )
        # Never more than either can give: a weak one would never get its turn.
        clear_w = min(_CLEAR_C * self._inner.pid.Kp, 0.5 * most_w, 0.5 * chill_w)
        self._split_range.step(power_w, clear_w, heater_w, chill_w)

    def _eased(self, dt_s: float) -> float:
        """Share of the heater's power that lets body and bath rise no faster than a cooker of
        ordinary power makes them, and the body no farther from the bath: a strong one or a thick
        crock must not look like one that burns or is dry."""
        fast = self._bath.slope_c_s / _BATH_C_S
        gap = self._body.celsius - self._bath.celsius if self._body.known else 0.0
        if gap > _GAP_C:
            slope = self._body.slope_c_s
            fast = max(fast, slope / _BODY_C_S)
            if self._bath.slope_c_s > _TAKES_C_S or self._bath.celsius > _HOT_C:
                most = min(_APART_C, max(_GAP_C, _WARM_C - self._bath.celsius))
                fast = max(fast, (gap + slope * _AHEAD_S) / most)
        pace = _EASE if fast > 1.0 else _BACK
        self._share = min(1.0, max(_LEAST, self._share - pace * (fast - 1.0) * dt_s))
        return self._share
