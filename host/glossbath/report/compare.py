"""Cycles of one recipe side by side: is this hold like the others?"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from glossbath.errors import InputError
from glossbath.record import PastCycle, open_cycle
from glossbath.record.package import CycleFacts
from glossbath.words import Degrees, duration, percent

from .chart import FEWEST, Chart, individuals
from .findings import judge
from .html_page import VIRTUAL, document, paragraph, table, text, write
from .page import moment
from .picture import chart_svg, overlay_svg


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
    parts = [paragraph(sentence) for sentence in comparison.sentences()]
    for name, values in (
        ("Mean of the hold", comparison.working),
        ("95 % of the hold lies within ±", comparison.spread),
    ):
        parts.append(f"<h2>{name}</h2>{chart_svg(values, '°C')}")
    title = f"Cycles of {recipe}"
    write(out, document(title, [f"<h1>{text(title)}</h1>", *parts]))


def differences(one: PastCycle, other: PastCycle, degrees: Degrees) -> list[tuple[str, str, str]]:
    """The settings in which two cycles differ, as (setting, in one, in the other)."""
    both = [_settings(cycle.facts, degrees) for cycle in (one, other)]
    names = [*both[0], *(name for name in both[1] if name not in both[0])]
    rows = [(name, both[0].get(name, "-"), both[1].get(name, "-")) for name in names]
    return [row for row in rows if row[1] != row[2]]


def _settings(facts: CycleFacts | None, degrees: Degrees) -> dict[str, str]:
    if facts is None:
        return {}
    recipe = facts.recipe
    found = {
        "recipe": f"{recipe.name}, version {recipe.version}",
        "chocolate": recipe.chocolate,
        "batch": f"{facts.batch_kg:g} kg",
        "lot": facts.lot or "-",
        "rig": facts.rig,
        "firmware": facts.firmware,
    }
    for plan in recipe.phases:
        low, high = (degrees.number(c) for c in (plan.window.low_c, plan.window.high_c))
        found |= {
            f"{plan.name} target": degrees.text(plan.target_c),
            f"{plan.name} window": f"{low} to {high} {degrees.sign}",
            f"{plan.name} inside": duration(plan.dwell_s),
            f"{plan.name} stir": percent(plan.stir_share),
        }
    return found


def write_overlay(
    one: Path, other: Path, degrees: Degrees | None = None, out: Path | None = None
) -> Path:
    """Write a page with the curves of two cycles over each other and the settings that differ;
    where it is. Raises LogError."""
    degrees = degrees or Degrees()
    cycles = [open_cycle(one), open_cycle(other)]
    names = cycle_names(cycles)
    rows = [[(cell, False) for cell in row] for row in differences(cycles[0], cycles[1], degrees)]
    verdicts = [
        paragraph(f"{name}: {judge(cycle, degrees=degrees).verdict[0]}")
        for name, cycle in zip(names, cycles, strict=True)
    ]
    parts = [
        "<h1>Two cycles</h1>",
        paragraph(VIRTUAL, "virtual") if any(cycle.virtual for cycle in cycles) else "",
        *verdicts,
        overlay_svg(list(zip(names, cycles, strict=True)), degrees),
        "<h2>Settings that differ</h2>",
        table(("setting", *names), rows) if rows else paragraph(SAME),
    ]
    path = out or one / f"compared-with-{other.name}.html"
    return write(path, document("Two cycles", parts))


SAME = "Both cycles had the same settings."


def cycle_names(cycles: list[PastCycle]) -> list[str]:
    """What tells cycles apart in a legend: the moment each began, and the recipe."""
    return [
        f"{moment(cycle.facts.started)}, {cycle.facts.recipe.name}"
        if cycle.facts is not None
        else cycle.folder.name
        for cycle in cycles
    ]
