"""Runs on MicroPython: times a pass, a control step, an estimate and a call of simple-pid.

The pass is the loop's in a running cycle, with stand-ins for chips, pins and line. Prints JSON.
"""

import gc
import json
import time

from simple_pid import PID
from stand_in_rig import StandInRig, scratch

from glossbath_board.control import Control
from glossbath_board.cycle import Cycle
from glossbath_board.estimate import Estimate
from glossbath_board.program import Phase, Program
from glossbath_board.reading import Reading

_ROUNDS = 150
_CALLS = 24
_DARK = (
    ("melt", (48_000, 46_000, 50_000, 60_000, 10_800_000, 500, 20_000, 56_000)),
    ("soak", (48_000, 46_000, 50_000, 600_000, 3_600_000, 500, 40_000, 56_000)),
    ("cool", (28_500, 28_000, 29_000, 480_000, 14_400_000, 800, 21_000, 31_000)),
    ("reheat", (30_500, 30_000, 31_000, 300_000, 5_400_000, 600, 27_000, 33_500)),
)


def _time_us(step):
    """Microseconds a call; the quickest of short batches, since other work only adds."""
    best = None
    for _ in range(_ROUNDS):
        gc.collect()
        start = time.ticks_us()
        for at in range(_CALLS):
            step(at)
        took = time.ticks_diff(time.ticks_us(), start)
        best = took if best is None else min(best, took)
    return best / _CALLS


def _control():
    """A control in the middle of a cooling dwell, where every branch of it has work."""
    readings = Reading("chocolate"), Reading("bath"), Reading("body")
    estimates = [Estimate(reading) for reading in readings]
    program = Program(len(_DARK), 52_000, 1_000)
    for at, (name, values) in enumerate(_DARK):
        program.put(at, Phase(name, values))
    cycle = Cycle()
    for event in ("start", "armed", "proven"):
        cycle.handle(event)
    cycle.program = program
    cycle.index = 2
    cycle.dwell_ms = 300_000
    for reading, milli in zip(readings, (28_600, 28_100, 28_300)):  # noqa: B905
        reading.good(milli, 1_000)
    for estimate in estimates:
        estimate.step(1_000)
    return Control(estimates[0], estimates[1], estimates[2], cycle), cycle, estimates, readings


def main():
    control, cycle, estimates, readings = _control()
    phase = cycle.phase
    pid = PID(1.0, 0.01, 0.0, sample_time=None, time_fn=lambda: 0)
    pid.output_limits = (-1.0, 1.0)

    def estimate(at):
        readings[0].good(28_600 + at % 3, 1_000 + 1_500 * at)
        estimates[0].step(1_500 + 1_500 * at)

    def heap(step):
        step(0)
        gc.collect()
        gc.disable()
        before = gc.mem_alloc()
        for at in range(20):
            step(at)
        used = gc.mem_alloc() - before
        gc.enable()
        return used / 20

    rig = StandInRig(scratch("cost"))
    rig.heat()
    found = {
        "pid_us": _time_us(lambda at: pid(0.1, dt=1.0)),
        "control_us": _time_us(lambda at: control.step(phase, 1_000)),
        "estimate_us": _time_us(estimate),
        "pass_us": _time_us(lambda at: rig.step()),
        "control_bytes": heap(lambda at: control.step(phase, 1_000)),
    }
    print(json.dumps(found))


main()
