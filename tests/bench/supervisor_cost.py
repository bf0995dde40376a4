"""What one look of the supervisor costs, in passes of a float multiply-add loop.

    .venv/bin/python tests/bench/supervisor_cost.py

Both run on MicroPython as processes of their own and are measured by the processor's time, the
least of several, so that other work on this computer tells little. One such loop pass was measured
as 27 microseconds on an emulated RP2040 at 125 MHz; the emulation is optimistic: plan with twice.
"""

from __future__ import annotations

import importlib.util
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
LOOP_US = 27.0
ROUNDS = 5

LOOP = """
x, y = 1.0, 0.999
for _ in range(COUNT):
    x = x * y + 0.001
"""
LOOK = """
from glossbath_board.cycle import RUNNING
from glossbath_board.facts import Facts
from glossbath_board.output import Allowed
from glossbath_board.reading import Reading
from glossbath_board.supervisor import Supervisor

class Asked:
    heat_permille = 700
    chill_permille = 0
    stir_permille = 500

values = (40_000, 41_000, 44_000, 200, 12_000)
readings = [Reading(str(value)) for value in values]
facts = Facts(*readings)
facts.state = RUNNING
facts.lease_age_ms = 1_000
facts.load_on = facts.stop_ready = facts.lid_on = facts.water_ok = True
facts.settings_fault = facts.files_fault = ""
supervisor, allowed, found = Supervisor(facts), Allowed(), None
for _ in range(COUNT):
    facts.now_ms += 250
    for at in range(5):
        readings[at].good(values[at], facts.now_ms)
    facts.follow_outputs(True, True, 250)
    facts.plausibility.step(RUNNING, 700, 0, True, 250)
    found = supervisor.check(250)
    supervisor.allow(Asked, allowed)
assert found is None
"""


def processor_s(script: str, count: int, modules: str) -> float:
    """Least processor time of a script on MicroPython that does something count times."""
    micropython = shutil.which("micropython", path=str(Path(sys.executable).parent))
    assert micropython is not None, "this needs MicroPython's unix port"
    best = float("inf")
    for _ in range(ROUNDS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        subprocess.run(
            [micropython, "-c", f"COUNT = {count}\n{script}"],
            env={**os.environ, "MICROPYPATH": modules},
            check=True,
        )
        best = min(best, resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before)
    return best


def each_us(script: str, count: int, modules: str) -> float:
    """Microseconds of one of count, without what starting takes."""
    return (processor_s(script, count, modules) - processor_s(script, 0, modules)) * 1e6 / count


def main() -> None:
    """Measure and print."""
    found = importlib.util.find_spec("simple_pid")
    assert found is not None and found.origin is not None
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(Path(found.origin).parent, Path(folder) / "simple_pid")
        modules = f"{ROOT / 'firmware'}:{folder}:.frozen"
        loop_us = each_us(LOOP, 3_000_000, modules)
        look_us = each_us(LOOK, 20_000, modules)
    passes = look_us / loop_us
    print(f"one look: {look_us:.1f} us here, {passes:.0f} loop passes")
    print(f"RP2040: {passes * LOOP_US / 1000:.1f} ms emulated, twice that planned")


if __name__ == "__main__":
    main()
