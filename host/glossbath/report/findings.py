"""What the readings of a cycle say: how each phase went against its window, and the verdict."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from glossbath.chocolate.phase import PhasePlan
from glossbath.record import PastCycle

if TYPE_CHECKING:
    from numpy.typing import NDArray

GAP_S = 10.0  # readings come each second; a longer gap is not counted as time in a window


@dataclass(frozen=True)
class PhaseFinding:
    """One phase as it went. Temperatures of the chocolate probe in °C, times in s."""

    plan: PhasePlan
    start_s: float
    end_s: float
    low_c: float | None
    high_c: float | None
    mean_c: float | None
    reached_s: float | None
    """When the window was first reached, or None."""
    inside_share: float
    """Share of the time after reaching the window that was spent in it."""
    outside_s: float
    above_c: float
    """How far the chocolate went above the window after reaching it."""
    below_c: float
    spread_c: float | None
    """95 % of the readings after reaching the window lie within ± this of the target."""
    overshoot_c: float | None
    """How far the chocolate went past the target once the window was reached: below it while
    cooling, above it in every other phase; 0 or more."""


@dataclass(frozen=True)
class Findings:
    """A cycle judged: its phases, its energy, and a verdict of one or more sentences."""

    phases: tuple[PhaseFinding, ...]
    verdict: tuple[str, ...]
    kept: bool
    """Whether the recipe was kept."""
    heat_wh: float | None
    """Heater energy in W h; None when the heater's power is not known."""
    full_heat_s: float
    """How long the heater would have been on at full power for the heat it gave."""
    room: tuple[float, float, float] | None
    """Lowest, mean and highest temperature of the room in °C; None where nobody measured it."""
    humidity_percent: float | None
    """Mean relative humidity of the room."""
    longest_gap_s: float


def judge(cycle: PastCycle, heater_w: float | None = None) -> Findings:
    """Judge a cycle from its record; raises LogError where the record has no recipe."""
    data = cycle.columns(
        "time_s",
        "chocolate_c",
        "phase_index",
        "state",
        "heat_share",
        "room_c",
        "room_rh_percent",
    )
    plans = cycle.facts.recipe.phases if cycle.facts is not None else ()
    running = np.isin(data["state"], ("running", "held"))
    phases = []
    for index, plan in enumerate(plans):
        here = running & (data["phase_index"] == index)
        if here.any():
            phases.append(_phase(plan, data["time_s"][here], data["chocolate_c"][here]))
    steps = np.diff(data["time_s"]) if len(data["time_s"]) > 1 else np.zeros(0)
    full_heat_s = float(np.sum(data["heat_share"][1:] * steps)) if len(steps) else 0.0
    verdict, kept = _verdict(cycle, phases)
    humidity = _known(data["room_rh_percent"])
    return Findings(
        phases=tuple(phases),
        verdict=verdict,
        kept=kept,
        heat_wh=None if heater_w is None else full_heat_s * heater_w / 3600,
        full_heat_s=full_heat_s,
        room=_range(_known(data["room_c"])),
        humidity_percent=float(humidity.mean()) if humidity.size else None,
        longest_gap_s=float(steps.max()) if len(steps) else 0.0,
    )


def _known(values: NDArray[np.float64]) -> NDArray[np.float64]:
    return values[~np.isnan(values)]


def _range(values: NDArray[np.float64]) -> tuple[float, float, float] | None:
    if not values.size:
        return None
    return float(values.min()), float(values.mean()), float(values.max())


def _phase(
    plan: PhasePlan, time_s: NDArray[np.float64], chocolate_c: NDArray[np.float64]
) -> PhaseFinding:
    good = ~np.isnan(chocolate_c)
    inside = good & (chocolate_c >= plan.window.low_c) & (chocolate_c <= plan.window.high_c)
    reached = int(np.argmax(inside)) if inside.any() else None
    weights = np.minimum(np.diff(time_s, append=time_s[-1]), GAP_S)
    known = chocolate_c[good]
    after = chocolate_c[reached:] if reached is not None else chocolate_c[:0]
    settled = after[~np.isnan(after)]
    total_s = float(weights[reached:].sum()) if reached is not None else 0.0
    inside_s = float(weights[reached:][inside[reached:]].sum()) if reached is not None else 0.0
    return PhaseFinding(
        plan=plan,
        start_s=float(time_s[0]),
        end_s=float(time_s[-1]),
        low_c=float(known.min()) if known.size else None,
        high_c=float(known.max()) if known.size else None,
        mean_c=float(known.mean()) if known.size else None,
        reached_s=float(time_s[reached]) if reached is not None else None,
        inside_share=inside_s / total_s if total_s > 0 else float(reached is not None),
        outside_s=total_s - inside_s,
        above_c=max(0.0, float(settled.max()) - plan.window.high_c) if settled.size else 0.0,
        below_c=max(0.0, plan.window.low_c - float(settled.min())) if settled.size else 0.0,
        spread_c=_spread(settled, plan.target_c),
        overshoot_c=_overshoot(settled, plan),
    )


def _overshoot(settled: NDArray[np.float64], plan: PhasePlan) -> float | None:
    if not settled.size:
        return None
    if plan.name == "cool":
        return max(0.0, plan.target_c - float(settled.min()))
    return max(0.0, float(settled.max()) - plan.target_c)


def _spread(settled: NDArray[np.float64], target_c: float) -> float | None:
    return float(np.percentile(np.abs(settled - target_c), 95)) if settled.size else None


def _verdict(cycle: PastCycle, phases: list[PhaseFinding]) -> tuple[tuple[str, ...], bool]:
    sentences = []
    planned = len(cycle.facts.recipe.phases) if cycle.facts is not None else 0
    for phase in phases:
        sentences += _departures(phase)
    if cycle.result != "complete":
        ended = phases[-1].plan.name if phases else "start"
        sentences.append(f"The cycle did not run to its end: {cycle.result} in {ended}.")
    elif len(phases) < planned:
        sentences.append("Some phases left no readings.")
    if sentences:
        return ("This cycle left its recipe.", *sentences), False
    return (
        "This cycle kept to its recipe: every phase reached its window and stayed in it.",
    ), True


def _departures(phase: PhaseFinding) -> list[str]:
    name, window = phase.plan.name, phase.plan.window
    if phase.reached_s is None:
        return [f"{name.capitalize()} never reached {window.low_c:g} to {window.high_c:g} °C."]
    found = []
    # Steps of the probe are 1/16 °C: one step beyond the edge is no departure.
    if phase.above_c > 0.07:
        found.append(
            f"{name.capitalize()} went {phase.above_c:.1f} °C above {window.high_c:g} °C; it was "
            f"outside its window for {phase.outside_s / 60:.1f} min."
        )
    if phase.below_c > 0.07:
        found.append(
            f"{name.capitalize()} went {phase.below_c:.1f} °C below {window.low_c:g} °C; it was "
            f"outside its window for {phase.outside_s / 60:.1f} min."
        )
    return found
