"""A cycle that begins where the chocolate is, on the real firmware.

Chocolate that kept its temper and only cooled needs warming; anything else is melted fully, since
crystals leave their memory (van Langevelde et al. 2001).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from world import World, world

from glossbath.recipe import dump, load
from glossbath.record import open_cycle
from glossbath.virtual.virtual import Options


def bowl(celsius: float, **more: float) -> Options:
    """A bowl that stands in a bath of its own temperature."""
    warm = {"chocolate_c": celsius, "bath_c": celsius, "body_c": celsius}
    return Options(begin={**warm, **more})


def start(rig: World, **more: bool) -> str:
    """Ask for a remelt; gives the keeper's words."""
    rig.run(3)
    text = dump(load("dark").with_hold(300))
    reply = rig.ask("start", recipe=text, where="dark", batch_kg=1.0, remelt=True, **more)
    assert reply.ok, reply.text
    return " ".join(event.text for event in rig.events("order"))


@pytest.mark.parametrize(
    ("celsius", "in_temper", "phases"),
    [
        (28.6, True, ["reheat", "hold"]),
        (31.8, True, ["hold"]),
        (47.5, False, ["soak", "cool", "reheat", "hold"]),
    ],
)
def test_a_remelt_completes_from_where_the_chocolate_is(
    tmp_path: Path, celsius: float, in_temper: bool, phases: list[str]
) -> None:
    solid = 0.02 if in_temper else 0.0
    with world(tmp_path, bowl(celsius, stable_share=solid), fast=True) as rig:
        said = start(rig, in_temper=in_temper)
        assert f"This cycle runs {', '.join(phases)}." in said
        # Nothing that safety needs is left out: a hand must arm it, and the switches are tested.
        seen: list[str] = []

        def ended() -> bool:
            snapshot = rig.keeper.snapshot()
            if not seen or seen[-1] != snapshot.state:
                seen.append(snapshot.state)
            return bool(snapshot.result)

        rig.until(ended, 4 * 3600)
        assert rig.result == "complete"
        assert not rig.events("trip")
        assert "waiting" in seen
        assert seen.index("waiting") < seen.index("testing") < seen.index("running")
        folder = rig.keeper.snapshot().folder
        # Dark chocolate above 32 °C has to be cooled again: common practice, no source.
        if in_temper:
            hottest = [r.chocolate_c for r in rig.readings() if r.chocolate_c is not None]
            assert max(hottest) <= 32.0
    summary = open_cycle(folder).summary()
    assert [phase["name"] for phase in summary["phases"]] == phases


def test_without_a_probe_a_remelt_is_refused(tmp_path: Path) -> None:
    with world(tmp_path, bowl(30.0), fast=True) as rig:
        rig.rig.chips["chocolate"].inject("absent")
        rig.run(10)
        text = dump(load("dark").with_hold(300))
        reply = rig.ask("start", recipe=text, where="dark", batch_kg=1.0, remelt=True)
        assert not reply.ok
        assert "gives no temperature" in reply.text
        assert rig.state != "running"
