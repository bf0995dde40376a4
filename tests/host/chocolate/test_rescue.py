"""Advice for batches that drift, are remelted or got too hot."""

from __future__ import annotations

import math

import pytest

from glossbath.chocolate.rescue import hold, overheat, remelt
from glossbath.chocolate.windows import suggest
from glossbath.errors import InputError

DARK, MILK, WHITE = suggest("dark"), suggest("milk"), suggest("white")


@pytest.mark.parametrize(
    ("celsius", "action"),
    [(30.5, "use"), (31.5, "cool"), (32.5, "cool"), (29.2, "warm"), (34.5, "again")],
)
def test_a_drifting_hold_is_brought_back(celsius: float, action: str) -> None:
    # Greweling 2007: form V does not survive above 34 °C; the window is common practice.
    assert hold(celsius, DARK).action == action


def test_every_target_of_the_advice_lies_in_a_window() -> None:
    for windows in (DARK, MILK, WHITE):
        for tenth in range(200, 400):
            made = hold(tenth / 10, windows, thicker=True)
            if made.action in ("warm", "cool"):
                assert made.to_c is not None
                assert windows.work.low_c <= made.to_c <= windows.work.high_c


def test_a_thickening_batch_is_warmed_inside_its_window() -> None:
    # Common practice, no source: half a degree at a time.
    made = hold(30.2, DARK, thicker=True)
    assert (made.action, made.to_c) == ("warm", 30.7)
    assert hold(30.9, DARK, thicker=True).action == "melt"


def test_a_long_hold_asks_for_dip_tests() -> None:
    assert "held for 4.0 h" in hold(30.5, DARK, held_s=4 * 3600).sentences()[-1]


@pytest.mark.parametrize(
    ("celsius", "good_temper", "phases"),
    [
        (20, False, ["melt", "cool", "reheat"]),
        (20, True, ["melt", "cool", "reheat"]),  # it has set: its crystals must be erased
        (28.5, True, ["reheat"]),
        (28.5, False, ["melt", "cool", "reheat"]),
        (30.5, True, []),
        (30.5, False, ["melt", "cool", "reheat"]),
        (31.8, True, []),  # dark is cooled again only above 32 °C: common practice, no source
        (32.2, True, ["melt", "cool", "reheat"]),
        (38, False, ["melt", "cool", "reheat"]),  # memory effect, van Langevelde et al. 2001
        (48, False, ["cool", "reheat"]),
    ],
)
def test_the_way_back_starts_where_the_chocolate_is(
    celsius: float, good_temper: bool, phases: list[str]
) -> None:
    made = remelt(celsius, DARK, good_temper=good_temper)
    assert [step.phase for step in made.steps] == phases
    assert len(made.sentences()) == 1 + len(phases)


@pytest.mark.parametrize(
    ("celsius", "windows", "minutes", "verdict"),
    [
        (48, DARK, 600, "unharmed"),
        (54, DARK, 60, "unharmed"),
        (66, DARK, 1, "perhaps"),
        # McGee 2004: conching runs dark at 45 to 80 °C, milk at 43 to 57 °C, for 8 to 36 h.
        (75, DARK, 600, "perhaps"),
        (55, MILK, 600, "perhaps"),
        (66, MILK, 1, "perhaps"),
        (66, MILK, 60, "lost"),
        (49, MILK, 60, "unharmed"),
        (52, MILK, 5, "perhaps"),  # culinary textbook: never above 50 °C, proteins
        # 15 K over a conche for five minutes: common practice, no source.
        (72, MILK, 5, "perhaps"),
        (73, MILK, 5, "lost"),
        (72, MILK, 6, "lost"),
        (90, DARK, 60, "lost"),
        (100, DARK, 0, "lost"),
        (52, WHITE, 5, "perhaps"),
        (70, WHITE, 30, "lost"),
    ],
)
def test_heat_is_judged_by_time_temperature_and_kind(
    celsius: float, windows: object, minutes: float, verdict: str
) -> None:
    made = overheat(celsius, windows, for_s=60 * minutes)  # type: ignore[arg-type]
    assert made.verdict == verdict
    if verdict != "unharmed":
        assert "grains" in " ".join(made.sentences())


def test_a_fahrenheit_reading_is_asked_about() -> None:
    with pytest.raises(InputError, match=r"if that is 118 °F, enter 47\.8 °C"):
        overheat(118, DARK)


def test_more_heat_is_never_kinder() -> None:
    order = ["unharmed", "perhaps", "lost"]
    for windows in (DARK, MILK, WHITE):
        ranks = [order.index(overheat(t, windows).verdict) for t in range(30, 110)]
        assert ranks == sorted(ranks)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: hold(300, DARK), "chocolate must be between 0 and 80 °C, not 300 °C"),
        (lambda: hold(88.7, DARK), r"88\.7 °F, enter 31\.5 °C"),
        (lambda: hold(31, DARK, held_s=-1), "time held must be between"),
        (lambda: remelt(math.nan, DARK), "missing number"),
        (lambda: overheat(-5, DARK), "hottest chocolate must be between"),
    ],
)
def test_input_that_cannot_be_meant_is_refused(call: object, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        call()  # type: ignore[operator]
