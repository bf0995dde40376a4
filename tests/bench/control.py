"""The project's controller against a thermostat and a single PID loop, on the same rigs.

    python tests/bench/control.py [--rigs 100] [--seed 1] [--jobs N] [--hold-min 60]

Every controller runs the dark recipe on the reference rig and on random ones; times are put in
proportion to the shortest cycle that rig's limits leave possible. The project's runs twice: with
the model that the rig's own identification found, and with the reference rig's model and the
batch's mass alone. The others run without the supervisor, which would end most of their cycles
before they have anything to show.
"""

from __future__ import annotations

import argparse
import math
import os
import sys
import time
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "stand_ins"))

from baselines import SinglePid, Thermostat
from chain import Build, Chain, project
from control_cost import cost
from identified import identified
from rigs import Rig, nominal, program_for, random_rigs
from shortest import Shortest, shortest
from verdict import Verdict, judge, quantile

IDENTIFIED, REFERENCE = "project, rig identified", "project, reference model"
PID_LOOP, THERMOSTAT = "one PID loop", "thermostat"
NAMES = (IDENTIFIED, REFERENCE, PID_LOOP, THERMOSTAT)
OURS = (IDENTIFIED, REFERENCE)
_PATIENCE = 3.0
"""A cycle that takes so many times the shortest is given up."""


@dataclass(frozen=True)
class Comparison:
    """Every controller on one rig."""

    rig: Rig
    best: Shortest | None
    verdicts: dict[str, Verdict]
    refused: bool
    """Whether the identification refused its record."""

    def ratio(self, name: str) -> float:
        """Cycle time over the shortest possible."""
        assert self.best is not None
        return self.verdicts[name].ready_s / self.best.total_s


def builds(values: list[int] | None) -> dict[str, Build]:
    """Each controller as it would be set up on a rig where these values were found."""
    return {
        IDENTIFIED: project(values),
        REFERENCE: project(None),
        PID_LOOP: lambda readings, _: (SinglePid(readings["chocolate"], readings["bath"]), []),
        THERMOSTAT: lambda readings, _: (Thermostat(readings["chocolate"], readings["bath"]), []),
    }


def attempt(job: tuple[Rig, float, int]) -> Comparison:
    """Every controller on one rig, and the shortest cycle there."""
    rig, hold_s, seed = job
    program = program_for(rig, hold_s)
    best = shortest(rig, program, 10.0 if rig.name == "nominal" else 20.0)
    if best is None:
        return Comparison(rig, None, {}, False)
    values = identified(rig, seed)
    verdicts = {}
    for name, build in builds(values).items():
        chain = Chain(rig.plant(), program, build, seed=seed, supervised=name in OURS)
        verdicts[name] = judge(chain.run(_PATIENCE * best.total_s + hold_s), program)
    return Comparison(rig, best, verdicts, values is None)


def table(title: str, trials: list[Comparison]) -> list[str]:
    """One line a controller over these trials."""
    lines = [
        title,
        f"{'':26}{'time/shortest':>16}{'overshoot':>11}{'undershoot':>12}{'hold error °C':>17}"
        f"{'batches':>9}",
        f"{'':26}{'median':>8}{'95 %':>8}{'worst °C':>11}{'worst °C':>12}{'95 %':>9}{'worst':>8}"
        f"{'lost':>9}",
    ]
    for name in NAMES:
        found = [trial.verdicts[name] for trial in trials]
        lost = sum(verdict.lost for verdict in found)
        ratios = [trial.ratio(name) for trial in trials]
        lines.append(
            f"{name:26}{quantile(ratios, 0.5):8.3f}{quantile(ratios, 0.95):8.3f}"
            f"{_worst(v.over_c for v in found):11.2f}"
            f"{_worst(v.under_c for v in found):12.2f}"
            f"{_worst(v.hold_p95_c for v in found):9.2f}"
            f"{_worst(v.hold_worst_c for v in found):8.2f}"
            f"{lost:5d}/{len(found)}" + _reasons(found)
        )
    return lines


def one_line(trial: Comparison) -> str:
    """A rig and its ratios, overshoots and worst hold errors."""
    p = trial.rig.parameters
    line = f"{trial.rig.name:8} {p.chocolate_kg:5.2f} kg {p.heater_w:4.0f} W"
    if trial.best is None:
        return line
    for name in NAMES:
        found = trial.verdicts[name]
        line += f"  {trial.ratio(name):6.3f} {found.over_c:5.2f} {found.hold_worst_c:5.2f}"
    return line


def _worst(values: Iterable[float]) -> float:
    """The greatest of those that are known."""
    return max((value for value in values if not math.isnan(value)), default=math.nan)


def _reasons(found: list[Verdict]) -> str:
    """Why batches were lost, the most frequent first."""
    ends = Counter("too hot or cold" if v.end == "complete" else v.end for v in found if v.lost)
    return "  " + ", ".join(f"{end} {count}" for end, count in ends.most_common())


def main() -> None:
    """Run the trials and print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rigs", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--hold-min", type=float, default=60.0)
    parser.add_argument("--each", action="store_true", help="a line for every rig as well")
    asked = parser.parse_args()
    begin = time.perf_counter()
    rigs = [nominal(), *random_rigs(asked.rigs, asked.seed)]
    jobs = [(rig, 60.0 * asked.hold_min, asked.seed) for rig in rigs]
    trials = []
    with ProcessPoolExecutor(asked.jobs) as pool:
        for trial in pool.map(attempt, jobs):
            trials.append(trial)
            if asked.each:
                print(one_line(trial), flush=True)
    unfit = [trial for trial in trials if trial.best is None]
    trials = [trial for trial in trials if trial.best is not None]
    best = trials[0].best
    assert best is not None
    print(f"shortest cycle of the reference rig: {best.total_s:.0f} s to the start of the hold")
    print("\n".join(table("\nreference rig", trials[:1])))
    if len(trials) > 1:
        print("\n".join(table(f"\n{len(trials) - 1} random rigs, seed {asked.seed}", trials[1:])))
    print("a lost batch counts as one that is never ready")
    refused = sum(trial.refused for trial in trials)
    print(f"{refused} identifications refused their record: those rigs keep the reference model")
    if unfit:
        print(f"{len(unfit)} rigs left out: their heater cannot melt the batch in time at all")
    print("\n" + "\n".join(cost()))
    print(f"\n{len(trials)} rigs in {time.perf_counter() - begin:.0f} s")
    spread = trials[1:] or trials
    ratios = " ".join(
        f"{quantile([trial.ratio(name) for trial in spread], 0.95):.3f}" for name in NAMES
    )
    print(f"ratio to the shortest cycle, 95th percentile ({', '.join(NAMES)}): {ratios}")


if __name__ == "__main__":
    main()
