"""How much water a bath holds, and when to switch on."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from glossbath.chocolate.level import water_advice
from glossbath.chocolate.schedule import Start, start
from glossbath.errors import InputError

NOW = datetime(2031, 3, 1, 6, 0, tzinfo=UTC)


def ready(hours: float, most_s: float | None = 6000.0) -> Start:
    return start(4800.0, most_s, NOW + timedelta(hours=hours), NOW)


def test_water_advice_knows_the_crock() -> None:
    assert len(water_advice(1, 3, 6)) == 1
    # 85 % of 7 l less 2 kg of chocolate at 1.2 kg/l.
    assert "fill at most 4.3 l" in water_advice(2, 5, 7)[1]
    assert "no room" in water_advice(6, 3, 5)[1]
    assert "is little" in water_advice(4, 2, None)[1]
    assert "is much" in water_advice(0.5, 4, None)[1]


def test_starting_at_the_said_time_is_in_time_even_at_the_long_end() -> None:
    answer = ready(6.0)
    assert answer.in_time
    assert answer.start_at + timedelta(seconds=6000.0) == answer.ready_at == answer.ready_until
    assert answer.sentences()[0].startswith("Switch on at 2031-03-01 10:20")


def test_too_late_says_when_it_will_be_ready_instead() -> None:
    answer = ready(1.0)
    assert not answer.in_time
    assert answer.start_at == NOW
    assert answer.ready_from > answer.ready_at
    assert "too late for 2031-03-01 07:00" in answer.sentences()[0]


def test_a_plan_without_an_end_says_so() -> None:
    assert ready(6.0, None).ready_until is None
    assert "perhaps never" in ready(6.0, None).sentences()[0]


def test_implausible_times_are_refused() -> None:
    with pytest.raises(InputError, match="must lie after now"):
        start(60.0, 90.0, NOW - timedelta(minutes=1), NOW)
    with pytest.raises(InputError, match="time zone"):
        start(60.0, 90.0, datetime(2031, 3, 1, 12), NOW)
