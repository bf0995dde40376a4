"""What the record of a cycle says to the desk: for a diagnosis and for learning."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from glossbath.chocolate import bloom, learning
from glossbath.chocolate.windows import Suggestion, from_phases
from glossbath.record import list_cycles, open_cycle

if TYPE_CHECKING:
    from glossbath.record import PastCycle

DIP = {"in temper": True, "out of temper": False}


def bloom_record(folder: Path) -> tuple[bloom.Record, Suggestion | None]:
    """What a cycle's folder says about its chocolate, and the windows of its recipe, if known.

    Raises LogError when the folder is not that of a cycle.
    """
    cycle = open_cycle(folder)
    phases = _phases(cycle)
    cool, hold = phases.get("cool", {}), phases.get("hold", {})
    record = bloom.Record(
        coolest_c=cool.get("min_c"),
        warmest_c=hold.get("max_c"),
        held_s=hold["end_s"] - hold["start_s"] if hold else None,
        dip_good=_dip(cycle),
        room_c=_mean(cycle, "room_c"),
        rh_share=None if (rh := _mean(cycle, "room_rh_percent")) is None else rh / 100,
        seized=any(event.code == "seized" for event in cycle.events()),
    )
    facts = cycle.facts
    windows = from_phases(facts.recipe.chocolate, facts.recipe.phases) if facts else None
    return record, windows


def learnable(parent: Path, *, virtual: bool) -> tuple[list[learning.Cycle], list[str]]:
    """Cycles below `parent` with a dip test that was sure, under their recipe's name, and
    sentences about what was left out. `virtual`: take the virtual rig's cycles, or only others.

    Raises LogError when the folder cannot be read.
    """
    cycles, untested, others = [], 0, 0
    for entry in list_cycles(parent):
        if bool(entry["virtual"]) != virtual:
            others += 1
            continue
        cycle = open_cycle(entry["folder"])
        good = _dip(cycle)
        if good is None or cycle.facts is None:
            untested += 1
            continue
        cycles.append(learning.Cycle(cycle.facts.recipe.name, _settings(cycle), good))
    left_out = []
    if untested:
        left_out.append(f"Left out: cycles without a clear dip test, {untested} of them.")
    if others:
        kind = "real rigs" if virtual else "virtual rigs"
        left_out.append(f"Left out: cycles of {kind}, {others} of them.")
    return cycles, left_out


def lots(parent: Path) -> list[tuple[str, str]]:
    """The lot of each recorded cycle below `parent` with the name of its folder.

    Raises LogError when the folder cannot be read.
    """
    found = []
    for entry in list_cycles(parent):
        facts = open_cycle(entry["folder"]).facts
        if facts is not None and facts.lot:
            found.append((facts.lot, Path(entry["folder"]).name))
    return found


def agreement(parent: Path, recipe: str, *, virtual: bool) -> list[str]:
    """How often predicted crystals agreed with dip tests, over the cycles of one recipe."""
    from glossbath.report.crystals import predict

    agrees = []
    for entry in list_cycles(parent):
        if entry["recipe"] == recipe and bool(entry["virtual"]) == virtual:
            agrees += [one.agrees for one in predict(open_cycle(entry["folder"])).compared]
    sure = [one for one in agrees if one is not None]
    if not sure:
        return ["No dip test has been compared with a prediction that was sure."]
    rate = learning.rate(sum(sure), len(sure))
    return [
        f"Predicted crystals agreed with {rate.good} of {rate.cycles} dip tests "
        f"({rate.share * 100:.0f} %, Wilson 95 % interval {rate.wilson_low * 100:.0f} to "
        f"{rate.wilson_high * 100:.0f} %)."
    ]


def _settings(cycle: PastCycle) -> dict[str, float]:
    """What may have mattered, from the record: temperatures reached and time taken."""
    phases = _phases(cycle)
    found = {
        setting: phases.get(name, {}).get(what)
        for setting, name, what in (
            ("melt_highest_c", "melt", "max_c"),
            ("cool_lowest_c", "cool", "min_c"),
            ("hold_mean_c", "hold", "mean_c"),
        )
    }
    if "cool" in phases:
        found["cool_min"] = (phases["cool"]["end_s"] - phases["cool"]["start_s"]) / 60
    return {setting: float(value) for setting, value in found.items() if value is not None}


def _phases(cycle: PastCycle) -> dict[str, dict[str, Any]]:
    """The summary of each phase in the record, by name."""
    return {phase["name"]: phase for phase in cycle.summary()["phases"]}


def _dip(cycle: PastCycle) -> bool | None:
    """What the last dip test that was sure said."""
    results = [
        DIP.get(str(event.values.get("result", "")))
        for event in cycle.events()
        if event.kind == "test" and event.code == "dip"
    ]
    return next((result for result in reversed(results) if result is not None), None)


def _mean(cycle: PastCycle, column: str) -> float | None:
    """Mean of a column; None when it is empty throughout."""
    import numpy as np

    values = cycle.columns(column)[column]
    known = values[~np.isnan(values)]
    return float(known.mean()) if known.size else None
