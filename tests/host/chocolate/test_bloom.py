"""Causes of white, dull or stuck chocolate, on cases with the cause a chocolatier would name."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from glossbath.chocolate.bloom import Record, diagnose, record_words, table
from glossbath.chocolate.windows import suggest
from glossbath.errors import InputError

CASES = tomllib.loads(Path(__file__).with_name("bloom_cases.toml").read_text("utf-8"))["case"]


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c['first']}: {' '.join(c['see'])}")
def test_the_first_cause_is_the_one_named_by_the_trade(case: dict[str, Any]) -> None:
    found = diagnose([*case["see"], *case["record"]])
    assert found.causes[0].name == case["first"], [(c.name, c.score) for c in found.causes]
    assert found.causes[0].score > found.causes[1].score if len(found.causes) > 1 else True
    assert case["source"]


def test_the_table_uses_only_words_it_explains() -> None:
    known = table().phrases()
    for cause in table().cause:
        assert set(cause.weights) <= set(known), cause.name
        assert cause.source
        assert cause.next_time.endswith(".")
    used = {word for cause in table().cause for word in cause.weights}
    assert used == set(known)


def test_evidence_against_is_told_as_well() -> None:
    found = diagnose(["soft", "streaks", "dip_good"])
    under = next(c for c in found.causes if c.name == "under-tempered")
    assert "the dip test was good" in under.evidence_against
    assert under.evidence_for[0] == "it is soft and melts on the fingers at once"


def test_touch_parts_sugar_from_fat() -> None:
    # Oxford index and encyclopedia: sugar crystals on the surface, against fat.
    assert diagnose(["haze", "rough"]).causes[0].name == "sugar bloom"
    assert diagnose(["haze", "smooth", "weeks"]).causes[0].name != "sugar bloom"


def test_close_causes_are_called_close() -> None:
    found = diagnose(["dull"])
    assert not found.clear
    assert found.sentences()[-1].startswith("The first two lie close together")
    assert diagnose(["thick", "crumbly", "seized"]).clear


def test_sentences_rank_explain_and_help() -> None:
    lines = diagnose(["rough", "haze", "refrigerator", "days", "dip_good"]).sentences()
    assert lines[0].startswith("1. Sugar bloom: water on the surface")
    assert "the white feels rough or sandy" in lines[0]
    assert any(line.strip().startswith("Next time: Let cold chocolate warm up") for line in lines)


def test_a_record_is_read_in_the_words_of_the_table() -> None:
    dark = suggest("dark")
    good = Record(coolest_c=28.4, warmest_c=31.2, dip_good=True, rh_share=0.45, mould_c=21)
    assert record_words(good, dark) == ["cooled_well", "worked_well", "dip_good", "room_dry"]
    bad = Record(
        coolest_c=30, warmest_c=33, held_s=4 * 3600, dip_good=False, room_c=27,
        rh_share=0.7, mould_c=15, seized=True,
    )  # fmt: skip
    assert record_words(bad, dark) == [
        "not_cooled", "worked_warm", "held_long", "dip_bad", "room_warm",
        "room_damp", "mould_cold", "seized",
    ]  # fmt: skip
    assert record_words(Record(coolest_c=26, mould_c=30), dark) == ["too_cold", "mould_warm"]
    assert record_words(Record(), dark) == []
    # Between its window and the 32 °C that other sources allow, nothing is said.
    assert record_words(Record(warmest_c=31.8), dark) == []


def test_a_record_follows_the_kind_of_chocolate() -> None:
    assert record_words(Record(warmest_c=31.8), suggest("white")) == ["worked_warm"]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ([], "Say at least one thing that you see: dull, streaks"),
        (["weeks"], "Say at least one thing"),
        (["purple"], "'purple' is not a known sign: choose from dull"),
        (["rough", "smooth"], "exclude each other"),
        (["dull", "days", "weeks"], "'days' and 'weeks' exclude each other"),
    ],
)
def test_signs_that_cannot_be_used_are_refused(words: list[str], sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        diagnose(words)


@pytest.mark.parametrize(
    ("record", "sentence"),
    [
        (Record(rh_share=1.2), "humidity must be between 0 and 100 %, not 120 %"),
        (Record(coolest_c=83), r"83 °F, enter 28\.3 °C"),
        # Both would pass for °C if more than 60 °C were believed.
        (Record(coolest_c=65), r"65 °F, enter 18\.3 °C"),
        (Record(warmest_c=65), r"65 °F, enter 18\.3 °C"),
        (Record(warmest_c=300), "not 300 °C"),
        (Record(held_s=-1), "time held must be between"),
        (Record(mould_c=70), r"70 °F, enter 21\.1 °C"),
    ],
)
def test_records_that_cannot_be_meant_are_refused(record: Record, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        record_words(record, suggest("dark"))


def test_every_sign_is_drawn_small_and_no_two_alike() -> None:
    known = table()
    assert set(known.drawing) == set(known.signs)
    assert len(set(known.drawing.values())) == len(known.signs)
    for drawing in known.drawing.values():
        assert drawing.isascii()
        assert len(drawing.splitlines()) <= 4
        assert max(map(len, drawing.splitlines())) <= 16
