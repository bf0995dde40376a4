"""The batch plan: heat, time for each phase, ice, energy and water level.

Times come from two lumps run five times, once with the figures as given and four times with their
doubts, so that every answer has a short and a long end.
"""

from __future__ import annotations

import msgspec

from glossbath.errors import InputError

from . import heat, level
from .batch import BATH_MOST_C, Batch, Doubt, Rig, Targets, bath_j_per_k, check, lumps, solid_share
from .lumps import Arrival, Drive, arrive

DOUBTS = tuple(
    Doubt(1.0 + sign * heat.CP_DOUBT_SHARE, coupling, loss)
    for sign, coupling in ((-1, 1.55), (1, 0.67))
    for loss in (0.75, 1.5)
)
"""1.5 to 3 W/K of loss about 2 and 3 to 7 W/K of coupling about 4.5 (engineering estimate, no
source)."""
BATH_ABOVE_MELT_C = 8.0
BATH_BELOW_COOL_C = 3.0
BATH_ABOVE_WORK_C = 2.0


class Span(msgspec.Struct, frozen=True):
    """A value with its short and long end; `most` is None when it may never come."""

    nominal: float
    least: float
    most: float | None


class Plan(msgspec.Struct, frozen=True):
    """What a batch takes. Times in s, counted from the heater's start."""

    melt_s: Span
    soak_s: float
    cool_s: Span
    cool_dwell_s: float
    reheat_s: Span
    ready_s: Span
    """From the start until the chocolate is in its working window."""
    heat: heat.BatchHeat
    ice_kg: float
    energy_kwh: Span
    """From the start to the end of the hold."""
    advice: list[str]

    def sentences(self) -> list[str]:
        """The plan in words."""
        lines = [
            f"Melting takes {_minutes(self.melt_s)}, then {self.soak_s / 60:.0f} min of soaking.",
            f"Cooling takes {_minutes(self.cool_s)}, then {self.cool_dwell_s / 60:.0f} min there.",
            f"Reheating takes {_minutes(self.reheat_s)}.",
            f"The chocolate is ready to work after {_minutes(self.ready_s)}.",
            *self.heat.sentences(),
            self._energy_sentence(),
        ]
        if self.ice_kg > 0:
            lines.append(f"Have {self.ice_kg:.1f} kg of ice for the ice water of the coil.")
        return lines + self.advice

    def _energy_sentence(self) -> str:
        used = self.energy_kwh
        most = "more" if used.most is None else f"{used.most:.2f}"
        return (
            f"With the hold it uses about {used.nominal:.2f} kWh ({used.least:.2f} to {most} kWh)."
        )


def plan(batch: Batch, rig: Rig, goal: Targets) -> Plan:
    """The plan of one batch on one rig.

    Raises InputError for numbers that cannot be meant and when the rig as described never gets
    the chocolate to a target.
    """
    check(batch, rig, goal)
    nominal = _run(batch, rig, goal, Doubt())
    doubts = [_run(batch, rig, goal, doubt) for doubt in DOUBTS]
    melt = _span("melt", goal.melt_c, 0, nominal, doubts)
    cool = _span("cool", goal.cool_c, 1, nominal, doubts)
    reheat = _span("reheat", goal.work_c, 2, nominal, doubts)
    dwell_s = goal.soak_s + goal.cool_dwell_s
    most = [span.most for span in (melt, cool, reheat) if span.most is not None]
    return Plan(
        melt_s=melt,
        soak_s=goal.soak_s,
        cool_s=cool,
        cool_dwell_s=goal.cool_dwell_s,
        reheat_s=reheat,
        ready_s=Span(
            melt.nominal + cool.nominal + reheat.nominal + dwell_s,
            melt.least + cool.least + reheat.least + dwell_s,
            sum(most) + dwell_s if len(most) == 3 else None,
        ),
        heat=_heat(batch, rig, goal),
        ice_kg=_ice_kg(batch, rig, goal),
        energy_kwh=_energy_span(batch, rig, goal, nominal, doubts),
        advice=_advice(batch, rig, cool),
    )


def _run(batch: Batch, rig: Rig, goal: Targets, doubt: Doubt) -> list[Arrival | None]:
    """Arrivals of melt, cool and reheat; None from the first one that never comes."""
    pair = lumps(batch, rig, doubt)
    bath_c, chocolate_c = batch.water_c, batch.chocolate_c
    arrivals: list[Arrival | None] = []
    for drive in _drives(rig, goal):
        if not arrivals and chocolate_c >= goal.melt_c:
            arrivals.append(Arrival(0.0, bath_c, chocolate_c, 0.0))
            continue
        there = arrive(pair, drive, bath_c, chocolate_c)
        arrivals.append(there)
        if there is None:
            break
        bath_c, chocolate_c = there.bath_c, there.chocolate_c
        pair = msgspec.structs.replace(pair, melt_j_per_kg=0.0)
    return arrivals + [None] * (3 - len(arrivals))


