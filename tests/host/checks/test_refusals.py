"""What a person reads when the board refuses an order."""

from __future__ import annotations

from glossbath.checks.refusals import refusal


def test_the_boards_own_word_is_in_the_sentence() -> None:
    answer = {"ok": 0, "why": "objection", "at": "settings", "d": "no probe bath"}
    assert "(no probe bath)" in refusal(answer)
    assert "(no word)" in refusal({**answer, "d": ""})


def test_a_number_is_shown_with_its_unit() -> None:
    hot = refusal({"ok": 0, "why": "objection", "at": "bath-hot", "d": "61000"})
    assert "61.0 °C" in hot


def test_a_word_from_the_line_is_text_and_nothing_else() -> None:
    shown = refusal(
        {"ok": 0, "why": "objection", "at": "settings", "d": "{0}\x1b[2J\n" + "x" * 500}
    )
    assert "\x1b" not in shown and "\n" not in shown
    assert len(shown) < 250


def test_chocolate_above_the_limit_is_refused_with_both_numbers_and_what_to_do() -> None:
    answer = {"why": "objection", "at": "chocolate-hot", "d": "60125", "hi": 52_000}
    assert refusal(answer) == (
        "The chocolate is 60.1 °C, above this recipe's limit of 52 °C: stir it outside the bath "
        "until it is below that, then start again. The recipe cools it from there."
    )
