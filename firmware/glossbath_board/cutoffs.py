"""The cut-offs of the board, one table: what is looked at, its limit, how long, what then.

A row is bad unless its value is an integer on the good side of its limit, so what is missing or is
no number is bad. A row that stays bad for its allowed time trips: heat, chill and stirrer go off
and stay off until a person clears the trip. Until then it may withhold heat or stirring: an
interlock, which gives back by itself what it withheld.
"""

from . import cutoff_inputs, cycle, limits
from .facts import Facts
from .port import const

if False:  # for the type checker alone
    from .kinds import Look

# What a row does besides comparing; several may be joined.
UNDER = const(1)  # bad below the limit, not above
HEAT = const(2)  # withholds heat while it is bad
STIR = const(4)  # withholds stirring while it is bad
GONE = const(8)  # a person clears its trip, and only once the condition is gone
START = const(16)  # refuses a start
STOP = const(32)  # ends the cycle as stopped, without a trip
SLOW = const(64)  # forgives slowly: a good look takes back a quarter of what a bad one counts
_GUARD = const(HEAT | GONE | START)

_HEATING = cycle.HEATING
_LIVE = (cycle.TESTING, cycle.RUNNING, cycle.HELD)  # the relay may be closed
_ALWAYS = cycle.STATES
_NOT_TESTING = tuple(state for state in cycle.STATES if state != cycle.TESTING)
_WAITING = (cycle.WAITING,)
_ELSEWHERE = ()  # found by the proof, or by start after an exception: value is None


class Cutoff:
    """One row.

    states: where it watches. value(facts): what is compared, see cutoff_inputs.py. limit: in unit.
    allowed_ms: how long it may be bad. does: the flags above. A trip is cleared by a person; a row
    without GONE leaves it to that person to see whether its cause is gone.
    """

    def __init__(
        self,
        code: str,
        states: tuple,
        value: "Look | None",
        limit: int,
        unit: str,
        allowed_ms: int,
        does: int = 0,
    ) -> None:
        self.code = code
        self.states = states
        self.value = value
        self.limit = limit
        self.unit = unit
        self.allowed_ms = allowed_ms
        self.does = does

    def bad(self, value: object, limit: int) -> bool:
        """Whether value is not an integer on the good side of limit."""
        if not isinstance(value, int):
            return True
        return value < limit if self.does & UNDER else value > limit

    def detail(self, facts: Facts) -> str:
        """What a trip reports besides its code: a word, or the value in the row's unit, or ''."""
        value = None if self.value is None else self.value(facts)
        if value is None or value is cutoff_inputs.UNDECIDED:
            return ""
        return str(value) if self.unit or not isinstance(value, int) else ""


