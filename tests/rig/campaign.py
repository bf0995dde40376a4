"""Runs faults through the real firmware and the real keeper, and says what went wrong."""

from __future__ import annotations

import contextlib
import random
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

from fault import Fault, Put
from faults import FAULTS
from patience import until
from scenes import SCENES, order_start, start
from witness import UNASKED_ALL_S, UNASKED_MOST_S, Witness
from world import World

from glossbath.checks import words
from glossbath.virtual.plants import reference
from glossbath.virtual.virtual import Options

_AFTER_END_S = 25.0
_OVER_C = 1.0
"""The true chocolate temperature may pass the recipe's limit by this much, not more."""


@dataclass
class Outcome:
    """How a run ended; problems is empty when it ended as it should."""

    names: tuple[str, ...]
    seed: int
    result: str = ""
    told: list[tuple[str, str, float]] = field(default_factory=list)
    over_c: float = 0.0
    last_heat_s: float | None = None
    plant: str = "lumped"
    unasked_s: float = 0.0
    unasked_all_s: float = 0.0
    simulated_s: float = 0.0
    wall_s: float = 0.0
    step_s: float = 0.0
    """The keeper's longest step by the wall clock, where somebody looked at it."""
    looked_at: int = 0
    """Passes during which somebody was connected."""
    problems: list[str] = field(default_factory=list)

    @property
    def trip(self) -> tuple[str, float] | None:
        """Code of the first trip and the seconds after the fault."""
        return next(((code, at) for kind, code, at in self.told if kind == "trip"), None)

    @property
    def first(self) -> tuple[str, float] | None:
        """Code of the first alarm or trip and the seconds after the fault."""
        return next(((code, at) for _, code, at in self.told), None)


def who(code: str) -> str:
    """Who noticed: host or board."""
    return "host" if code in words.codes() or code == "board-restarted" else "board"


class WatchedWorld(World):
    """A world with a witness in it."""

    witness: Witness | None = None

    def tick(self, now_ms: int) -> None:
        super().tick(now_ms)
        if self.witness is not None:
            self.witness.look()


def run_named(name: str, seed: int = 1, plant: str = "lumped") -> Outcome:
    """One named fault, once, on the reference rig of that plant."""
    fault = FAULTS[name]
    outcome = Outcome((name,), seed, plant=plant)
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="glossbath-campaign-") as folder:
        plan = [(fault.at_s, name)]
        _run(Path(folder), outcome, fault.scene, plan, fault.at_s + fault.within_s, True, plant)
    outcome.wall_s = time.monotonic() - began
    return outcome


def run_random(seed: int, plant: str = "lumped") -> Outcome:
    """One to three faults at random moments of a brief cycle."""
    rng = random.Random(seed)
    free = [name for name, fault in FAULTS.items() if not fault.alone and not fault.before_start]
    names = _with_one_absence(rng.sample(free, rng.choice((1, 2, 3))))
    times = sorted(rng.uniform(0.0, 350.0) for _ in names)
    scene = rng.choice(("brief", "brief", "hot", "cold", "melt", "cool", "hold"))
    outcome = Outcome(tuple(names), seed, plant=plant)
    began = time.monotonic()
    plan = list(zip(times, names, strict=True))
    with tempfile.TemporaryDirectory(prefix="glossbath-campaign-") as folder:
        _run(Path(folder), outcome, scene, plan, times[-1] + 90.0, False, plant)
    outcome.wall_s = time.monotonic() - began
    return outcome


def _with_one_absence(names: list[str]) -> list[str]:
    """A computer that does not run cannot cease to run: the first such fault stays."""
    away = [name for name in names if FAULTS[name].away]
    return [name for name in names if name not in away[1:]]


def _run(
    folder: Path,
    outcome: Outcome,
    scene_name: str,
    plan: list[tuple[float, str]],
    most_s: float,
    named: bool,
    plant: str,
) -> None:
    rng = random.Random(outcome.seed)
    scene = SCENES[scene_name]
    faults = [FAULTS[name] for _, name in plan]
    options = Options(parameters=reference(plant), begin=scene.begin, seed=outcome.seed)
    fast = not any(fault.port for fault in faults)
    world = WatchedWorld(folder, options, fast=fast)
    try:
        witness = world.witness = Witness(world)
        if faults[0].before_start:
            world.run(3)
            witness.begin(faults[0].blind)
            if faults[0].resets:
                order_start(world, scene)
                world.until(lambda: world.state == "testing", 30)
                world.run(rng.uniform(0.5, 6.0))
            faults[0].put(world, rng)
            if not faults[0].resets:
                order_start(world, scene)
            _go_on(world, [], most_s, rng)
        else:
            start(world, scene)
            _go_on(world, _timeline(plan), most_s, rng, witness)
            if named and faults[0].by_disk:
                _let_the_disk_show(world, witness, faults[0].told)
        _judge(outcome, world, witness, faults, scene.recipe.max_c, named)
        if faults[0].after is not None and named:
            outcome.problems += faults[0].after(world)
    finally:
        world.close()


