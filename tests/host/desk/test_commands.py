"""Every command of the desk: sentences, JSON, and one sentence for what it refuses."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from glossbath.cli.desk import app
from glossbath.desk import BY_NAME, batch

RUNNER = CliRunner()

SUMS = {
    # OpenStax College Physics m42224: 59.1 °C.
    "mix 0.25@20@4186 0.5@150@900": "comes to 59.1 °C",
    # OpenStax College Physics m42225: 13.3 °C.
    "mix 0.25@20@4186 --ice 0.018": "comes to 13.3 °C",
    # By hand: 45 to 27 °C, 3 kg water and 3 kg crock, 0.614 kg of ice.
    "ice --from 45 --to 27 --water-kg 3": "0.61 kg of ice",
    "ice --from 45 --to 27 --water-kg 3 --crock-kg 0": "Or 4.5 kg of water at 15 °C",
    # By hand: 16 910 J/K, 250 W, 2 W/K: 38.7 min.
    "heater --watts 250 --from 20 --to 50 --water-kg 3 --kg 1": "250 W take 39 min to bring",
    # By hand: 50 to 27 °C by loss alone in 3.4 h.
    "cooling --from 50 --to 27 --water-kg 3 --kg 1": "It takes 205 min to bring",
    "heat --kg 1 --fat 29.3 --from 20 --to 50 --water-kg 3 --crock-kg 3": "It takes 552 kJ",
    "batch --kg 1 --water-kg 3 --watts 250": "ready to use after",
    "batch --kg 1 --water-kg 5 --crock-l 5": "will run over a crock",
    "batch --kg 1 --chocolate 65": "let it cool to 50 °C first, stirred",
    "windows": "Work at 30 to 31 °C",
    "windows --kind white": "Work at 28 to 29 °C",
    "windows --cocoa 55 --cocoa-butter 33 --sugar 41 --milk 3 --milk-fat 3": "(an estimate)",
    "legal-names --cocoa 36 --cocoa-butter 27 --sugar 41 --milk 22 --milk-fat 6": (
        'It may be called "milk chocolate" (Codex'
    ),
}
WORK = {
    "seed --kg 2 --at 33.5": "Stir in 212 g of tempered chocolate at 33.5 °C",
    "seed --kg 2 --at 33.5 --butter": "Stir in 20 g of cocoa butter seed",
    "seed --kg 2 --at 40": "the seed would be lost",
    "slab --kg 3 --at 38": "Pour out 2.00 kg (67 %)",
    "slab-mix --slab 28 --kept 45": "go round again",
    "slab-mix --slab 27 --kept 38": "make a dip test before you use it",
    "hold --at 30.5": "30.5 °C is in its window",
    "hold --at 30.2 --thicker --held 240": "warm it to 30.7 °C",
    "hold --at 29 --work 28.5 29.5": "29 °C is in its window",
    "remelt --at 48": "It is fully melted",
    "overheated --at 66 --minutes 60 --kind milk": "Do not mould it",
    "overheated --at 66 --minutes 1": "probably sound",
    "seized --water bath": "Discard the batch",
    "seized --water drinking": "may become something else",
    "dip --set-after 4": "It set clean in 4 min",
    # 77.80 kJ/kg from 32 to 12 °C, by hand (1590 J/(kg K) and 46 kJ/kg).
    "mould --kg 2 --thickness 8 --chocolate 32 --fat 29.3": "It gives off 156 kJ",
    "batch --kg 1 --room 30 --rh 70": "The room's dew point is 23.9 °C",
    "formula liquor=6@9.5 butter=1@12 sugar=3@1.2 --bar 80": "Cocoa 70.0 %, of it cocoa butter "
    "42.4",
    "food-safety --at 45 --minutes 720": "0.20 powers of ten",
    "store --coolest 18 --warmest 30": "fat bloom comes in weeks",
    "label sugar=43 whole-milk-powder=22 cocoa-butter=20 cocoa-mass=15": "WHOLE MILK POWDER, "
    "cocoa",
    "seed-block --kg 2 --at 45": "Chop",
    "dip --streaks": "not in temper",
    "dip-clock --elapsed 2": "within the next 3 min",
    # psychrolib and CoolProp: 16.70 °C.
    "room --room 25 --rh 60": "dew point at 16.7 °C",
    "sweat --chocolate 5 --room 25 --rh 60": "will sweat",
    "dry --volume 50 --room 25 --rh 60": "must lose 0.18 l of water once",
    "dry --volume 50 --room 21 --rh 60 --outside 2 --outside-rh 80": "open the window",
    "bloom rough haze refrigerator days --dip-good": "1. Sugar bloom",
    "bloom dull thick --warmest 31.5 --held 240 --rh 45": "1. It had too many crystals",
    "bloom --words": "rough: the white feels rough or sandy",
}


def told(line: str, *more: str) -> tuple[str, dict[str, Any]]:
    """Output of a command as text and as JSON."""
    words = [*line.split(), *more]
    text = RUNNER.invoke(app, words)
    assert text.exit_code == 0, text.output
    found = RUNNER.invoke(app, [*words, "--json"])
    assert found.exit_code == 0, found.output
    return text.stdout, json.loads(found.stdout)


def refused(line: str, *more: str) -> str:
    """The one sentence with which a command refuses."""
    result = RUNNER.invoke(app, [*line.split(), *more])
    assert result.exit_code == 2
    assert result.stdout == ""
    (sentence,) = result.stderr.splitlines()
    assert sentence.startswith("glossbath: ")
    return sentence


@pytest.mark.parametrize(("line", "words"), [*SUMS.items(), *WORK.items()])
def test_a_command_says_the_same_to_people_and_programs(line: str, words: str) -> None:
    text, values = told(line)
    assert words in text
    assert values.pop("sentences") == text.splitlines()
    assert values
    assert not {"line", "lines"} & set(values)


@pytest.fixture
def files(tmp_path: Path) -> dict[str, str]:
    """CSV files as a cycle's record has them."""

    def written(name: str, header: str, rows: list[str]) -> str:
        path = tmp_path / f"{name}.csv"
        path.write_text("\n".join([header, *rows]) + "\n", "utf-8")
        return str(path)

    seeded = [
        f"{t},{33.5 - (2 * (1 - math.exp(-(t - 200) / 20)) if t > 200 else 0)}"
        for t in range(0, 600, 2)
    ]
    current = [f"{t},{200 if t < 300 else 450},0.5" for t in range(600)]
    newton = [f"{t},{10 + 22 * math.exp(-t / 180)}" for t in range(480)]
    cooling = [32 - 8 * (1 - math.exp(-t / 50)) - 0.012 * t for t in range(480)]
    bent = [
        f"{t},{celsius + 0.7 * (1 + math.tanh((t - 200) / 50))}"
        for t, celsius in enumerate(cooling)
    ]
    history = [f"{t},{46 if t < 600 else 28.5},0.5" for t in range(0, 3600, 30)]
    cycles = [f"invented dark,{'good' if i < 6 else 'bad'},{31 + i / 10}" for i in range(12)]
    slopes = ["-0.1,good", "0.0,good", "0.15,good", "0.9,under", "-0.7,over"]
    return {
        "seeded": written("seeded", "time_s,chocolate_c", seeded),
        "current": written("current", "time_s,stir_ma,stir_share", current),
        "newton": written("newton", "time_s,chocolate_c", newton),
        "bent": written("bent", "time_s,chocolate_c", bent),
        "history": written("history", "time_s,chocolate_c,stir_share", history),
        "cycles": written("cycles", "chocolate,good,hold_c", cycles),
        "slopes": written("slopes", "slope_c_per_min,judged", slopes),
        "lots": written(
            "lots",
            "from,to",
            [
                "bean-7,batch-3",
                "sugar-1,batch-3",
                "batch-3,bars-1",
                "batch-3,bars-2",
                "bean-8,batch-4",
                "batch-4,bars-3",
            ],
        ),
        "empty": written("empty", "time_s,chocolate_c", []),
        "gap": written("gap", "time_s,chocolate_c", [*newton[:100], *newton[200:]]),
        "word": written("word", "time_s,chocolate_c", ["0,30", "1,warm"]),
    }


