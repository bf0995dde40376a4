"""Temperatures, spans of time and fault words as a person reads them."""

from __future__ import annotations

import pytest

from glossbath.words import (
    FAULT_SENTENCES,
    Degrees,
    between,
    between_short,
    clock,
    duration,
    fault_sentence,
    one_line,
)
from glossbath_board.reading import FAULTS


# NIST SP 811 (2008), B.8: temperature in °F is 1.8 times the one in °C plus 32; by that the ice
# point is 32 °F, the steam point 212 °F and the scales meet at -40.
@pytest.mark.parametrize(("celsius", "text"), [(0.0, "32.0"), (100.0, "212.0"), (-40.0, "-40.0")])
def test_fahrenheit(celsius: float, text: str) -> None:
    assert Degrees(fahrenheit=True).number(celsius) == text


def test_a_difference_has_no_offset() -> None:
    assert Degrees(fahrenheit=True).span(10.0) == "18.0 °F"
    assert Degrees().span(-0.5) == "0.5 °C"


def test_a_missing_temperature_is_never_a_number() -> None:
    assert Degrees().text(None) == "--.- °C"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (None, "unknown"),
        (0.0, "0 s"),
        (89.0, "89 s"),
        (90.0, "2 min"),
        (480.0, "8 min"),
        (3569.0, "59 min"),
        (3599.0, "1 h 00 min"),
        (3900.0, "1 h 05 min"),
        (-5.0, "0 s"),
    ],
)
def test_duration(seconds: float | None, text: str) -> None:
    assert duration(seconds) == text


@pytest.mark.parametrize(
    ("low_s", "high_s", "words", "short"),
    [
        (480.0, 720.0, "8 to 12 min", "8–12 min"),
        (3000.0, 4800.0, "50 min to 1 h 20 min", "0:50–1:20 h"),
        (3900.0, 7800.0, "1 h 05 min to 2 h 10 min", "1:05–2:10 h"),
        (20.0, 50.0, "20 to 50 s", "0–1 min"),
        (20.0, 300.0, "1 to 5 min", "0–5 min"),
        (595.0, 605.0, "about 10 min", "about 10 min"),
    ],
)
def test_a_time_that_is_known_from_low_to_high(
    low_s: float, high_s: float, words: str, short: str
) -> None:
    assert between(low_s, high_s) == words
    assert between_short(low_s, high_s) == short


def test_clock() -> None:
    assert clock(2530.9) == "0:42:10"
    assert clock(36_061) == "10:01:01"


def test_every_fault_word_of_the_board_is_explained() -> None:
    assert set(FAULT_SENTENCES) == set(FAULTS)
    assert fault_sentence("melted") == "reports 'melted'"


def test_text_from_elsewhere_cannot_break_a_line_or_ring_a_bell() -> None:
    assert one_line("added\n 10 g\x07\x1b[31m seed") == "added 10 g [31m seed"
