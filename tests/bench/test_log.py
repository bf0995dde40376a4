"""What the record costs. Run with: pytest tests/bench -s"""

from __future__ import annotations

import shutil
import time
from pathlib import Path

from glossbath import recipe
from glossbath.log import CycleHeader, CycleWriter
from glossbath.record import list_cycles, open_cycle
from glossbath.state import Reading

STARTED_NS = 1_700_000_000_000_000_000
READINGS = 14_400  # four hours, one a second


def write(parent: Path) -> tuple[Path, float]:
    """The folder of a long cycle, and the CPU time for each of its readings in µs."""
    header = CycleHeader(
        "bench", True, "none", "none", "none", recipe.load("dark"), STARTED_NS, 1.0, "bench"
    )
    reading = Reading(
        time_s=1.0,
        wall="2023-11-14T22:13:20.250Z",
        chocolate_c=28.125,
        bath_c=30.062,
        body_c=41.5,
        target_c=28.5,
        bath_target_c=31.25,
        heat_share=0.25,
        chill_share=0.0,
        stir_share=0.8,
        state="running",
        phase="cool",
        phase_index=2,
        phase_elapsed_s=12.0,
        phase_left_s=300.0,
        cycle_left_s=9_000.0,
    )
    writer = CycleWriter(parent, header)
    began = time.process_time()
    for second in range(READINGS):
        writer.reading(reading, second * 1_000, "9c1f", STARTED_NS + second, second)
        writer.sync(float(second))
    writer.finish("complete", STARTED_NS)
    assert writer.close(60.0)
    return writer.folder, (time.process_time() - began) / READINGS * 1e6


def test_a_reading_costs_less_than_60_us_of_cpu(tmp_path: Path) -> None:
    folder, cost_us = write(tmp_path)
    began = time.process_time()
    assert open_cycle(folder).summary()["readings"] == READINGS
    print(f"\n{cost_us:.1f} µs a reading; summary {time.process_time() - began:.2f} s")
    assert cost_us < 60


def test_a_thousand_cycles_are_listed_within_a_second(tmp_path: Path) -> None:
    folder, _ = write(tmp_path / "one")
    for number in range(1000):
        copy = tmp_path / "many" / f"{number:04d}"
        copy.mkdir(parents=True)
        shutil.copy(folder / "datapackage.json", copy)
    began = time.perf_counter()
    assert len(list_cycles(tmp_path / "many")) == 1000
    took_s = time.perf_counter() - began
    print(f"\n{took_s * 1000:.0f} ms for 1,000 cycles")
    assert took_s < 1
