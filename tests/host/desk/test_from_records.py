"""The desk reads cycles' folders: why it turned white, what went with good results.

The cycles are invented.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from glossbath.chocolate import bloom
from glossbath.cli.desk import app, ask
from glossbath.client.messages import Event, Reading
from glossbath.desk import BY_NAME
from glossbath.desk.cycles import bloom_record, learnable
from glossbath.forms.signs import Signs
from glossbath.keeper.cycle_writer import CycleHeader, CycleWriter
from glossbath.recipe import load

RUNNER = CliRunner()
STARTED_NS = 1_800_000_000_000_000_000
WALL = "2027-01-15T08:00:00.000Z"


def record(
    folder: Path,
    cool_c: float = 28.5,
    hold_c: float = 30.5,
    dips: list[str] | None = None,
    virtual: bool = True,
    seized: bool = False,
    lot: str = "",
) -> Path:
    """A short cycle whose cool and hold phases are at these temperatures."""
    header = CycleHeader(
        "bench", virtual, "invented", "b1", "0", load("dark"), STARTED_NS, 1.0, lot
    )
    writer = CycleWriter(folder, header)
    warmth = {"melt": 48.0, "soak": 48.0, "cool": cool_c, "reheat": 30.5, "hold": hold_c}
    for index, (phase, celsius) in enumerate(warmth.items()):
        for second in range(0, 600, 30):
            at_s = index * 600.0 + second
            writer.reading(_reading(at_s, celsius, phase, index), int(at_s * 1000), "1", 0, 0)
    for at, result in enumerate(dips or []):
        writer.event(Event(2500.0 + at, WALL, "test", "dip", "dip", {"result": result}))
    if seized:
        writer.event(Event(2000.0, WALL, "alarm", "seized", "It seized."))
    writer.finish("complete", STARTED_NS + 10**12)
    assert writer.close()
    return writer.folder


def _reading(at_s: float, celsius: float, phase: str, index: int) -> Reading:
    return Reading(
        time_s=at_s, wall=WALL, chocolate_c=celsius, bath_c=celsius, body_c=celsius,
        target_c=celsius, bath_target_c=celsius, heat_share=0.0, chill_share=0.0, stir_share=0.6,
        state="running", phase=phase, phase_index=index, phase_elapsed_s=0.0, phase_left_s=None,
        cycle_left_s=None, room_c=24.0, room_rh_percent=64.0,
    )  # fmt: skip


def test_a_record_gives_what_a_diagnosis_needs(tmp_path: Path) -> None:
    folder = record(tmp_path, dips=["out of temper", "in temper", "not sure"], seized=True)
    found, windows = bloom_record(folder)
    assert found == bloom.Record(
        coolest_c=28.5, warmest_c=30.5, held_s=570.0, dip_good=True, room_c=24.0, rh_share=0.64,
        seized=True,
    )  # fmt: skip
    # The windows are those of its recipe, not those of the books.
    assert windows is not None
    assert (windows.work.low_c, windows.work.high_c) == (30.0, 31.0)


def test_a_record_turns_the_diagnosis(tmp_path: Path) -> None:
    never_cooled = record(tmp_path, cool_c=30.5)
    with_it = RUNNER.invoke(app, ["bloom", "dull", "soft", "--cycle", str(never_cooled), "--json"])
    causes = json.loads(with_it.stdout)["causes"]
    assert causes[0]["name"] == "under-tempered"
    assert (
        "the record shows that it never cooled to its cooling window"
        in (causes[0]["evidence_for"])
    )


def test_what_a_person_says_goes_before_the_record(tmp_path: Path) -> None:
    words = ["bloom", "dull", "--cycle", str(record(tmp_path, cool_c=30.5)), "--coolest", "28.4"]
    text = RUNNER.invoke(app, words).stdout
    assert "never cooled" not in text


def test_a_folder_that_is_no_cycle_is_refused(tmp_path: Path) -> None:
    result = RUNNER.invoke(app, ["bloom", "dull", "--cycle", str(tmp_path)])
    assert result.exit_code == 1
    assert "is not the folder of a cycle" in result.stderr


def test_questions_are_asked_one_after_the_other() -> None:
    asked: list[str] = []

    def answer(question: str) -> str:
        asked.append(question)
        yes = ("the surface is dull", "as soon as it had set", "in a refrigerator")
        return "y" if any(words in question for words in yes) else ""

    signs = BY_NAME["bloom"].fields[0]
    assert isinstance(signs, Signs)
    assert ask(signs, answer) == ["dull", "at_once", "refrigerator"]
    assert asked[0] == "Is it so that the surface is dull? "
    # Once it is known when it showed, the other times are not asked for.
    assert not any("after some weeks" in question for question in asked)


def test_learning_takes_tested_cycles_of_one_kind_of_rig(tmp_path: Path) -> None:
    record(tmp_path, dips=["in temper"])
    record(tmp_path, dips=["out of temper"], hold_c=32.0)
    record(tmp_path)
    record(tmp_path, dips=["in temper"], virtual=False)
    cycles, left_out = learnable(tmp_path, virtual=True)
    assert sorted(cycle.good for cycle in cycles) == [False, True]
    good = next(cycle for cycle in cycles if cycle.good)
    assert good.chocolate == "Dark"
    assert good.settings == pytest.approx(
        {"melt_highest_c": 48.0, "cool_lowest_c": 28.5, "hold_mean_c": 30.5, "cool_min": 9.5}
    )
    assert left_out == [
        "Left out: cycles without a clear dip test, 1 of them.",
        "Left out: cycles of real rigs, 1 of them.",
    ]


def test_learn_compares_only_predictions_that_were_sure(tmp_path: Path) -> None:
    record(tmp_path, dips=["in temper"])
    words = ["learn", "--cycles", str(tmp_path), "--chocolate", "Dark", "--virtual"]
    text = RUNNER.invoke(app, words).stdout
    assert text.startswith("Dark: 1 of 1 batches set well.")
    assert "No dip test has been compared with a prediction that was sure" in text
    only_real = RUNNER.invoke(app, words[:-1]).stdout
    assert "There is no cycle of 'Dark' yet." in only_real


@pytest.mark.parametrize("both", [[], ["x.csv", "--cycles", "."]])
def test_learn_wants_one_source(both: list[str]) -> None:
    result = RUNNER.invoke(app, ["learn", *both])
    assert result.exit_code == 2
    assert "Give a CSV file or --cycles" in result.stderr


def test_a_lot_is_followed_through_a_recorded_cycle(tmp_path: Path) -> None:
    folder = record(tmp_path / "cycles", lot="mass-12")
    links = tmp_path / "lots.csv"
    links.write_text(f"from,to\nbean-7,mass-12\n{folder.name},bars-1\n")
    words = ["trace", str(links), "--lot", "bean-7", "--cycles", str(tmp_path / "cycles")]
    text = RUNNER.invoke(app, words).stdout
    assert f"bean-7 went into: mass-12, {folder.name}, bars-1." in text
    assert "To call back for bean-7: bars-1." in text
    words[3] = "bars-1"
    assert f"bars-1 was made of: {folder.name}, mass-12, bean-7." in (
        RUNNER.invoke(app, words).stdout
    )