def _drives(rig: Rig, goal: Targets) -> list[Drive]:
    bath_high_c = min(goal.melt_c + BATH_ABOVE_MELT_C, BATH_MOST_C)
    return [
        Drive(rig.heater_w, bath_high_c, goal.melt_c),
        Drive(-rig.chill_w, goal.cool_c - BATH_BELOW_COOL_C, goal.cool_c),
        Drive(rig.heater_w, goal.work_c + BATH_ABOVE_WORK_C, goal.work_c),
    ]


def _span(
    name: str,
    target_c: float,
    index: int,
    nominal: list[Arrival | None],
    doubts: list[list[Arrival | None]],
) -> Span:
    """Shortest and longest time of one phase over all runs."""
    there = nominal[index]
    if there is None:
        raise InputError(
            f"This rig does not bring the chocolate to the {name} target of {target_c:g} °C "
            "within 12 h: give it more heater or chill power, a lid, less water or a cooler room."
        )
    every = [run[index] for run in doubts]
    seconds = [arrival.seconds for arrival in every if arrival is not None]
    return Span(
        there.seconds,
        min([there.seconds, *seconds]),
        None if None in every else max([there.seconds, *seconds]),
    )


def _heat(batch: Batch, rig: Rig, goal: Targets) -> heat.BatchHeat:
    return heat.batch_heat(
        batch.chocolate_kg,
        batch.fat_share,
        batch.chocolate_c,
        goal.melt_c,
        solid_share=solid_share(batch),
        water_kg=rig.water_kg,
        water_from_c=batch.water_c,
        crock_kg=rig.crock_kg,
    )


def _ice_kg(batch: Batch, rig: Rig, goal: Targets) -> float:
    if rig.chill_w == 0:
        return 0.0
    capacity = bath_j_per_k(rig) + batch.chocolate_kg * heat.CHOCOLATE_CP_HOT
    return level.coil_ice_kg(capacity, goal.melt_c, goal.cool_c - BATH_BELOW_COOL_C)


def _energy_span(
    batch: Batch,
    rig: Rig,
    goal: Targets,
    nominal: list[Arrival | None],
    doubts: list[list[Arrival | None]],
) -> Span:
    used = _energy_kwh(batch, rig, goal, nominal, 1.0)
    every = [
        _energy_kwh(batch, rig, goal, run, doubt.loss)
        for run, doubt in zip(doubts, DOUBTS, strict=True)
        if None not in run
    ]
    least, most = min([used, *every]), max([used, *every])
    return Span(used, least, most if len(every) == len(doubts) else None)


def _energy_kwh(
    batch: Batch, rig: Rig, goal: Targets, run: list[Arrival | None], loss_factor: float
) -> float:
    """Heater energy of melt and reheat, and what keeps soak and hold at their temperature."""
    heated_j = sum(a.work_j for a in run if a is not None and a.work_j > 0)
    loss_w_per_k = rig.loss_w_per_k * loss_factor
    soak_j = goal.soak_s * loss_w_per_k * max(0.0, goal.melt_c - batch.room_c)
    hold_j = goal.hold_s * loss_w_per_k * max(0.0, goal.work_c - batch.room_c)
    return (heated_j + soak_j + hold_j) / 3.6e6


def _advice(batch: Batch, rig: Rig, cool: Span) -> list[str]:
    lines = level.water_advice(batch.chocolate_kg, rig.water_kg, rig.crock_l)
    if rig.chill_w == 0 and cool.nominal > 3600:
        lines.append(
            f"Without chilling the bath cools for {cool.nominal / 3600:.1f} h: run ice water "
            "through the coil or change the bath's water for cold water."
        )
    if cool.most is None:
        lines.append(
            "The room may be too warm to cool the chocolate at all: have ice water at hand."
        )
    return lines


def _minutes(span: Span) -> str:
    if span.most is None:
        return f"{span.nominal / 60:.0f} min ({span.least / 60:.0f} min or more, perhaps for ever)"
    return f"{span.nominal / 60:.0f} min ({span.least / 60:.0f} to {span.most / 60:.0f} min)"
