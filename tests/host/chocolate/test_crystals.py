"""The integrator against closed forms; the prediction by the direction of its effects only."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glossbath.chocolate.crystals import Forecast, Kinetics, forecast, foubert, integrate
from glossbath.errors import InputError

MIN = 60.0


@pytest.mark.parametrize(
    ("most", "per_h", "order", "start_share", "at_h", "solid"),
    [
        # Foubert et al. 2002, analytic isothermal solution, evaluated in closed form.
        (70, 6.2, 4, 0.002, 0.25, 10.520635),
        (70, 6.2, 4, 0.002, 0.5, 52.755879),
        (70, 6.2, 4, 0.002, 1.0, 69.219256),
        (80, 4.0, 5, 0.0005, 0.25, 2.048494),
        (80, 4.0, 5, 0.0005, 0.5, 30.763008),
        (80, 4.0, 5, 0.0005, 1.0, 73.073518),
    ],
)
def test_the_integrator_follows_foubert(
    most: float, per_h: float, order: float, start_share: float, at_h: float, solid: float
) -> None:
    run = integrate(
        lambda _, y: [foubert(y[0], most, per_h, order)], [most * start_share], [0.0, at_h]
    )
    assert run[0][-1] == pytest.approx(solid, rel=1e-5)


def test_foubert_reaches_half_when_its_closed_form_says() -> None:
    # t(50 %) = 0.3794570 h for K 6.2, n 4, i 0.002.
    run = integrate(lambda _, y: [foubert(y[0], 70, 6.2, 4)], [0.14], [0.0, 0.3794570])
    assert run[0][-1] == pytest.approx(35, rel=1e-5)


def avrami(minutes: float, solid: float, per_min: float, order: float) -> float:
    """Rate of X = 1 - exp(-k t^n): dX/dt = n k t^(n-1) (1 - X)."""
    return float(order * per_min * minutes ** (order - 1) * (1.0 - solid))


@pytest.mark.parametrize(
    ("order", "per_min", "half_min"), [(2, 0.01, 8.325546), (3, 0.001, 8.849970)]
)
def test_the_integrator_follows_avrami(order: float, per_min: float, half_min: float) -> None:
    # t half = (ln 2 / k)^(1/n).
    run = integrate(lambda t, y: [avrami(t, y[0], per_min, order)], [0.0], [0.0, half_min])
    assert run[0][-1] == pytest.approx(0.5, abs=1e-6)


def test_avrami_after_ten_minutes() -> None:
    run = integrate(lambda t, y: [avrami(t, y[0], 0.01, 2)], [0.0], [0.0, 10.0])
    assert run[0][-1] == pytest.approx(0.6321206, abs=1e-6)


def test_nothing_grows_without_a_start_or_above_its_melting_point() -> None:
    assert foubert(0.0, 0.5, 5, 4) == 0
    assert foubert(0.1, 0.0, 5, 4) == 0


def history(*points: tuple[float, float], stir: float = 0.5, **start: float) -> Forecast:
    """A forecast along straight lines between (minutes, °C) points."""
    times = np.arange(0.0, points[-1][0] * MIN + 1, 30.0)
    celsius = np.interp(times, [p[0] * MIN for p in points], [p[1] for p in points])
    return forecast(
        times.tolist(), celsius.tolist(), [stir] * len(times),
        good_start=start.get("good", 0.0), unstable_start=start.get("unstable", 0.0),
    )  # fmt: skip


def cycle(hold_min: float = 15, stir: float = 0.5, cool_min: float = 5) -> Forecast:
    cooled = 50 + cool_min
    return history(
        (0, 46), (10, 46), (50, 28.5), (cooled, 28.5),
        (cooled + 10, 31.5), (cooled + 10 + hold_min, 31.5), stir=stir,
    )  # fmt: skip


def test_it_is_labelled_a_prediction_and_always_has_bounds() -> None:
    made = cycle()
    assert made.label == "prediction"
    assert made.sentences()[0].startswith("Prediction, not a measurement:")
    for least, middle, most in zip(made.good_least, made.good_share, made.good_most, strict=True):
        assert least <= middle <= most
    assert made.good_most[-1] > 3 * made.good_least[-1]


def test_more_time_in_the_window_gives_more_form_v() -> None:
    # Section 3: the science supports the direction, longer and more shear give more form V.
    assert cycle(hold_min=60).good_share[-1] > cycle(hold_min=10).good_share[-1]


def test_more_stirring_gives_more_form_v() -> None:
    # Dhonsi and Stapley 2006; Mazzanti et al. 2007.
    shares = [cycle(stir=stir).good_share[-1] for stir in (0.0, 0.3, 0.6, 1.0)]
    assert shares == sorted(shares)
    assert shares[-1] > 2 * shares[0]


def test_longer_cooling_gives_more_form_v() -> None:
    assert cycle(cool_min=20).good_share[-1] > cycle(cool_min=2).good_share[-1]


def test_above_thirty_four_none_survives() -> None:
    # Greweling 2007.
    made = history((0, 36), (20, 36), good=0.05, unstable=0.05)
    assert made.good_share[-1] < 1e-3
    assert made.unstable_share[-1] < 1e-3
    assert made.temper == "none"


def test_reheating_melts_the_unstable_forms_and_keeps_form_v() -> None:
    # Wille and Lutton 1966: IV melts at 27.5 °C, V at 33.8 °C.
    made = history((0, 31.5), (10, 31.5), good=0.02, unstable=0.05)
    assert made.unstable_share[-1] < 0.001
    assert made.good_share[-1] >= 0.02


def test_cooling_too_far_makes_unstable_crystals() -> None:
    # Greweling 2007: below 29 °C form IV forms alongside V.
    made = history((0, 46), (10, 46), (30, 22), (40, 22))
    assert made.temper == "unstable"
    assert made.unstable_share[-1] > made.good_share[-1]
    warm = history((0, 46), (10, 46), (30, 30), (40, 30))
    assert warm.unstable_share[-1] == 0


def test_unstable_crystals_turn_into_form_v_in_time() -> None:
    short = history((0, 27), (10, 27), unstable=0.05, stir=0.0)
    long = history((0, 27), (240, 27), unstable=0.05, stir=0.0)
    assert long.good_share[-1] > short.good_share[-1]


def test_melted_chocolate_has_no_crystals() -> None:
    made = history((0, 20), (15, 46), (40, 46), good=0.6, unstable=0.1)
    assert made.temper == "none"
    assert made.agreed


def test_a_user_may_set_the_rates() -> None:
    times, warm, stir = [0.0, 600.0, 1200.0], [28.0, 28.0, 28.0], [0.5, 0.5, 0.5]
    slow = forecast(times, warm, stir, Kinetics(good_per_h=0.1, good_nuclei_per_h=0.0001))
    fast = forecast(times, warm, stir, Kinetics(good_per_h=5.0, good_nuclei_per_h=0.005))
    assert fast.good_share[-1] > slow.good_share[-1]


@settings(max_examples=25, deadline=None)
@given(
    temps=st.lists(st.floats(5, 60), min_size=2, max_size=8),
    stir=st.floats(0, 1),
    good=st.floats(0, 0.5),
    unstable=st.floats(0, 0.5),
)
def test_shares_stay_shares(temps: list[float], stir: float, good: float, unstable: float) -> None:
    times = [300.0 * i for i in range(len(temps))]
    made = forecast(times, temps, [stir] * len(temps), good_start=good, unstable_start=unstable)
    for a, b in zip(made.good_share, made.unstable_share, strict=True):
        assert 0 <= a <= 1
        assert 0 <= b <= 1
        assert a + b <= 1 + 1e-6


@pytest.mark.parametrize(
    ("times", "celsius", "stir", "sentence"),
    [
        ([], [], [], "temperature history is empty"),
        ([0.0, 60.0], [30.0, 300.0], [0.5, 0.5], "between 0 and 80 °C, but is 300 °C at 60 s"),
        ([0.0, 60.0], [30.0, 30.0], [0.5, 1.5], "stirring history must stay between 0 and 1"),
        ([0.0, 60.0], [30.0, float("nan")], [0.5, 0.5], "is nan °C"),
        ([0.0, 3600.0], [30.0, 30.0], [0.5, 0.5], "gap of 3600 s"),
    ],
)
def test_histories_that_cannot_be_used_are_refused(
    times: list[float], celsius: list[float], stir: list[float], sentence: str
) -> None:
    with pytest.raises(InputError, match=sentence):
        forecast(times, celsius, stir)


def test_starts_that_cannot_be_meant_are_refused() -> None:
    with pytest.raises(InputError, match="unstable forms at the start must be between 0 and 40 %"):
        forecast([0.0, 60.0], [30.0, 30.0], [0.5, 0.5], good_start=0.6, unstable_start=0.5)


@pytest.mark.parametrize("rate", [-1.0, float("nan"), 1e9])
def test_rates_that_cannot_be_meant_are_refused(rate: float) -> None:
    with pytest.raises(InputError, match="rate 'good_per_h' must be between 0 and 1000"):
        forecast([0.0, 60.0], [30.0, 30.0], [0.5, 0.5], Kinetics(good_per_h=rate))