def _timeline(plan: list[tuple[float, str]]) -> list[tuple[float, Put, str]]:
    timeline = []
    for at_s, name in plan:
        timeline.append((at_s, FAULTS[name].put, name))
        timeline += [(at_s + after_s, put, "") for after_s, put in FAULTS[name].later]
    return sorted(timeline, key=lambda entry: entry[0])


def _go_on(
    world: World,
    timeline: list[tuple[float, Put, str]],
    most_s: float,
    rng: random.Random,
    witness: Witness | None = None,
) -> None:
    begin_s = world.rig.now_ms / 1000
    last_act_s = timeline[-1][0] if timeline else 0.0
    while True:
        elapsed_s = world.rig.now_ms / 1000 - begin_s
        while timeline and timeline[0][0] <= elapsed_s:
            _, put, name = timeline.pop(0)
            if name and witness is not None:
                witness.put(name, FAULTS[name].blind)
            put(world, rng)
        ended_s = world.witness.ended_s  # type: ignore[attr-defined]
        over = ended_s is not None and world.rig.now_ms / 1000 > ended_s + _AFTER_END_S
        if elapsed_s > most_s or (over and elapsed_s > last_act_s + 5.0):
            return
        world.rig.step(world)  # type: ignore[arg-type]


def _let_the_disk_show(world: World, witness: Witness, told: frozenset[str]) -> None:
    """The record has a thread of its own, which a busy computer keeps waiting however far
    simulated time has come."""
    with contextlib.suppress(AssertionError):
        until(lambda: told & {code for _, code, _ in witness.told()}, lambda: world.run(1.0))


def _judge(
    outcome: Outcome,
    world: World,
    witness: Witness,
    faults: list[Fault],
    max_c: float,
    named: bool,
) -> None:
    outcome.result = world.result or ("running" if world.keeper.batch else "")
    outcome.told = witness.told()
    outcome.over_c = witness.hottest_c - max_c
    outcome.last_heat_s = witness.last_heat_s
    outcome.unasked_s, outcome.unasked_all_s = witness.unasked_s, witness.unasked_all_s
    outcome.simulated_s = world.rig.now_ms / 1000
    problems = outcome.problems
    mains = world.rig.mains
    stoppable = not (mains.relay_welded and mains.switch_shorted)
    # What no software can stop is the hardware cut-out's: safety.md, What remains.
    if stoppable and not outcome.over_c <= _OVER_C:
        problems.append(f"chocolate {outcome.over_c:.2f} °C above the recipe's limit")
    unasked_most_s = max(UNASKED_MOST_S, *(fault.unasked_s for fault in faults))
    if stoppable and outcome.unasked_s > unasked_most_s:
        problems.append(f"unasked heat for {outcome.unasked_s:.1f} s")
    unasked_all_s = max(UNASKED_ALL_S, unasked_most_s)
    if stoppable and outcome.unasked_all_s > unasked_all_s:
        problems.append(f"unasked heat for {outcome.unasked_all_s:.1f} s in all")
    if stoppable and witness.heat_after_end_s is not None:
        problems.append(f"heat {witness.heat_after_end_s:.1f} s after the end")
    problems += witness.wrong[:3]
    lost = witness.lost_rows()
    if lost:
        problems.append(f"{lost} rows lost")
    if world.rig.resets != sum(fault.resets for fault in faults):
        problems.append(f"{world.rig.resets} resets of the board")
    errors = (Path(world.rig.engine._flash).parent / "firmware-errors.txt").read_text()
    crashes = [line for line in errors.splitlines() if not line.startswith("Warning:")]
    if crashes:
        problems.append("firmware: " + " ".join(crashes)[-300:])
    problems += witness.untold(FAULTS)
    if stoppable and not named:
        shorted = mains.switch_shorted or mains.relay_welded
        problems += witness.heated_too_long(FAULTS, unasked_most_s if shorted else 0.0)
    _judge_told(outcome, faults, named)


def _judge_told(outcome: Outcome, faults: list[Fault], named: bool) -> None:
    problems = outcome.problems
    codes = {code for _, code, _ in outcome.told}
    trips = {code for kind, code, _ in outcome.told if kind == "trip"}
    known = frozenset[str]().union(*(fault.told | fault.also for fault in faults))
    wrong = trips - known
    if wrong:
        problems.append(f"told of {', '.join(sorted(wrong))}")
    if outcome.result in ("tripped", "stopped") and not trips:
        problems.append("ended without a word")
    if not named:
        return  # what shows, and when, depends on what the rig was about
    fault = faults[0]
    if outcome.result not in fault.ends:
        problems.append(f"ended as {outcome.result!r}, expected {', '.join(sorted(fault.ends))}")
    if fault.told and not codes & fault.told and outcome.plant not in fault.silent_on:
        problems.append(f"nobody was told of {' or '.join(sorted(fault.told))}")
    late = fault.heat_off_s is not None and (outcome.last_heat_s or 0.0) > fault.heat_off_s
    if late:
        problems.append(f"heat for {outcome.last_heat_s:.1f} s after the fault")