FILES = {
    "seed-check {seeded} --asked-at 200 --kg 2 --at 33.5": "The seed was added",
    "seized {current}": "water may have got in",
    "curve {newton}": "no inflection",
    "curve {bent}": "The curve bends at",
    "curve {bent} --over-below -0.6 --under-above 0.6": "well tempered",
    "calibrate {slopes}": "from 3 good, 1 under-tempered and 1 over-tempered samples",
    "crystals {history}": "Prediction, not a measurement",
    "learn {cycles}": "6 of 12 batches set well",
    "learn {cycles} --tests": "6 of 12 good (50 %, Wilson 95 % interval 25 to 75 %)",
    "trace {lots} --lot bean-7": "To call back for bean-7: bars-1, bars-2.",
}


@pytest.mark.parametrize(("line", "words"), FILES.items())
def test_commands_read_files(files: dict[str, str], line: str, words: str) -> None:
    more = ["--chocolate", "invented dark"] if line.startswith("learn") else []
    text, values = told(line.format(**files), *more)
    assert words in text
    assert values["sentences"] == text.splitlines()


def test_every_command_is_tried_here() -> None:
    tried = {line.split()[0] for line in (*SUMS, *WORK, *FILES)}
    assert tried == set(BY_NAME)


REFUSED = {
    "heat --kg -1 --from 20 --to 45": "--kg: The chocolate must be between 0.01 and 100 kg, not",
    "heat --kg 1 --fat 0.36 --from 20 --to 45": "not 0.36 %; did you mean 36 %?",
    "heat --kg nan --from 20 --to 45": "0.01 and 100 kg, not a missing number.",
    "seed --kg 2 --at 92": "if that is 92 °F, enter 33.3 °C.",
    "seed --kg 2 --at 33 --work 32 31": "working window must start below its end",
    "heater --watts 50 --from 20 --to 60 --water-kg 3": "is never reached",
    "mix 1": "'1' is not a part of a mixture: write kg@°C",
    "mix 1@warm": "'1@warm' is not a part",
    "mix 1@120 1@60": (
        "water must be between 0 and 100 °C, not 120 °C; if that is 120 °F, enter 48.9 °C."
    ),
    "legal-names": "a name is judged by what is in it.",
    "windows --cocoa 70": "Give --cocoa, --cocoa-butter and --sugar together",
    "windows --cocoa 90 --cocoa-butter 50 --sugar 40": "add up to 130 %",
    "curve {newton} --under-above 0.3": "Give --over-below and --under-above together",
    "dry --volume 50 --room 25 --rh 60 --outside 5": "--outside-rh in % together",
    "bloom": "Say at least one thing that you see",
    "bloom purple": "'purple' is not a known sign",
    "batch --kg 1 --ready noon": "'noon' is not a time to be ready",
    "batch --kg 1 --ready 99:99": "'99:99' is not a time to be ready",
    "batch --kg 1 --ready 2001-01-01T10:00": "must lie after now",
    "formula honey=1": "'honey=1' is not an ingredient: write name=kg",
    "label sugar": "'sugar' is not an ingredient: write name=mass",
    "store": "Give --coolest and --warmest in °C",
    "seed-block --kg 1 --at 33": "it is cool enough for seed already",
    "curve {empty}": "cooling curve is empty",
    "curve {gap}": "has a gap of 101 s after 99 s",
    "curve {word}": "line 3: 'warm' in column 'chocolate_c' is not a number.",
    "curve {newton} --column room_c": "has no column 'room_c': its header line names time_s,",
    "curve nowhere.csv": "There is no file nowhere.csv.",
    "trace {lots} --lot bean-9": "The lot 'bean-9' is not written down; known are bars-1,",
    "calibrate {cycles}": "has no column 'slope_c_per_min'",
    "learn {slopes} --chocolate x": "has no column 'chocolate'",
    "learn --cycles nowhere": "There is no folder nowhere: give the folder that holds",
    "heat --kg 1 --from 20 --to -5 --water-kg 3": "water's end must be between 0 and 100 °C",
    "dip --set-after 12": "within the 10 min it was watched, not after 12 min.",
    "dry --volume 50 --room 25 --rh 60 --outside 95 --outside-rh 50": (
        "air outside must be between -30 and 50 °C, not 95 °C; if that is 95 °F, enter 35.0 °C."
    ),
    "heat --kg one --from 20 --to 45": "'one' is not a number: type the chocolate in kg, 0.01",
    "hold --at 31 --cool 28 x": "'28 x' is not a window: type two numbers in °C",
    "windows --kind purple": "The kind of chocolate must be dark, milk or white, not 'purple'.",
    # What Typer itself refuses.
    "heat --from 20 --to 45": "Missing option '--kg'",
    "heat --kg 1 --from 20 --to 45 --bogus": "No such option: --bogus: see",
    "nonsense": "No such command 'nonsense': see",
}


