"""Rigs whose bath comes back late: led ahead of the chocolate, it must turn in time."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from chain import Chain, project

sys.path.append(str(Path(__file__).parent.parent / "bench"))

from random_kitchens import kitchen

_LEARNED = [343, 7951, 1256, 266902, 4244, 1397, 29133, 749]
"""What one cycle showed of this rig, as the board is told it: watts, J/K, lateness in ms,
conductances in mW/K, trust in permille."""


@pytest.mark.parametrize("values", [None, _LEARNED], ids=["unknown", "learned"])
def test_a_bath_that_comes_back_late_does_not_take_the_chocolate_out_of_its_window(
    values: list[int] | None,
) -> None:
    """0.4 kg in 1.5 kg of water, with 380 W and ice for a larger rig."""
    seed = 4
    found = kitchen(seed)
    program = found.program(600.0)
    run = Chain(
        found.plant("distributed"),
        program,
        project(values),
        seed=seed,
        noise_c=found.probe_noise_c,
        tau_s=found.probe_tau_s,
    )
    assert run.run(4 * 3600.0).end == "complete"
    cool = next(phase for phase in program.phases if phase.name == "cool")
    assert min(run.trace.of("cool")) >= cool.low_mc / 1000
