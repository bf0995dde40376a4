"""The hazard analysis is complete: every part, every silent failure, every trip and test."""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from glossbath.checks import trips, words

sys.path.insert(0, str(Path(__file__).parents[2]))

from hardware import wiring
from hardware.wiring import HERE

Row = dict[str, Any]
LAYERS = {
    "RCD",
    "fuse",
    "earth",
    "insulation",
    "thermostat",
    "second thermostat",
    "master relay",
    "solid-state relay",
    "stop button",
    "guard",
    "board",
    "host",
    "person",
}
# The parts that a layer is made of: when one of them fails dangerously, that layer is not there.
MADE_OF = {
    "RCD": {"RCD1"},
    "thermostat": {"TS1", "BAND1"},
    "second thermostat": {"TS2", "BAND2"},
    "guard": {"GUARD1"},
    "stop button": {"S2"},
}

VARIANTS = {variant: wiring.load(variant=variant).parts for variant in wiring.VARIANTS}
PARTS = VARIANTS["box"] | VARIANTS["ready"]
HAZARDS: dict[str, Any] = tomllib.loads((HERE / "hazards.toml").read_text(encoding="utf-8"))
SINGLES: list[Row] = HAZARDS["single"]
USES: list[Row] = HAZARDS["use"]
PAIRS: list[Row] = HAZARDS["pair"]
BY_ID = {row["id"]: row for row in SINGLES}


def headings(name: str, kind: str) -> dict[str, str]:
    """Test id -> its section's text, from a guide."""
    text = (HERE / name).read_text(encoding="utf-8")
    found = re.split(rf"^### ({kind}-\d+) .*$", text, flags=re.MULTILINE)
    return dict(zip(found[1::2], found[2::2], strict=True))


PROOFS = headings("care.md", "PT")
FIRSTS = headings("first-board.md", "FB")


def missing_parts(rows: list[Row], parts: set[str]) -> list[str]:
    """A sentence for each part without a failure, and for each unknown part."""
    named = {name for row in rows for name in row["parts"]}
    return [f"{name} has no row in hazards.toml; add how it fails" for name in parts - named] + [
        f"{name} in hazards.toml is no part of wiring.toml; correct it" for name in named - parts
    ]


def unpaired(rows: list[Row], pairs: list[Row]) -> list[str]:
    """A sentence for each silent failure without a pair, and each pair after a loud one."""
    silent = {row["id"] for row in rows if row["silent"]}
    first = {pair["first"] for pair in pairs}
    alone = [f"{name} is silent and has no pair; add what fails next" for name in silent - first]
    return alone + [
        f"the pair after {name} is not needed: {name} is not silent" for name in first - silent
    ]


def lost_layers(pair: Row) -> set[str]:
    """The layers that the two failures of a pair have taken away."""
    broken = {
        name
        for end in (pair["first"], pair["second"])
        if BY_ID[end]["silent"]
        for name in BY_ID[end]["parts"]
    }
    return {layer for layer, parts in MADE_OF.items() if parts & broken}


def test_every_part_has_a_failure_thought_through() -> None:
    assert missing_parts(SINGLES, set(PARTS)) == []


def test_a_new_part_without_a_failure_is_found() -> None:
    found = missing_parts(SINGLES, set(PARTS) | {"K9"})
    assert found == ["K9 has no row in hazards.toml; add how it fails"]


def test_a_failure_of_a_part_that_is_gone_is_found() -> None:
    found = missing_parts(SINGLES, set(PARTS) - {"K1"})
    assert found == ["K1 in hazards.toml is no part of wiring.toml; correct it"]


def test_every_silent_failure_has_a_pair_and_no_other_has() -> None:
    assert unpaired(SINGLES, PAIRS) == []


def test_a_silent_failure_without_a_pair_is_found() -> None:
    rest = [pair for pair in PAIRS if pair["first"] != "thermostat-stuck"]
    assert unpaired(SINGLES, rest) == [
        "thermostat-stuck is silent and has no pair; add what fails next"
    ]
    loud = [row | {"silent": False} if row["id"] == "bleed-open" else row for row in SINGLES]
    assert unpaired(loud, PAIRS) == [
        "the pair after bleed-open is not needed: bleed-open is not silent"
    ]