@pytest.mark.parametrize(("line", "words"), REFUSED.items())
def test_bad_input_is_one_sentence_and_exit_code_two(
    files: dict[str, str], line: str, words: str
) -> None:
    assert words in refused(line.format(**files))


def test_files_that_are_no_tables_are_refused(tmp_path: Path) -> None:
    binary = tmp_path / "picture.csv"
    binary.write_bytes(bytes(range(256)) * 4)
    assert "cannot be read as a CSV file" in refused("curve", str(binary))
    assert "cannot be read as a CSV file" in refused("curve", str(tmp_path))
    nothing = tmp_path / "nothing.csv"
    nothing.write_text("")
    assert "its header line names nothing" in refused("curve", str(nothing))
    spreadsheet = tmp_path / "spreadsheet.csv"
    spreadsheet.write_text("time_s;chocolate_c\n0;32,5\n")
    assert "save it with commas between the columns" in refused("curve", str(spreadsheet))
    latin = tmp_path / "latin.csv"
    latin.write_bytes("time_s,°C\n".encode("latin-1"))
    assert "byte 8 is no UTF-8 text; save it as CSV in UTF-8." in refused("curve", str(latin))


def test_a_curve_in_fahrenheit_is_refused_with_a_hint(tmp_path: Path) -> None:
    path = tmp_path / "fahrenheit.csv"
    # 32 °C are 89.6 °F, by definition of the scale.
    path.write_text("time_s,chocolate_c\n" + "".join(f"{t},89.6\n" for t in range(200)))
    assert "89.6 °C at 0 s; if that is in °F, give it in °C." in refused("curve", str(path))


