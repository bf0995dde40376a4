"""The two loops, what they ask for, and how they change phases; runs on MicroPython too."""

from glossbath_board.control import Control, Loop
from glossbath_board.cycle import Cycle
from glossbath_board.estimate import Estimate
from glossbath_board.model import Model
from glossbath_board.program import Phase, Program
from glossbath_board.reading import ABSENT, Reading

MINUTE_MS = 60_000
REHEAT = ("reheat", [30_500, 30_000, 31_000, 300_000, 5_400_000, 600, 27_000, 33_500])
HOLD = ("hold", [30_500, 30_000, 31_000, 600_000, 5_400_000, 600, 28_000, 33_000])
COOL = ("cool", [28_500, 28_000, 29_000, 480_000, 14_400_000, 800, 21_000, 31_000])
MELT = ("melt", [48_000, 46_000, 50_000, 60_000, 10_800_000, 500, 20_000, 56_000])


class Bench:
    """A control whose probes show what the test says, in a cycle that runs these phases."""

    def __init__(self, phases, chocolate_mc, bath_mc):
        self.readings = Reading("chocolate"), Reading("bath"), Reading("body")
        self.estimates = [Estimate(reading) for reading in self.readings]
        self.cycle = Cycle()
        program = Program(len(phases), 52_000, 1_000)
        for at, (name, values) in enumerate(phases):
            program.put(at, Phase(name, values))
        for event in ("start", "armed", "proven"):
            self.cycle.handle(event)
        self.cycle.program = program
        chocolate, bath, body = self.estimates
        self.control = Control(chocolate, bath, body, self.cycle, Model())
        self.now_ms = 0
        self.show(chocolate_mc, bath_mc)

    def show(self, chocolate_mc, bath_mc, body_mc=None):
        self.values = chocolate_mc, bath_mc, body_mc

    def sense(self):
        for reading, estimate, milli in zip(self.readings, self.estimates, self.values):  # noqa: B905
            if milli is None:
                reading.bad(ABSENT)
            else:
                reading.good(milli, self.now_ms)
            estimate.step(self.now_ms)

    def run(self, seconds):
        """Asked heat and chill of every second, permille."""
        asked = []
        for _ in range(seconds):
            self.now_ms += 1_000
            self.sense()
            self.control.step(self.cycle.phase, 1_000)
            asked.append((self.control.heat_permille, self.control.chill_permille))
        return asked


def test_cold_chocolate_gets_full_heat_and_no_chill():
    bench = Bench([MELT], 24_000, 24_000)
    assert bench.run(60)[-1] == (1_000, 0)
    assert 50_000 < bench.control.bath_target_mc <= 56_000
    assert bench.control.stir_permille == 500


def test_hot_chocolate_gets_full_chill_and_no_heat():
    bench = Bench([COOL], 46_000, 46_000)
    assert bench.run(60)[-1] == (0, 1_000)
    assert 21_000 <= bench.control.bath_target_mc < 27_000


def test_bath_is_never_led_beyond_the_limits_of_its_phase():
    for phase in (MELT, COOL, REHEAT, HOLD):
        low, high = phase[1][6], phase[1][7]
        for chocolate_mc in range(18_000, 52_000, 1_700):
            bench = Bench([phase], chocolate_mc, 30_000)
            bench.run(5)
            assert low <= bench.control.bath_target_mc <= high


def test_heat_and_chill_are_never_asked_for_together():
    bench = Bench([HOLD], 30_500, 30_500)
    for step in range(40):
        bench.show(30_500 + (step * 37 % 11 - 5) * 40, 30_500 + (step * 53 % 13 - 6) * 60)
        for heat, chill in bench.run(15):
            assert heat == 0 or chill == 0


def test_noise_of_a_probe_does_not_make_heat_and_chill_take_turns():
    bench = Bench([HOLD], 30_500, 30_500)
    asked = []
    for step in range(300):
        bench.show(30_500 + step * 37 % 3 * 62 - 62, 30_500 + step * 53 % 3 * 62 - 62)
        asked += bench.run(1)
    sides = [1 if heat else -1 for heat, chill in asked[60:] if heat or chill]
    turns = sum(sides[at] != sides[at - 1] for at in range(1, len(sides)))
    assert turns <= 2


def test_nothing_is_asked_for_while_a_probe_is_unknown():
    bench = Bench([MELT], 24_000, 24_000)
    bench.run(20)
    bench.show(None, 24_000)
    assert bench.run(8)[-1] == (0, 0)
    bench.show(24_000, 24_000)
    assert bench.run(5)[-1] == (1_000, 0)


def test_nothing_is_asked_for_outside_a_cycle():
    bench = Bench([MELT], 24_000, 24_000)
    bench.run(20)
    bench.cycle.handle("stop")
    assert bench.run(1) == [(0, 0)]
    assert bench.control.stir_permille == 0
    assert bench.control.bath_target_mc is None


def test_next_phase_with_the_same_target_goes_on_without_a_jump():
    bench = Bench([REHEAT, HOLD], 30_450, 30_800)
    before = bench.run(400)[-1]
    bench.cycle.advance()
    after = bench.run(1)[-1]
    assert abs(after[0] - before[0]) <= 15
    assert abs(after[1] - before[1]) <= 15


def test_bath_moves_for_the_next_phase_before_the_dwell_ends():
    bench = Bench([COOL, REHEAT], 28_500, 28_500)
    bench.cycle.dwell_ms = 60_000
    assert bench.run(60)[-1][0] < 200
    bench.cycle.dwell_ms = 470_000
    assert bench.run(10)[-1][0] == 1_000
    assert bench.control.bath_target_mc > 29_000


def test_bath_stays_when_the_person_holds_the_recipe():
    bench = Bench([COOL, REHEAT], 28_500, 28_500)
    bench.cycle.dwell_ms = 470_000
    bench.cycle.handle("hold")
    assert bench.run(30)[-1][0] < 200


def test_run_up_that_lost_the_window_is_not_tried_again_in_that_phase():
    bench = Bench([COOL, REHEAT], 28_500, 28_500)
    bench.cycle.dwell_ms = 470_000
    bench.run(10)
    bench.cycle.dwell_ms = 0
    bench.run(10)
    bench.cycle.dwell_ms = 470_000
    assert bench.run(30)[-1][0] < 200


def test_integral_stands_while_the_output_is_cut():
    loop = Loop()
    loop.pid.Kp, loop.ki = 1.0, 0.1
    for _ in range(1_000):
        assert loop.step(10.0, 0.0, -1.0, 1.0, 1.0, True) == 1.0
    # A wound-up integral would keep the output at its limit for as long again.
    assert loop.step(10.0, 10.5, -1.0, 1.0, 1.0, True) < 1.0
    loop.step(10.0, 10.5, -1.0, 1.0, 1.0, True)
    assert loop.step(10.0, 10.5, -1.0, 1.0, 1.0, True) < 0.6


def test_integral_takes_a_steady_error_away():
    loop = Loop()
    loop.pid.Kp, loop.ki = 1.0, 0.05
    value = 0.0
    for _ in range(400):
        value += 0.1 * (loop.step(1.0, value, -5.0, 5.0, 1.0, True) - 0.7 - value)
    assert abs(value - 1.0) < 0.01


def test_loop_starts_where_it_is_told_to():
    loop = Loop()
    loop.start_from(0.4)
    assert abs(loop.step(5.0, 5.0, -1.0, 1.0, 1.0, True) - 0.4) < 1e-6
