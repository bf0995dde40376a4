"""The thinned past: nothing that was ever seen is lost from its lowest and highest."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from glossbath.chocolate.phase import Window
from glossbath.view.trend import Trend

from .fake_keeper import reading

WINDOW = Window(28.0, 29.0)


@given(st.lists(st.floats(0.0, 60.0), min_size=1, max_size=300), st.integers(2, 40))
def test_extremes_stay_and_memory_is_bounded(values: list[float], most: int) -> None:
    trend = Trend(most=most)
    for second, value in enumerate(values):
        trend.add(reading(float(second), value), WINDOW)
    assert len(trend.columns) <= most
    lows = [c.chocolate.low_c for c in trend.columns if c.chocolate.low_c is not None]
    highs = [c.chocolate.high_c for c in trend.columns if c.chocolate.high_c is not None]
    assert (min(lows), max(highs)) == (min(values), max(values))


def test_a_short_spike_shows_in_a_long_cycle() -> None:
    trend = Trend(most=100)
    for second in range(20_000):
        trend.add(reading(float(second), 40.0 if second == 7777 else 31.0), WINDOW)
    column = max(trend.columns, key=lambda c: c.chocolate.high_c or 0.0)
    assert column.chocolate.high_c == 40.0
    assert column.time_s <= 7777 < column.time_s + trend.span_s


def test_times_stay_in_order_and_the_whole_cycle_is_there() -> None:
    trend = Trend(most=50)
    for second in range(1000):
        trend.add(reading(float(second)), None)
    times = [column.time_s for column in trend.columns]
    assert times == sorted(set(times))
    assert times[0] == 0.0
    assert times[-1] + trend.span_s > 999


def test_a_missing_value_is_no_value() -> None:
    trend = Trend()
    trend.add(reading(0.0, None), None)
    assert trend.columns[0].chocolate.low_c is None
    trend.add(reading(0.2, 30.0), None)
    assert trend.columns[0].chocolate.low_c == 30.0


def test_since_joins_columns_without_changing_them() -> None:
    trend = Trend(most=500)
    for second in range(400):
        trend.add(reading(float(second), 30.0 + second / 100), WINDOW)
    few = trend.since(200.0, 25)
    assert len(few) <= 25
    assert few[-1].chocolate.high_c == 33.99
    assert len(trend.columns) == 400
    assert trend.columns[200].chocolate.high_c == 32.0
