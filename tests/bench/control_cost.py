"""What a control step costs, timed on MicroPython's unix port and carried over to a board.

The port's own speed says nothing of a board, but the ratio of two pieces of code does: one call
of simple-pid takes about 0.5 ms on an emulated RP2040 at 125 MHz, and everything else is put in
proportion to that. The emulation has no flash cache, so plan for twice the time.
"""

from __future__ import annotations

import importlib.util
import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import glossbath_board

PID_CALL_MS = 0.5
_SCRIPT = Path(__file__).parent / "step_cost.py"
_STAND_INS = Path(__file__).parent.parent / "firmware"


def micropython() -> str | None:
    """The unix port, where it is installed."""
    beside = Path(sys.executable).parent
    return shutil.which("micropython", path=beside) or shutil.which("micropython")


def measure() -> dict[str, float] | None:
    """Microseconds and heap bytes on the unix port; None where there is none.

    pid_us: a call of simple-pid. control_us: a control step that renews. estimate_us: an estimate
    with a new reading. pass_us: a pass, a control step in every fourth. control_bytes: heap taken
    by a control step.
    """
    engine = micropython()
    if engine is None:
        return None
    found = importlib.util.find_spec("simple_pid")
    assert found is not None and found.origin is not None
    firmware = Path(glossbath_board.__file__).parent
    with tempfile.TemporaryDirectory() as folder:
        # The rest of site-packages would shadow modules that MicroPython brings itself.
        shutil.copytree(Path(found.origin).parent, Path(folder) / "simple_pid")
        shutil.copytree(firmware, Path(folder) / "glossbath_board")
        run = subprocess.run(
            [engine, str(_SCRIPT)],
            cwd=folder,
            env={**os.environ, "MICROPYPATH": f"{folder}:{_STAND_INS}:.frozen"},
            capture_output=True,
            text=True,
            check=True,
        )
    return dict(json.loads(run.stdout))


def cost() -> list[str]:
    """The costs in words."""
    found = measure()
    if found is None:
        return ["cost of a control step: not counted, MicroPython's unix port is not installed"]
    scale = PID_CALL_MS / found["pid_us"]
    control_ms = found["control_us"] * scale
    estimate_ms = found["estimate_us"] * scale
    # A float takes one 16-byte block on the board and one of 32 bytes on the 64-bit port.
    kilobytes = found["control_bytes"] / 2 / 1024
    return [
        f"a control step is worth {found['control_us'] / found['pid_us']:.1f} calls of simple-pid"
        f" and {found['control_bytes'] / 32:.0f} heap blocks",
        f"by {PID_CALL_MS} ms a call on an RP2040 at 125 MHz: control step {control_ms:.1f} ms"
        f" once a second, each of two estimates {estimate_ms:.1f} ms, {kilobytes:.1f} KiB of heap",
        f"a pass of the loop {found['pass_us'] * scale:.1f} ms on average, without chips and line",
    ]


if __name__ == "__main__":
    print("\n".join(cost()))
