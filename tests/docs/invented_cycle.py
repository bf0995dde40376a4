"""An invented cycle of dark chocolate, the same each time: for the pictures in README.

Nobody made this chocolate. The temperatures are drawn with a few curves, not measured.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from glossbath.client.messages import Event, Health, Reading, Snapshot
from glossbath.keeper.cycle_writer import CycleHeader, CycleWriter
from glossbath.recipe import Recipe, load

BEGAN = datetime(2026, 2, 3, 8, 30, tzinfo=UTC)
RIG, LOT, BATCH_KG = "example", "EX-7", 1.2
HOLD_S = 5_400.0
STARTS_S = (0, 2_940, 3_540, 6_480, 7_260)
"""When each phase begins: melt, soak, cool, reheat, hold."""
ENDS_S = 12_660


def recipe() -> Recipe:
    """The built-in dark recipe with an hour and a half of hold."""
    return load("dark").with_hold(HOLD_S)


def _toward(start_c: float, end_c: float, time_s: float, tau_s: float) -> float:
    return end_c + (start_c - end_c) * math.exp(-time_s / tau_s)


def _temperatures_c(index: int, in_phase_s: float) -> tuple[float, float]:
    """Chocolate and bath."""
    if index == 0:
        bath_c = _toward(24.0, 56.5, in_phase_s, 900)
        return _toward(24.0, 52.0, in_phase_s**1.15 / 4, 1_180), bath_c
    if index == 1:
        return _toward(48.4, 48.0, in_phase_s, 200), _toward(55.3, 49.2, in_phase_s, 240)
    if index == 2:
        cold_c = _toward(49.7, 22.4, min(in_phase_s, 2_300), 500)
        bath_c = _toward(cold_c, 27.6, max(0.0, in_phase_s - 2_300), 160)
        return _toward(48.0, 26.9, in_phase_s, 1_020), bath_c
    if index == 3:
        return _toward(28.3, 30.7, in_phase_s, 420), _toward(27.8, 32.6, in_phase_s, 200)
    wave_c = 0.12 * math.sin(in_phase_s / 310) + 0.05 * math.sin(in_phase_s / 47)
    return 30.5 + wave_c, 31.2 - 2 * wave_c


def reading(time_s: int) -> Reading:
    """The reading of a moment."""
    index = max(place for place, start_s in enumerate(STARTS_S) if start_s <= time_s)
    plan, in_phase_s = recipe().phases[index], float(time_s - STARTS_S[index])
    chocolate_c, bath_c = _temperatures_c(index, in_phase_s)
    ends_s = (*STARTS_S[1:], ENDS_S)[index]
    heat = (1.0, 0.22, 0.0, 0.35, 0.08)[index]
    return Reading(
        time_s=float(time_s),
        wall=(BEGAN + timedelta(seconds=time_s)).isoformat().replace("+00:00", "Z"),
        chocolate_c=round(chocolate_c * 16) / 16,
        bath_c=round(bath_c * 16) / 16,
        body_c=round((bath_c + 4 * heat) * 16) / 16,
        target_c=plan.target_c,
        bath_target_c=round(bath_c),
        heat_share=heat,
        chill_share=1.0 if index == 2 and in_phase_s < 2_300 else 0.0,
        stir_share=plan.stir_share,
        state="running",
        phase=plan.name,
        phase_index=index,
        phase_elapsed_s=in_phase_s,
        phase_left_s=float(ends_s - time_s),
        cycle_left_s=float(ENDS_S - time_s),
        room_c=23.0,
        room_rh_percent=52.0,
        stir_ma=340.0,
    )


def readings(until_s: int, step_s: int) -> Iterator[Reading]:
    """From the beginning on, step_s apart."""
    for time_s in range(0, until_s, step_s):
        yield reading(time_s)


def events() -> list[Event]:
    """Phases, a note and a dip test."""
    plans = recipe().phases
    told = [
        (start_s, "phase", plan.name, f"Phase {plan.name} begins.", {})
        for plan, start_s in zip(plans, STARTS_S, strict=True)
    ]
    told += [
        (3_700, "note", "note", "Ice is in, half a bag.", {}),
        (7_700, "test", "dip", "dip: in temper", {"kind": "dip", "result": "in temper"}),
    ]
    return [
        Event(float(time_s), reading(time_s).wall, kind, code, text, dict(values))
        for time_s, kind, code, text, values in sorted(told, key=lambda one: one[0])
    ]


def record(parent: Path) -> Path:
    """The record of the whole cycle; its folder."""
    began_ns = int(BEGAN.timestamp()) * 10**9
    header = CycleHeader(
        RIG, True, "invented", "none", "0.1.0", recipe(), began_ns, BATCH_KG, LOT
    )  # fmt: skip
    writer = CycleWriter(parent, header)
    for number, one in enumerate(readings(ENDS_S, 5)):
        at_ns = int(one.time_s) * 10**9
        writer.reading(one, int(one.time_s) * 1000, "1", began_ns + at_ns, at_ns)
        if number % 100 == 99:
            writer.sync(one.time_s)
    for event in events():
        writer.event(event)
    writer.finish("complete", began_ns + ENDS_S * 10**9)
    assert writer.close()
    return Path(writer.folder)


def snapshot(time_s: int) -> Snapshot:
    """What a screen is told that connects at a moment of the cycle."""
    return Snapshot(
        rig=RIG,
        virtual=True,
        engine="invented",
        board="none",
        firmware="0.1.0",
        state="running",
        recipe="Dark",
        chocolate="dark",
        phases=list(recipe().phases),
        folder="cycles/example",
        speed=60.0,
        batch_kg=BATCH_KG,
        lot=LOT,
        health=Health(True, True, time_s, 0, 0, 0, 4 * time_s, 0, True),
        history=list(readings(time_s, 10)),
        forecast=[
            (one.time_s, one.chocolate_c)
            for one in (reading(at_s) for at_s in range(time_s, time_s + 2_400, 60))
            if one.chocolate_c is not None
        ],
        steering=True,
    )
