"""A person asks for the next phase: the real firmware goes exactly one on."""

from __future__ import annotations

from pathlib import Path

from world import world

from glossbath.recipe import load

NAMES = [phase.name for phase in load("dark").phases]


def test_each_request_goes_exactly_one_phase_on(tmp_path: Path) -> None:
    with world(tmp_path, fast=True) as rig:
        rig.start_heating()
        for at, name in enumerate(NAMES[1:], 1):
            reply = rig.ask("step")
            assert reply.ok, reply.text
            rig.run(3)
            reading = rig.readings()[-1]
            assert (reading.phase_index, reading.phase) == (at, name)
            assert reading.state == "running"
        assert [event.code for event in rig.events("phase")][-len(NAMES) :] == NAMES
        reply = rig.ask("step")
        assert reply.ok
        assert reply.text == "That was the last phase: the cycle is complete."
        rig.run(3)
        assert rig.state == rig.result == "complete"
        assert rig.rig.heat_share == 0.0
