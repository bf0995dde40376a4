"""Which points the trend draws."""

from __future__ import annotations

import pytest

from glossbath.client.messages import Message
from glossbath.view.chart import Chart, chart, tick_label, time_ticks
from glossbath.view.rig_view import RigView

from .fake_keeper import reading, snapshot


def drawn(*messages: Message, cells: int = 70, fahrenheit: bool = False) -> Chart:
    view = RigView(fahrenheit)
    view.fold(messages, 0.0)
    return chart(view, cells)


def test_few_points_whatever_the_length_of_the_cycle() -> None:
    readings = [reading(float(second), 31.0 + second % 2) for second in range(7000)]
    picture = drawn(snapshot(history=[]), *readings)
    assert sum(map(len, picture.chocolate)) <= 2 * 70
    assert len(picture.target) <= 70


def test_everything_lies_inside_the_picture() -> None:
    picture = drawn(snapshot(), reading())
    runs = [*picture.chocolate, *picture.bath, picture.target, *picture.window, picture.forecast]
    points = [point for run in runs for point in run]
    assert min(t for t, _ in points) >= picture.times_s[0]
    assert max(t for t, _ in points) <= picture.times_s[1]
    assert min(v for _, v in points) >= picture.values[0]
    assert max(v for _, v in points) <= picture.values[1]


def test_the_window_of_each_phase_is_where_it_held() -> None:
    picture = drawn(snapshot(), reading())
    lows, highs = (dict(edge) for edge in picture.window)
    assert {lows[t] for t in lows if t < 1700} == {46.0}
    assert {highs[t] for t in highs if t > 1900} == {29.0}


def test_the_forecast_begins_now_and_is_no_longer_than_the_past() -> None:
    told = [(float(t), 30.0) for t in range(0, 100_000, 100)]
    picture = drawn(snapshot(forecast=told), reading(2530.0))
    times = [t for t, _ in picture.forecast]
    assert min(times) >= 2530.0
    assert max(times) <= 2 * 2530.0


def test_a_gap_in_the_readings_is_a_gap_in_the_line() -> None:
    values = [30.0, 30.1, None, None, 30.2]
    readings = [reading(float(second), value) for second, value in enumerate(values)]
    picture = drawn(snapshot(history=[], forecast=[]), *readings)
    assert [len(run) for run in picture.chocolate] == [2, 1]


def test_fahrenheit() -> None:
    picture = drawn(snapshot(), reading(), fahrenheit=True)
    assert picture.window[0][-1][1] == pytest.approx(82.4)
    assert 70.0 < picture.values[0] < picture.values[1] < 140.0


def test_an_empty_view_gives_an_empty_picture() -> None:
    picture = drawn()
    assert picture.chocolate == []
    assert picture.times_s[0] < picture.times_s[1]
    assert picture.values[0] < picture.values[1]


def test_a_steady_temperature_is_not_blown_up() -> None:
    readings = [reading(float(s), 30.5, bath_c=30.6, target_c=30.5) for s in range(60)]
    low, high = drawn(snapshot(history=[], forecast=[], phases=[]), *readings).values
    assert high - low >= 3.99


@pytest.mark.parametrize("span_s", [60.0, 600.0, 3600.0, 7200.0, 90_000.0])
def test_time_ticks_are_round_and_few(span_s: float) -> None:
    ticks = time_ticks((130.0, 130.0 + span_s), 63)
    assert len(ticks) <= 7
    assert all(tick % 60 == 0 and 130.0 <= tick <= 130.0 + span_s for tick in ticks)
    assert len({tick_label(tick) for tick in ticks}) == len(ticks)


def test_tick_labels() -> None:
    assert tick_label(5400.0) == "1:30"
