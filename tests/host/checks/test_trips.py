"""What a trip says to a person: every code has its sentences, and numbers have a person's unit."""

from __future__ import annotations

import pytest

from glossbath.checks import trips
from glossbath_board.cutoffs import Cutoff
from glossbath_board.reading import FAULTS
from glossbath_board.supervisor import CUTOFFS


@pytest.mark.parametrize("code", [row.code for row in CUTOFFS])
@pytest.mark.parametrize("detail", ["", "12345", "crc", "limit bath-hot"])
def test_every_cut_off_of_the_board_has_its_own_sentences(code: str, detail: str) -> None:
    assert code in trips.codes()
    happened, rig_did, do_now = trips.meaning(code, detail)
    for sentence in (happened, rig_did, do_now):
        assert sentence[0].isupper() and sentence.endswith(".")
        assert not set("{}") & set(sentence)
    assert "A cut-off named" not in happened


@pytest.mark.parametrize(
    ("code", "detail", "shown"),
    [
        ("chocolate-hot", "52063", "(52.1 °C)"),
        ("bath-hot", "60500", "(60.5 °C)"),
        ("body-apart", "35375", "(35.4 °C)"),
        ("stir-stalled", "1199", "(1199 mA)"),
        ("supply-low", "9499", "(9.5 V)"),
        ("settings", "limit bath-hot", "(limit bath-hot)"),
        ("files", "mixed", "(mixed)"),
        ("firmware", "control MemoryError", "(control MemoryError)"),
    ],
)
def test_numbers_and_words_of_a_trip_are_shown(code: str, detail: str, shown: str) -> None:
    assert shown in trips.meaning(code, detail)[0]


@pytest.mark.parametrize("probe", ["chocolate", "bath", "body"])
def test_a_probes_fault_is_told_in_words(probe: str) -> None:
    told = {trips.meaning(f"probe-{probe}", fault)[0] for fault in (*FAULTS, "too cold")}
    assert len(told) == len(FAULTS) + 1
    assert all(f"The {probe} probe cannot be trusted: it" in sentence for sentence in told)


@pytest.mark.parametrize("row", CUTOFFS, ids=lambda row: row.code)
def test_a_number_is_shown_in_the_unit_of_its_cut_off(row: Cutoff) -> None:
    happened = trips.meaning(row.code, "1500")[0]
    shown = {"m°C": "(1.5 °C)", "mV": "(1.5 V)", "mA": "(1500 mA)"}
    others = [text for unit, text in shown.items() if unit != row.unit]
    assert not any(text in happened for text in others)


def test_a_number_without_a_unit_is_not_shown_as_a_temperature() -> None:
    assert "°C" not in trips.meaning("lease", "7000")[0]
    assert "°C" not in trips.meaning("overrun", "4")[0]


def test_an_unknown_code_is_still_a_sentence() -> None:
    happened, _, do_now = trips.meaning("brand-new", "7")
    assert happened == "A cut-off named brand-new tripped."
    assert do_now
