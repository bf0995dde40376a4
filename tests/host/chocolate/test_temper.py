"""The dip test and its clock."""

from __future__ import annotations

import math

import pytest

from glossbath.chocolate.temper import DipResult, clock, judge
from glossbath.errors import InputError


def judged(
    set_after_s: float | None,
    *,
    watched_s: float = 600,
    streaks: bool = False,
    dull: bool = False,
    room_c: float = 20,
) -> DipResult:
    return judge(set_after_s, watched_s=watched_s, streaks=streaks, dull=dull, room_c=room_c)


def test_sets_within_five_minutes_without_streaks_is_in_temper() -> None:
    # Common practice, no source: three to five minutes at 18 to 22 °C.
    for seconds in (180, 300):
        assert judged(seconds).result == "in temper"
    assert judged(301).result == "out of temper"
    assert judged(240).sentences() == ["It set clean in 4 min: it is in temper."]


def test_streaks_are_out_of_temper_however_fast_it_set() -> None:
    # McGee: chocolate out of temper turns powdery or grainy.
    assert judged(120, streaks=True).result == "out of temper"


def test_not_set_after_many_minutes_is_out_of_temper_and_before_that_unsure() -> None:
    # McGee: out of temper takes many minutes.
    assert judged(None).result == "out of temper"
    early = judged(None, watched_s=120)
    assert early.result == "not sure"
    assert "another 3 min" in early.sentences()[0]


def test_dull_but_fast_is_not_called() -> None:
    assert judged(150, dull=True).result == "not sure"


def test_an_early_verdict_asks_to_look_again_for_streaks() -> None:
    # Common practice, no source: streaks by ten minutes.
    assert "Look again in 6 min" in judged(240, watched_s=240).sentences()[1]


@pytest.mark.parametrize(
    ("room_c", "set_after_s", "result"),
    [
        (27, None, "not sure"),  # a hot room alone delays setting
        (12, 200, "not sure"),  # a cold room sets anything fast
        (27, 240, "in temper"),  # set in time in spite of the heat
        (12, None, "out of temper"),  # not set in spite of the cold
    ],
)
def test_a_room_outside_the_range_weakens_only_what_it_could_fake(
    room_c: float, set_after_s: float | None, result: str
) -> None:
    made = judged(set_after_s, room_c=room_c)
    assert made.result == result
    assert "repeat the test there" in made.sentences()[-1]


def test_the_clock_says_when_to_look() -> None:
    assert clock(100, 160).until_set_s == 240
    assert clock(100, 160).sentences() == ["Leave it: it should set within the next 4 min."]
    late = clock(100, 500)
    assert (late.until_set_s, late.until_streaks_s) == (0, 200)
    assert "streaks in 3 min 20 s" in late.sentences()[0]
    assert clock(0, 900).sentences()[0].startswith("Look at it now")


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: clock(200, 100), "time since the dip must be between 0 and 86400 s, not -100 s"),
        (lambda: judged(700), "within the 10 min it was watched, not after 11.6667 min"),
        (lambda: judged(math.nan), "not after nan min"),
        (lambda: judged(200, watched_s=0), "time watched must be between"),
        (lambda: judged(200, room_c=70), r"70 °F, enter 21\.1 °C"),
    ],
)
def test_input_that_cannot_be_meant_is_refused(call: object, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        call()  # type: ignore[operator]


def test_a_dip_that_sets_at_once_is_a_sign_of_over_tempering() -> None:
    # Common practice, no source.
    made = judge(22, watched_s=600, streaks=False, dull=False, room_c=20)
    assert made.result == "not sure"
    assert "sign of over-tempering" in made.sentences()[0]
