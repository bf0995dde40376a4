"""The firmware's memory on MicroPython, with a heap as an RP2040 has it.

The emulated board leaves 229 KB free after start (measured, MicroPython 1.28). The port that runs
here has words of 64 bit and the board of 32, so that most objects take twice the room: 458 KB here
stand for what the board has.
"""

from __future__ import annotations

import contextlib
import statistics
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from direct import Direct, direct
from metered import compiled, passes

from glossbath.virtual.engine import micropython_is_here
from glossbath.virtual.virtual import Options

HEAP_BYTES = 2 * 229_000
RUN_S = 1_800
FLAT_BYTES = 512

pytestmark = pytest.mark.skipif(
    not micropython_is_here(), reason="no MicroPython wheel exists for this platform"
)


def used_bytes(rig: Direct, seconds: float, act: Callable[[], Any] | None = None) -> list[int]:
    """What the heap holds, told every 10 s, while time passes; act is called in between."""
    seen: list[int] = []
    take = rig._take

    def listen(message: dict[str, Any]) -> None:
        if message["k"] == "s":
            seen.append(HEAP_BYTES - message["hf"])
        take(message)

    rig._take = listen  # type: ignore[method-assign]
    end_ms = rig.rig.now_ms + round(1000 * seconds)
    while rig.rig.now_ms < end_ms:
        if act is not None:
            act()
        rig.run(5)
    rig._take = take  # type: ignore[method-assign]
    return seen


def test_a_running_cycle_takes_at_most_half_and_no_more_as_it_goes_on(tmp_path: Path) -> None:
    with direct(tmp_path, Options(heap_bytes=HEAP_BYTES)) as rig:
        rig.heat("dark", hold_s=RUN_S)
        rig.run(60)
        used = used_bytes(rig, RUN_S)
        assert rig.state == "running"
    assert len(used) >= RUN_S // 10 - 2
    assert max(used) <= HEAP_BYTES // 2
    third = len(used) // 3
    grown = statistics.median(used[-third:]) - statistics.median(used[:third])
    assert grown <= FLAT_BYTES, used


def test_a_pass_takes_little_and_what_is_alive_leaves_room() -> None:
    """On an emulated RP2040 with 224 KB of heap, version 0.1.0 had 130 KB free while it ran.
    Compiled as an installer puts it the firmware counts 88.7 KB alive here, and 11 bytes more for
    each letter of this project's path, which the stand-ins of pins and buses keep. Garbage is
    collected after eight passes at most."""
    found = passes(micropython=True, heating_s=30)
    heating = [p for p in found if p.state == "running"]
    assert len(heating) > 100
    assert statistics.median(p.taken for p in heating) <= 1_700
    assert max(p.taken for p in found) <= 9_000
    # Without the meter, whose own words make MicroPython double its table of them; in a folder
    # with a short name, since every module keeps its path.
    with contextlib.ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        stack.enter_context(compiled())
        rig = stack.enter_context(direct(folder, Options(heap_bytes=HEAP_BYTES)))
        rig.heat("dark")
        rig.run(60)
        alive = (HEAP_BYTES - rig.health["hf"]) // 2
    assert alive <= 90_000
    assert 8 * max(p.taken for p in found) + alive < 224_000


def test_settings_scans_and_trials_leave_nothing_behind(tmp_path: Path) -> None:
    with direct(tmp_path, Options(heap_bytes=HEAP_BYTES)) as rig:
        rig.until(lambda: bool(rig.reading), 5)
        rig.rig.hand.holds_arm = True
        count = 0

        def work() -> None:
            nonlocal count
            count += 1
            assert rig.ask("set", key="cal.bath", v=[count, -count])["ok"]
            assert rig.ask("get", key="model")["ok"]
            assert rig.ask("inputs")["ok"]
            assert rig.ask("scan")["ok"]
            rig.run(4)
            assert rig.ask("try", o="stir", ms=500)["ok"]

        used_bytes(rig, 60, work)
        used = used_bytes(rig, 300, work)
        assert count >= 30
    assert max(used) <= HEAP_BYTES // 2
    third = len(used) // 3
    grown = statistics.median(used[-third:]) - statistics.median(used[:third])
    assert grown <= FLAT_BYTES, used
