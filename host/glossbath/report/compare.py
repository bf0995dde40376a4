"""Cycles of one recipe side by side: is this hold like the others?"""

from __future__ import annotations

import html
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from glossbath.errors import InputError, LogError
from glossbath.record import open_cycle

from .chart import FEWEST, Chart, individuals
from .findings import judge
from .picture import chart_svg


@dataclass(frozen=True)
class Comparison:
    """The holds of several cycles, oldest first: mean in °C and 95 % spread in °C."""

    folders: tuple[str, ...]
    working: Chart
    spread: Chart
    virtual: bool = False
    """Whether all of them are cycles of a virtual rig; they are never mixed with real ones."""
    left_out: int = 0
    """How many cycles of a virtual rig were left out."""

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return asdict(self)

    def sentences(self) -> list[str]:
        """What the charts say."""
        said = [
            f"{len(self.folders)} holds: mean working temperature {self.working.centre:.2f} °C, "
            f"spread ±{self.spread.centre:.2f} °C."
        ]
        if self.virtual:
            said.insert(0, "VIRTUAL RIG: these cycles were simulated, no chocolate was there.")
        if self.left_out:
            noun = "cycle" if self.left_out == 1 else "cycles"
            said.append(f"{self.left_out} {noun} of a virtual rig left out.")
        if not self.working.enough:
            return [*said, f"Limits need at least {FEWEST} cycles that differ: too few to judge."]
        for name, chart in (("working temperature", self.working), ("spread", self.spread)):
            for rule, at, words in chart.signals:
                folder = Path(self.folders[at]).name
                said.append(f"Unusual {name} up to {folder}: {words} (Nelson's rule {rule}).")
        if not (self.working.signals or self.spread.signals):
            said.append("No run is unusual by Nelson's rules.")
        return said


def compare_cycles(newest_first: list[Path]) -> Comparison:
    """Compare the holds of complete cycles, real ones only where there is any; raises InputError
    when there are fewer than two."""
    holds = _holds(newest_first)
    virtual = all(hold.virtual for hold in holds)
    chosen = [hold for hold in holds if hold.virtual == virtual]
    if len(chosen) < 2:
        raise InputError(
            f"{len(chosen)} complete cycles of this recipe were found: comparing needs two."
        )
    return Comparison(
        tuple(hold.folder for hold in chosen),
        individuals([hold.mean_c for hold in chosen]),
        individuals([hold.spread_c for hold in chosen]),
        virtual,
        len(holds) - len(chosen),
    )


@dataclass(frozen=True)
class _Hold:
    folder: str
    virtual: bool
    mean_c: float
    spread_c: float


def _holds(newest_first: list[Path]) -> list[_Hold]:
    """The holds of complete cycles, oldest first."""
    holds = []
    for folder in reversed(newest_first):
        cycle = open_cycle(folder)
        if cycle.result != "complete":
            continue
        hold = next((p for p in judge(cycle).phases if p.plan.name == "hold"), None)
        if hold is not None and hold.mean_c is not None and hold.spread_c is not None:
            virtual = cycle.virtual is not False  # what says nothing is not taken for real
            holds.append(_Hold(str(folder), virtual, hold.mean_c, hold.spread_c))
    return holds


def write_comparison(comparison: Comparison, recipe: str, out: Path) -> None:
    """Write the comparison as a self-contained page; raises LogError if that fails."""
    said = "".join(f"<p>{html.escape(sentence)}</p>" for sentence in comparison.sentences())
    charts = "".join(
        f"<h2>{name}</h2>{chart_svg(list(c.values), c.centre, c.low, c.high, '°C')}"
        for name, c in (
            ("Mean of the hold", comparison.working),
            ("95 % of the hold lies within ±", comparison.spread),
        )
    )
    title = html.escape(f"Cycles of {recipe}")
    page = (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        "<style>body{font:15px/1.45 system-ui,sans-serif;max-width:62rem;margin:1.5rem auto}"
        f"svg{{width:100%;height:auto}}</style></head><body><h1>{title}</h1>{said}{charts}"
        "</body></html>\n"
    )
    try:
        out.write_text(page, encoding="utf-8")
    except OSError as error:
        raise LogError(f"{out} cannot be written: {error.strerror}.") from error
