"""What the readings of a cycle say: how each phase went against its window, and the verdict."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from glossbath.chocolate.phase import PhasePlan
from glossbath.client.messages import PRACTICE, Event
from glossbath.record import PastCycle
from glossbath.words import Degrees

if TYPE_CHECKING:
    from numpy.typing import NDArray

WORKED = ("reheat", "hold")
"""Phases in which chocolate may be in temper."""
KEPT = "Every phase reached its window and stayed in it."
TEST_FIRST = "Test it before you mould it."
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
    temper: str
    """What the last dip test of worked chocolate said; empty without one."""
    heat_wh: float | None
    """Heater energy in W h; None when the heater's power is not known."""
    full_heat_s: float
    """How long the heater would have been on at full power for the heat it gave."""
    room: tuple[float, float, float] | None
    """Lowest, mean and highest temperature of the room in °C; None where nobody measured it."""
    humidity_percent: float | None
    """Mean relative humidity of the room."""
    longest_gap_s: float


def judge(
    cycle: PastCycle, heater_w: float | None = None, degrees: Degrees | None = None
) -> Findings:
    """Judge a cycle from its record, its sentences in that unit; raises LogError where the
    record cannot be read."""
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
    events = cycle.events()
    departures = _departures_of(cycle, phases, events, degrees or Degrees())
    test = _last_test(phases, events)
    temper = str(test.values.get("result", "")) if test is not None else ""
    humidity = _known(data["room_rh_percent"])
    return Findings(
        phases=tuple(phases),
        verdict=(*_verdict(test, temper, departures), *_remarks(phases, events)),
        kept=not departures,
        temper=temper,
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


def dip_tests(events: list[Event]) -> list[Event]:
    """The dip tests among a cycle's events, oldest first."""
    return [event for event in events if event.kind == "test" and event.code == "dip"]


def _last_test(phases: list[PhaseFinding], events: list[Event]) -> Event | None:
    """The newest dip test of chocolate that was worked already: before that it says nothing."""
    worked_s = _worked_s(phases)
    return next((e for e in reversed(dip_tests(events)) if e.time_s >= worked_s), None)


def _worked_s(phases: list[PhaseFinding]) -> float:
    return min((it.start_s for it in phases if it.plan.name in WORKED), default=float("inf"))


def _verdict(test: Event | None, temper: str, departures: list[str]) -> list[str]:
    """What became of the chocolate, how the recipe went, and what follows."""
    at = f"the dip test at {test.time_s / 60:.0f} min" if test is not None else ""
    left = ["This cycle left its recipe.", *departures]
    if temper == "out of temper":
        first = f"Out of temper: {at} said so."
        follows = "Do not mould it: melt it and temper it again, then test it again."
        return [first, follows, *(left if departures else [KEPT])]
    if temper == "in temper":
        if departures:
            return [f"In temper by {at}, although the cycle left its recipe.", *departures]
        return [f"In temper by {at}, and the recipe was kept.", KEPT]
    what = f"{at} was not sure" if test is not None else "no dip test of it is recorded"
    if departures:
        return [*left, f"Whether the chocolate was in temper is not known: {what}. {TEST_FIRST}"]
    return [
        f"The recipe was kept, but temper is not known: {what}.",
        f"{KEPT} {TEST_FIRST}",
    ]


def _remarks(phases: list[PhaseFinding], events: list[Event]) -> list[str]:
    """What a reader must know besides."""
    said = []
    early = [e for e in dip_tests(events) if e.time_s < _worked_s(phases)]
    if early:
        said.append(
            "A dip test from before the chocolate was worked says nothing of its temper: left out."
        )
    if any(event.kind == "note" and event.text.startswith(PRACTICE) for event in events):
        said.append("Faults were put in by hand to practise on: this cycle proves nothing else.")
    return said


def _departures_of(
    cycle: PastCycle, phases: list[PhaseFinding], events: list[Event], degrees: Degrees
) -> list[str]:
    """Where the cycle left its recipe, in sentences."""
    sentences = [sentence for phase in phases for sentence in _departures(phase, degrees)]
    planned = len(cycle.facts.recipe.phases) if cycle.facts is not None else 0
    if cycle.result != "complete":
        ended = phases[-1].plan.name if phases else "start"
        why = next((event.text for event in events if event.kind == "trip"), "")
        sentences.append(f"The cycle did not run to its end: {cycle.result} in {ended}.")
        if cycle.result == "tripped" and why:
            sentences[-1] = f"The rig tripped in {ended}: {why}"
    elif len(phases) < planned:
        sentences.append("Some phases left no readings.")
    return sentences


def _departures(phase: PhaseFinding, degrees: Degrees) -> list[str]:
    name, window = phase.plan.name.capitalize(), phase.plan.window
    low, high = (f"{round(degrees.value(c), 1):g}" for c in (window.low_c, window.high_c))
    if phase.reached_s is None:
        return [f"{name} never reached {low} to {high} {degrees.sign}."]
    # Steps of the probe are 1/16 °C: one step beyond the edge is no departure.
    return [
        f"{name} went {degrees.span(by_k)} {where} {edge} {degrees.sign}; it was outside its "
        f"window for {phase.outside_s / 60:.1f} min."
        for by_k, where, edge in ((phase.above_c, "above", high), (phase.below_c, "below", low))
        if by_k > 0.07
    ]