# fmt: off
CUTOFFS: "tuple[Cutoff, ...]" = (
    # Too hot, or hotter faster than this heater can make it.
    Cutoff("chocolate-hot", _LIVE, lambda f: cutoff_inputs.celsius(f.chocolate),
           limits.CHOCOLATE_CEILING_MC, "m°C", limits.HOT_MS, _GUARD),
    Cutoff("bath-hot", _LIVE, lambda f: cutoff_inputs.celsius(f.bath),
           limits.BATH_CEILING_MC, "m°C", limits.HOT_MS, _GUARD),
    Cutoff("body-hot", _LIVE, lambda f: cutoff_inputs.celsius(f.body),
           limits.BODY_CEILING_MC, "m°C", limits.HOT_MS, _GUARD),
    Cutoff("chocolate-rise", _HEATING, lambda f: f.plausibility.chocolate.rise_mc,
           limits.CHOCOLATE_RISE_MC, "m°C", 0),
    Cutoff("bath-rise", _HEATING, lambda f: f.plausibility.bath.rise_mc,
           limits.BATH_RISE_MC, "m°C", 0),
    Cutoff("body-rise", _HEATING, lambda f: f.plausibility.body.rise_mc,
           limits.BODY_RISE_MC, "m°C", 0),

    # A probe that cannot be believed: faulty or stale, jumping, standing still.
    Cutoff("probe-chocolate", _LIVE, lambda f: cutoff_inputs.age(f.chocolate, f.now_ms),
           limits.STALE_MS, "ms", limits.FAULT_MS, _GUARD),
    Cutoff("probe-bath", _LIVE, lambda f: cutoff_inputs.age(f.bath, f.now_ms),
           limits.STALE_MS, "ms", limits.FAULT_MS, _GUARD),
    Cutoff("probe-body", _LIVE, lambda f: cutoff_inputs.age(f.body, f.now_ms),
           limits.STALE_MS, "ms", limits.FAULT_MS, _GUARD),
    Cutoff("jump-chocolate", _HEATING, lambda f: f.plausibility.chocolate.jump_mc,
           limits.JUMP_MC, "m°C", limits.FAULT_MS, HEAT),
    Cutoff("jump-bath", _HEATING, lambda f: f.plausibility.bath.jump_mc,
           limits.JUMP_MC, "m°C", limits.FAULT_MS, HEAT),
    Cutoff("jump-body", _HEATING, lambda f: f.plausibility.body.jump_mc,
           limits.JUMP_MC, "m°C", limits.FAULT_MS, HEAT),
    Cutoff("stuck-chocolate", _HEATING, lambda f: f.plausibility.stuck_chocolate_mc_s,
           limits.STUCK_CHOCOLATE_MC_S, "m°C s", 0),
    Cutoff("stuck-bath", _HEATING, lambda f: f.plausibility.stuck_bath_mc,
           limits.STUCK_MC, "m°C", 0),
    Cutoff("stuck-body", _HEATING, lambda f: f.plausibility.stuck_body_mc,
           limits.STUCK_MC, "m°C", 0),

    # Heat that goes where it cannot go, or does not arrive: a probe swapped or out of its place,
    # a crock that is dry, a heater that is dead.
    Cutoff("swapped", _HEATING, lambda f: f.plausibility.against_mc,
           limits.SWAPPED_MC, "m°C", limits.SWAPPED_MS),
    Cutoff("chocolate-apart", _HEATING, lambda f: f.plausibility.apart_mc_s,
           limits.APART_MC_S, "m°C s", 0),
    Cutoff("body-cold", _HEATING, lambda f: f.plausibility.body_cold_mc,
           limits.BODY_COLD_MC, "m°C", limits.BODY_COLD_MS),
    Cutoff("body-apart", _LIVE, cutoff_inputs.body_over_bath,
           limits.BODY_APART_MC, "m°C", limits.BODY_APART_MS, _GUARD),
    Cutoff("no-effect", _HEATING, lambda f: f.plausibility.idle_heat_s,
           limits.NO_EFFECT_S, "s", 0),
    Cutoff("unasked-warming", _HEATING, lambda f: f.plausibility.warming_mc,
           limits.WARMING_MC, "m°C", limits.WARMING_MS),

    # The outlet, and the test of both switches before every enabling of heat.
    Cutoff("unasked-heat", _NOT_TESTING, cutoff_inputs.live_outlet,
           0, "", limits.UNASKED_MS, GONE | START),
    Cutoff("no-power", _HEATING, cutoff_inputs.dead_outlet, 0, "", limits.UNPOWERED_MS,
           SLOW),
    Cutoff("proof-off", _ELSEWHERE, None, 0, "", limits.PROOF_STEP_MS),
    Cutoff("proof-relay", _ELSEWHERE, None, 0, "", limits.PROOF_STEP_MS),
    Cutoff("proof-switch", _ELSEWHERE, None, 0, "", limits.PROOF_STEP_MS),
    Cutoff("proof-power", _ELSEWHERE, None, 0, "", limits.PROOF_STEP_MS),

    # The stirrer.
    Cutoff("stir-stalled", _HEATING, cutoff_inputs.turning_ma,
           limits.STIR_STALLED_MA, "mA", limits.STIR_STALLED_MS),
    Cutoff("stir-current", _HEATING, cutoff_inputs.turning_ma,
           limits.STIR_CURRENT_MA, "mA", limits.STIR_CURRENT_MS),
    Cutoff("stir-none", _HEATING, cutoff_inputs.turning_ma,
           limits.STIR_NONE_MA, "mA", limits.STIR_NONE_MS, UNDER),
    Cutoff("stir-unasked", _ALWAYS, cutoff_inputs.resting_ma,
           limits.STIR_UNASKED_MA, "mA", limits.STIR_UNASKED_MS, GONE | START),

    # People and the kitchen.
    Cutoff("stop-button", _LIVE, lambda f: cutoff_inputs.absent(f.stop_ready),
           0, "", 0, GONE | START),
    Cutoff("lid", _HEATING, lambda f: cutoff_inputs.absent(f.lid_on), 0, "", limits.LID_MS, STIR),
    Cutoff("water-low", _LIVE, lambda f: cutoff_inputs.absent(f.water_ok),
           0, "", limits.WATER_LOW_MS, _GUARD),
    Cutoff("arm", _WAITING, lambda f: f.waiting_ms, limits.ARM_WAIT_MS, "ms", 0, STOP),

    # Supply, time, and the board itself.
    Cutoff("supply-low", _LIVE, cutoff_inputs.supply,
           limits.SUPPLY_LOW_MV, "mV", limits.SUPPLY_MS, UNDER | GONE | START),
    Cutoff("supply-high", _LIVE, cutoff_inputs.supply,
           limits.SUPPLY_HIGH_MV, "mV", limits.SUPPLY_MS, GONE | START),
    Cutoff("lease", _LIVE, cutoff_inputs.lease_age, limits.LEASE_MS, "ms", 0),
    Cutoff("phase-time", _HEATING, lambda f: f.phase_ms, limits.PHASE_CEILING_MS, "ms", 0),
    Cutoff("run-time", _HEATING, lambda f: f.run_ms, limits.RUN_CEILING_MS, "ms", 0),
    Cutoff("overrun", _LIVE, lambda f: f.overruns_in_row, limits.OVERRUNS_IN_ROW, "passes", 0),
    Cutoff("clock", _LIVE, cutoff_inputs.pass_ms, limits.CLOCK_MS, "ms", 0),
    Cutoff("reset-loop", _ALWAYS, lambda f: f.resets, limits.RESETS, "resets", 0),
    Cutoff("settings", _LIVE, lambda f: cutoff_inputs.fault(f.settings_fault),
           0, "", 0, GONE | START),
    Cutoff("files", _LIVE, lambda f: cutoff_inputs.fault(f.files_fault), 0, "", 0, GONE | START),
    Cutoff("record-lost", _ALWAYS, lambda f: cutoff_inputs.fault(f.record_fault), 0, "", 0),
    Cutoff("firmware", _ELSEWHERE, None, 0, "", 0),
)
# fmt: on
