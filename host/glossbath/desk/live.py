"""What a rig tells of itself as text for a form's fields, by their `live` names."""

from __future__ import annotations

from pathlib import Path

from glossbath.chocolate.phase import PhasePlan
from glossbath.client.messages import Reading, Snapshot

KINDS = ("dark", "milk", "white")


def values(snapshot: Snapshot | None, reading: Reading | None) -> dict[str, str]:
    """Live values by name; what is not known is left out.

    chocolate_c, bath_c, room_c, rh_percent, held_min, batch_kg, kind, recipe, rig, cool and work
    (the recipe's windows), folder, cycles, readings.
    """
    found: dict[str, str] = {}
    if reading is not None:
        found = {
            "chocolate_c": _tenth(reading.chocolate_c),
            "bath_c": _tenth(reading.bath_c),
            "room_c": _tenth(reading.room_c),
            "rh_percent": _tenth(reading.room_rh_percent),
            "held_min": f"{reading.phase_elapsed_s / 60:.0f}" if reading.phase == "hold" else "",
        }
    if snapshot is not None:
        folder = Path(snapshot.folder) if snapshot.folder else None
        found |= {
            "batch_kg": f"{snapshot.batch_kg:g}" if snapshot.batch_kg > 0 else "",
            "kind": snapshot.chocolate if snapshot.chocolate in KINDS else "",
            "recipe": snapshot.recipe,
            "rig": snapshot.rig,
            **_windows(snapshot.phases),
            "folder": str(folder) if folder else "",
            "cycles": str(folder.parent) if folder else "",
            "readings": str(folder / "readings.csv") if folder else "",
        }
    return {name: text for name, text in found.items() if text}


def _windows(phases: list[PhasePlan]) -> dict[str, str]:
    """The recipe's cooling and working window, which hold for every judgement on its batch."""
    by_name = {phase.name: phase.window for phase in phases}
    cool, work = by_name.get("cool"), by_name.get("hold")
    # A seeded batch is not cooled below its working window.
    if cool is None or work is None or not cool.low_c < work.low_c:
        cool = None
    known = {"cool": cool, "work": work}
    return {name: f"{w.low_c:g} {w.high_c:g}" for name, w in known.items() if w is not None}


def _tenth(value: float | None) -> str:
    return "" if value is None else f"{value:.1f}"