@pytest.mark.parametrize("row", SINGLES + USES, ids=lambda row: row["id"])
def test_a_row_is_whole(row: Row) -> None:
    keys = {"id", "mode", "effect", "detection", "layer", "test"}
    extra = {"parts", "silent"} if row in SINGLES else set()
    assert set(row) - {"trip"} == keys | extra
    assert row["effect"].endswith(".")
    assert row["layer"] and set(row["layer"]) <= LAYERS
    assert set(row.get("trip", [])) <= {*trips.codes(), *words.codes()}
    assert row["test"]
    assert set(row["test"]) <= set(HAZARDS["tests"]) | set(PROOFS) | set(FIRSTS)


def test_every_layer_says_what_becomes_of_it_where_mains_stays_closed() -> None:
    rows = HAZARDS["layer"]
    assert [row["name"] for row in rows] == sorted(LAYERS, key=[r["name"] for r in rows].index)
    assert {row["name"] for row in rows} == LAYERS
    build = (HERE / "build.md").read_text(encoding="utf-8")
    for row in rows:
        assert row["ready"] in ("kept", "other", "lost")
        assert f"| {row['name']} | {row['ready']} | {row['text']} |" in build


def test_what_a_layer_is_made_of_agrees_with_the_wiring_of_each_variant() -> None:
    told = {row["name"]: row["ready"] for row in HAZARDS["layer"]}
    box, ready = (wiring.load(variant=variant) for variant in ("box", "ready"))
    for layer, name in (("thermostat", "TS1"), ("second thermostat", "TS2")):
        assert box.cuts(name, "L_wall", "L_load")
        # In the ready variant it takes the live away from nothing, only the inputs' 12 V.
        assert (told[layer] == "lost") == (not ready.cuts(name, "L_wall", "L_out"))
        assert ready.cuts(name, "12v_raw", "12v_coil")
    for layer, kind in (("master relay", "relay"), ("solid-state relay", "ssr"), ("RCD", "rcd")):
        kept = any(ready.cuts(name, "L_wall", "L_out") for name in ready.of_kind(kind))
        assert (told[layer] == "kept") == kept


def test_ids_are_used_once() -> None:
    ids = [row["id"] for row in SINGLES + USES]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize(
    "row", [row for row in SINGLES if row["silent"]], ids=lambda row: row["id"]
)
def test_a_silent_failure_has_a_proof_test_with_an_interval(row: Row) -> None:
    proofs = [name for name in row["test"] if name in PROOFS]
    assert proofs, f"{row['id']} is silent: name a proof test of care.md"
    for name in proofs:
        assert re.search(r"\*\*Every (\d+ )?(day|month|year)", PROOFS[name]), name


@pytest.mark.parametrize(
    "row", [row for row in SINGLES if not row["silent"]], ids=lambda row: row["id"]
)
def test_a_loud_failure_says_who_hears_it(row: Row) -> None:
    assert not row["detection"].startswith("none")
    heard = row.get("trip") or re.search(r"person|RCD|board|USB", row["detection"])
    assert heard, f"{row['id']}: name the trip code or the person who notices"


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: f"{pair['first']}+{pair['second']}")
def test_behind_a_pair_something_still_stands(pair: Row) -> None:
    assert set(pair) == {"first", "second", "effect", "layer"}
    assert pair["second"] in BY_ID
    assert pair["layer"] and set(pair["layer"]) <= LAYERS
    standing = set(pair["layer"]) - lost_layers(pair)
    assert standing == set(pair["layer"]), f"it relies on what failed: {lost_layers(pair)}"


def test_a_pair_that_relies_on_what_failed_is_found() -> None:
    pair = {"first": "thermostat-stuck", "second": "second-thermostat-stuck"}
    assert lost_layers(pair) == {"thermostat", "second thermostat"}


def test_every_proof_test_and_first_check_is_for_something() -> None:
    used = {name for row in SINGLES + USES for name in row["test"]}
    assert set(PROOFS) <= used
    named = set(re.findall(r"FB-\d+", (HERE / "first-board.md").read_text(encoding="utf-8")))
    assert named == set(FIRSTS)


def test_every_trip_that_guards_heat_appears() -> None:
    # What remains is about time, the computer's lease and the program's own health.
    named = {code for row in SINGLES + USES for code in row.get("trip", [])}
    assert set(trips.codes()) - named <= {"lease", "run-time", "overrun", "record-lost"}
