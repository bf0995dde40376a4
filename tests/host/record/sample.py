"""A short cycle to record, with every kind of value in it. Rig and lot are invented."""

from __future__ import annotations

import shutil
from pathlib import Path

from glossbath import recipe
from glossbath.client.messages import Event, Reading
from glossbath.keeper.cycle_writer import CycleHeader, CycleWriter

STARTED_NS = 1_700_000_000_000_000_000
ENDED_NS = STARTED_NS + 60 * 1_000_000_000
PHASES = ("melt", "soak", "cool", "reheat", "hold")


def header(virtual: bool = True, started_ns: int = STARTED_NS) -> CycleHeader:
    return CycleHeader(
        rig="Bench, left",
        virtual=virtual,
        engine="micropython 1.29.0",
        board="e6614c311b5a2b23",
        firmware="0.1.0",
        recipe=recipe.load("dark"),
        started_ns=started_ns,
        batch_kg=1.5,
        lot='L-7 "north"',
    )


def reading(number: int) -> Reading:
    """Ten readings a phase, one a second; the chocolate probe fails in each seventh."""
    index = min(number // 10, 4)
    return Reading(
        time_s=float(number),
        wall=f"2023-11-14T22:13:{20 + number % 40:02d}.250Z",
        chocolate_c=None if number % 7 == 6 else 28.0 + number / 8,
        bath_c=30.062,
        body_c=41.5,
        target_c=28.5,
        bath_target_c=31.25,
        heat_share=0.25,
        chill_share=0.0,
        stir_share=0.8,
        state="running",
        phase=PHASES[index],
        phase_index=index,
        phase_elapsed_s=float(number % 10),
        phase_left_s=12.5,
        cycle_left_s=None,
        faults={"chocolate": "crc", "room": "absent"} if number % 7 == 6 else {},
        room_c=27.4,
        room_rh_percent=61.0,
        stir_ma=180.0,
    )


def events() -> list[Event]:
    wall = "2023-11-14T22:13:20Z"
    return [
        Event(0.0, wall, "phase", "melt", "Melting begins.", {"target_c": 48.0}),
        Event(12.0, wall, "note", "note", 'Smells "good",\nlooks good; über 1 kg', {}),
        Event(30.5, wall, "trip", "chocolate-hot", "Too hot.", {"limit_c": 52.0, "deep": [1]}),
    ]


def put(writer: CycleWriter, number: int) -> None:
    """Log reading number, with clocks that go with it."""
    writer.reading(
        reading(number),
        board_ticks_ms=5_000 + number * 1_000,
        boot_id="9c1f",
        wall_ns=STARTED_NS + number * 1_000_000_000,
        monotonic_ns=77 + number * 1_000_000_000,
    )


def record(parent: Path, readings: int = 50, result: str = "complete") -> Path:
    """The folder of a whole cycle, or of one without an end when result is empty."""
    writer = CycleWriter(parent, header())
    for number in range(readings):
        put(writer, number)
        writer.sync(float(number))
    for event in events():
        writer.event(event)
    if result:
        writer.finish(result, ENDED_NS)
    assert writer.close()
    assert writer.failure == ""
    assert writer.unwritten == 0
    return writer.folder


def cut_copy(folder: Path, to: Path, sizes: dict[str, int]) -> Path:
    """A copy of the folder in which the named files keep only their first bytes."""
    shutil.rmtree(to, ignore_errors=True)
    shutil.copytree(folder, to)
    for name, size in sizes.items():
        with (to / name).open("rb+") as file:
            file.truncate(size)
    return to
