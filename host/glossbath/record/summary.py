"""A cycle in brief: what was run and how it ended, and what each phase did to the chocolate."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import groupby
from pathlib import Path
from typing import Any

from glossbath.client.messages import Reading

from .folder import VIRTUAL_MARK, claimed
from .package import CUT_SHORT, INCOMPLETE, RUNNING, CycleFacts


def brief(folder: Path, facts: CycleFacts | None) -> dict[str, Any]:
    """What datapackage.json says of a cycle; None where it says nothing.

    folder, result (complete, stopped, tripped, cut short or running), virtual, engine, rig,
    board, firmware, software, recipe, chocolate, batch_kg, lot, started, ended, readings (count),
    not_written (rows).
    """
    return {
        "folder": str(folder),
        "result": result_of(folder, facts),
        "virtual": facts.virtual if facts else virtual_by_name(folder),
        "engine": facts.engine if facts else None,
        "rig": facts.rig if facts else None,
        "board": facts.board if facts else None,
        "firmware": facts.firmware if facts else None,
        "software": facts.software if facts else None,
        "recipe": facts.recipe.name if facts else None,
        "chocolate": facts.recipe.chocolate if facts else None,
        "batch_kg": facts.batch_kg if facts else None,
        "lot": facts.lot if facts else None,
        "started": facts.started if facts else None,
        "ended": (facts.ended if facts else "") or None,
        "readings": facts.rows.get("readings") if facts else None,
        "not_written": facts.not_written if facts else None,
    }


def result_of(folder: Path, facts: CycleFacts | None) -> str:
    """How a cycle ended; running while a keeper records it, cut short where no end was."""
    if facts is not None and facts.result:
        return facts.result
    return RUNNING if claimed(folder) else CUT_SHORT


def result_in_words(cycle: Mapping[str, Any]) -> str:
    """The result of a cycle as `brief` tells it, and whether its record is all there."""
    ended = cycle["result"] not in (RUNNING, CUT_SHORT)
    incomplete = ended and cycle["not_written"]
    return f"{cycle['result']}, {INCOMPLETE}" if incomplete else str(cycle["result"])


def virtual_by_name(folder: Path) -> bool | None:
    """True when the folder's name says it is of a virtual rig, else None."""
    return True if VIRTUAL_MARK in folder.name.split("_") else None


def phases_of(readings: Iterable[Reading]) -> tuple[list[dict[str, Any]], int]:
    """The phases in the order they ran, and how many readings there were."""
    phases, count = [], 0
    for phase, group in groupby(
        readings, key=lambda reading: (reading.phase_index, reading.phase)
    ):
        members = list(group)
        count += len(members)
        if phase[1]:
            phases.append(_phase(phase[1], members))
    return phases, count


def _phase(name: str, readings: list[Reading]) -> dict[str, Any]:
    chocolate = [reading.chocolate_c for reading in readings if reading.chocolate_c is not None]
    return {
        "name": name,
        "start_s": readings[0].time_s,
        "end_s": readings[-1].time_s,
        "min_c": min(chocolate, default=None),
        "max_c": max(chocolate, default=None),
        "mean_c": round(sum(chocolate) / len(chocolate), 3) if chocolate else None,
    }
