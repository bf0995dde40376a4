"""Whole cycles under the firmware's control, judged by the chocolate's true temperature.

The chain of the bench stands for the virtual rig; one test holds it against the real firmware.
Limits are the project's own aims.
"""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path

import pytest
from direct import direct

sys.path.append(str(Path(__file__).parent.parent / "bench"))

from chain import Chain, Trace, project
from rigs import Rig, nominal, program_for, random_rigs
from shortest import shortest
from verdict import judge

from glossbath_board.model import FIELDS, Model

HOLD_S = 1800.0
LONGEST_S = 10 * 3600.0
MODELS = ("measured", "reference")


def run(rig: Rig, model: str) -> Trace:
    values = rig.model_values() if model == "measured" else None
    return Chain(rig.plant(), program_for(rig, HOLD_S), project(values)).run(LONGEST_S)


def test_reference_rig_is_near_the_shortest_cycle_and_lands_softly() -> None:
    rig = nominal()
    program = program_for(rig, HOLD_S)
    trace = run(rig, "measured")
    verdict = judge(trace, program)
    best = shortest(rig, program, 20.0)
    assert best is not None
    assert not verdict.lost
    assert verdict.ready_s <= 1.10 * best.total_s
    assert verdict.over_c <= 0.2
    assert verdict.under_c <= 0.2
    assert verdict.hold_p95_c <= 0.1
    assert verdict.hold_worst_c <= 0.2
    soak = trace.of("soak")
    assert min(soak[60:]) >= 46.0 and max(soak) <= 50.0


@pytest.mark.parametrize("model", MODELS)
@pytest.mark.parametrize("rig", random_rigs(4, 11), ids=lambda rig: rig.name)
def test_random_rig_loses_no_batch(rig: Rig, model: str) -> None:
    verdict = judge(run(rig, model), program_for(rig, HOLD_S))
    assert not verdict.lost, verdict
    assert verdict.over_c <= (0.3 if model == "measured" else 0.5)


def test_heater_and_pump_do_not_work_against_each_other() -> None:
    trace = run(nominal(), "measured")
    hold = [at for at, phase in enumerate(trace.phase) if phase == "hold"]
    for at, phase in enumerate(trace.phase):
        assert trace.heat_share[at] == 0.0 or trace.chill_share[at] == 0.0, phase
    sides = [
        1 if trace.heat_share[at] else -1
        for at in hold
        if trace.heat_share[at] or trace.chill_share[at]
    ]
    turns = sum(before != after for before, after in pairwise(sides))
    assert turns <= 6


def test_chain_agrees_with_the_real_firmware_on_the_virtual_rig(tmp_path: Path) -> None:
    program = program_for(nominal(), 120.0)
    trace = Chain(nominal().plant(), program, project(None)).run(LONGEST_S)
    entered: dict[str, float] = {}
    highest: dict[str, float] = {}
    with direct(tmp_path) as board:
        board.heat(program)
        begin_ms = board.rig.now_ms
        while board.state == "running":
            name = program.phases[board.reading["ph"]].name
            celsius = board.rig.plant.chocolate_c
            entered.setdefault(name, (board.rig.now_ms - begin_ms) / 1000)
            highest[name] = max(highest.get(name, celsius), celsius)
            board.step()
        assert board.state == "complete"
    for name, at_s in entered.items():
        assert at_s == pytest.approx(trace.entered_s[name], rel=0.01, abs=20.0)
    for name in ("soak", "reheat", "hold"):
        assert highest[name] == pytest.approx(max(trace.of(name)), abs=0.1)


def test_board_takes_a_model_at_rest_and_repeats_what_it_applied(tmp_path: Path) -> None:
    values = list(Model().values)
    values[0] = 180
    with direct(tmp_path) as board:
        board.until(lambda: bool(board.reading), 5)
        assert board.ask("model", v=values)["v"] == values
        refused = board.ask("model", v=[FIELDS[0][2] + 1, *values[1:]])
        assert not refused["ok"]
        assert (refused["at"], refused["lo"], refused["hi"]) == FIELDS[0][:3]
        board.heat("dark")
        assert board.ask("model", v=values)["why"] == "state"
