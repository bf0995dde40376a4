"""What a walk does to the rig when nobody is asked: the stuck line, and a person who goes away."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fast import FastLink
from rehearsal import Rehearsal, blank

from glossbath.commission import Scripted, Session, Walk
from glossbath.commission.person import Left
from glossbath.commission.steps import STEPS

PULSE_S = 2.0
"""A charge pump that works has let the relay go by then (hardware/charge_pump.py)."""


@pytest.fixture(autouse=True)
def places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("RIGS", "MODELS", "CYCLES"):
        monkeypatch.setenv(f"GLOSSBATH_{name}", str(tmp_path / name.lower()))


@pytest.fixture(scope="module")
def wired(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a rig whose wires and probes were seen to."""
    folder = tmp_path_factory.mktemp("wired")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("GLOSSBATH_RIGS", str(folder / "rigs"))
        made = Rehearsal(folder / "world", blank())
        assert not made.go(answers={"outlet-lamp": ("no",)})
        made.rig.close()
    return folder


@pytest.fixture
def rehearsal(wired: Path, tmp_path: Path) -> Iterator[Rehearsal]:
    shutil.copytree(wired / "world" / "flash", tmp_path / "world" / "flash")
    shutil.copytree(wired / "rigs", tmp_path / "rigs")
    made = Rehearsal(tmp_path / "world", blank())
    yield made
    made.rig.close()


class Leaving(Scripted):
    """A virtual person who goes away when a thing is asked for."""

    leaves_at = ""

    def act(self, code: str, line: str) -> None:
        if code == self.leaves_at:
            raise Left
        super().act(code, line)


# The board lets whoever walks away find the rig off at once: not when its lease has run out, and
# not when the program that walked with them has ended.
@pytest.mark.parametrize("leaves_at", ["arm-release", "arm-tap", "arm-tapped", "stop-release"])
def test_whoever_leaves_finds_the_rig_off(rehearsal: Rehearsal, leaves_at: str) -> None:
    person = Leaving(rehearsal.hands, rehearsal.said.append, {"identify": ("no",)})
    person.leaves_at = leaves_at
    with Session(FastLink(rehearsal.wire, rehearsal.clock), rehearsal.clock) as session:
        assert not Walk(session, person, "kitchen").run(resume=True)
        assert any("Left here" in line for line in rehearsal.said)
        session.wait(1.0)
        assert session.state in ("idle", "stopped", "tripped")
        assert rehearsal.dark
        assert rehearsal.rig.heat_share == 0.0
        assert session.since(0, "trip") == [] or leaves_at == "stop-release"


def test_the_line_really_stands_still_before_the_person_is_asked(tmp_path: Path) -> None:
    rehearsal = Rehearsal(tmp_path / "blank", blank())
    stood_s = {"now": 0.0, "longest": 0.0}
    step = rehearsal.rig.step

    def watched(*arguments: object) -> None:
        step(*arguments)
        high = rehearsal.rig.pin("relay")
        stood_s["now"] = stood_s["now"] + 0.25 if high else 0.0
        told = " ".join(rehearsal.said)
        if "relay's line high" in told and "Did the relay click out" not in told:
            stood_s["longest"] = max(stood_s["longest"], stood_s["now"])

    rehearsal.rig.step = watched  # type: ignore[method-assign]
    try:
        assert not rehearsal.go(answers={"paddle-is-off": ("no",)})
        assert rehearsal.results["pulse"].ok
        assert stood_s["longest"] >= PULSE_S
    finally:
        rehearsal.rig.close()


def test_no_proof_is_missing_from_the_walk() -> None:
    # Each is a way in which people were hurt or a batch was lost when it was not tried: see
    # safety.md. A step that goes has to go from here too.
    assert [step.code for step in STEPS] == [
        *("identity", "inputs", "outputs", "pulse", "stirrer", "probes", "calibration"),
        *(
            "electrician",
            "proof",
            "cutout",
            "second",
            "stop",
            "interlocks",
            "trips",
            "identify",
            "sign",
        ),
    ]