def test_frozen_chocolate_needs_no_water_above_freezing() -> None:
    text, _ = told("heat --kg 1 --from -10 --to 20")
    assert text.startswith("It takes 48 kJ")  # 1 kg x 1590 J/(kg K) x 30 K


def test_a_batch_below_its_cooling_window_is_melted_again() -> None:
    _, values = told("hold --at 12")
    assert values["action"] == "melt"


def test_winter_air_dries_a_kitchen() -> None:
    text, _ = told("dry --volume 50 --room 21 --rh 60 --outside -5 --outside-rh 80")
    assert "Outside air is drier than that: open the window." in text


def test_tap_water_warmer_than_the_aim_is_told() -> None:
    text, _ = told("ice --from 48 --to 27 --water-kg 4 --cold-water 30")
    assert "Water at 30 °C is too warm to cool it to 27 °C." in text


def test_results_must_be_yes_or_no(tmp_path: Path) -> None:
    path = tmp_path / "cycles.csv"
    path.write_text("chocolate,good,hold_c\ndark,perhaps,31\n")
    assert "line 2: 'perhaps' in column 'good' must be yes or no" in refused(
        "learn", str(path), "--chocolate", "dark"
    )
    path.write_text("chocolate,good,hold_c\ndark,yes,31,9\n")
    assert "line 2: it has more cells than the header" in refused(
        "learn", str(path), "--chocolate", "dark"
    )


def test_rows_with_empty_cells_are_left_out(files: dict[str, str], tmp_path: Path) -> None:
    path = tmp_path / "faulty.csv"
    path.write_text(Path(files["newton"]).read_text().replace("\n5,", "\n4.5,\n5,"))
    text, _ = told("curve", str(path))
    assert "no inflection" in text


def test_a_time_to_be_ready_is_read_from_the_kitchen_clock(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(batch, "clock", lambda: datetime(2031, 3, 1, 20, 0))
    line = "batch --kg 1 --ready"
    _, evening = told(line, "23:30")
    assert evening["start"]["ready_at"] == "2031-03-01T23:30:00"
    assert evening["start"]["in_time"]
    _, morning = told(line, "07:00")
    assert morning["start"]["ready_at"] == "2031-03-02T07:00:00"
    text, late = told(line, "2031-03-01T20:30")
    assert not late["start"]["in_time"]
    assert "may be too late for 2031-03-01 20:30" in text


def test_it_works_the_same_under_another_command() -> None:
    outer = typer.Typer()

    @outer.command()
    def other() -> None:
        """Something else."""

    outer.add_typer(app, name="desk")
    good = RUNNER.invoke(outer, ["desk", "windows"])
    assert good.exit_code == 0
    bad = RUNNER.invoke(outer, ["desk", "room", "--room", "20", "--rh", "120"])
    assert bad.exit_code == 2
    assert len(bad.stderr.splitlines()) == 1
    wrong = RUNNER.invoke(outer, ["desk", "room", "--bogus"])
    assert wrong.exit_code == 2
    assert len(wrong.stderr.splitlines()) == 1


def test_starting_loads_no_arithmetic() -> None:
    script = "import sys, glossbath.cli.desk; print(*sorted(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    loaded = {name.split(".")[0] for name in done.stdout.split()}
    assert not loaded & {"numpy", "scipy", "psychrolib", "msgspec"}


def test_a_bath_beside_the_chocolate_is_taken_into_account(tmp_path: Path) -> None:
    # Chocolate that cools with its bath: by itself the curve hides the fall of the seed.
    rows, chocolate_c = [], 40.0
    for second in range(900):
        falls = 0.9 / 20 * math.exp(-(second - 400) / 20) if second > 400 else 0.0
        chocolate_c += (28.0 - chocolate_c) / 330 - falls
        rows.append(f"{second},{chocolate_c:.3f},28.0")
    path = tmp_path / "readings.csv"
    path.write_text("\n".join(["time_s,chocolate_c,bath_c", *rows]) + "\n")
    _, values = told(f"seed-check {path} --asked-at 400 --kg 1 --at 31.6 --work 29 30")
    assert values["verdict"] == "added"
    assert values["seen_drop_c"] == pytest.approx(0.9, abs=0.1)
