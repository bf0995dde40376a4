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


DARK = ((0, 48), (10, 48), (35, 28.7), (45, 28.4), (55, 30.5))
"""Melted, cooled to its window, held there and reheated, as the built-in dark recipe asks."""


@pytest.mark.parametrize("hold_h", [1, 4, 8])
@pytest.mark.parametrize("to_c", [29.5, 30.5, 31.5])
def test_a_batch_that_was_never_cooled_is_not_in_temper(to_c: float, hold_h: float) -> None:
    # Marangoni and McGauley 2003, abstract: form V never comes directly from the melt, only by
    # way of the lower forms; Greweling 2007: form IV forms below 29 °C.
    made = history((0, 48), (10, 48), (40, to_c), (40 + 60 * hold_h, to_c))
    assert made.temper in ("none", "under")
    assert made.fastest in ("none", "under")


def test_the_textbook_cycle_held_for_four_hours_is_not_called_over() -> None:
    made = history(*DARK, (55 + 240, 30.5), stir=0.4)
    assert made.temper in ("good", "unknown")
    assert made.good_share[-1] > 270e-6  # Kinta and Hartel 2010: what temper needs.


def test_hours_of_vigorous_stirring_lead_towards_over() -> None:
    # McGee 2004: too much time or stirring over-tempers.
    made = history((0, 31.5), (360, 31.5), stir=1.0, good=0.02)
    assert made.good_share[-1] > 0.06
    assert made.fastest == "over"
    assert made.slowest in ("good", "over")
    assert made.good_least[-1] > 0.02


def test_at_rest_the_lower_forms_last_for_hours_and_shear_turns_them_in_minutes() -> None:
    # Marangoni and McGauley 2003, abstract: beta' is stable for 10 h at 24 °C and for weeks below
    # 15 °C. Dhonsi and Stapley 2006: at 23 °C more shear gives higher-melting forms.
    rest = history((0, 24), (300, 24), stir=0.0)
    assert rest.unstable_share[-1] > rest.good_share[-1]
    days = history((0, 24), (2400, 24), stir=0.0)
    assert days.good_share[-1] > days.unstable_share[-1]
    cold = history((0, 14), (60, 14), stir=0.0)
    assert cold.temper == "unstable"
    sheared = [history((0, 23), (60, 23), stir=stir) for stir in (0.0, 0.3, 1.0)]
    part = [one.good_share[-1] / one.unstable_share[-1] for one in sheared]
    assert part == sorted(part)
    assert part[0] < 1 < part[-1]


def test_where_rates_disagree_nothing_is_claimed() -> None:
    made = history(*DARK, (55 + 240, 30.5), stir=0.4)
    assert made.temper == "unknown"
    assert "not enough is known" in made.sentences()[0]
    assert made.sentences()[-1] == "Only a dip test tells."


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


STILL = {"good_per_h": 0.0, "unstable_per_h": 0.0, "unstable_nuclei_per_h": 0.0}


def test_unstable_crystals_turn_into_form_v_in_time() -> None:
    times = [600.0 * each for each in range(25)]
    warm, still = [27.0] * 25, [0.0] * 25
    # Nothing is born: what becomes of the crystals that are there is all there is.
    turning = Kinetics(**STILL, turn_per_h=0.1)
    made = forecast(times, warm, still, turning, good_start=0.01, unstable_start=0.05)
    assert made.unstable_share[-1] < made.unstable_share[6] < 0.05
    assert made.good_share[-1] > made.good_share[6] > 0.01
    kept = [good + bad for good, bad in zip(made.good_share, made.unstable_share, strict=True)]
    assert kept == pytest.approx([0.06] * 25, rel=1e-3)
    lasting = Kinetics(**STILL, turn_per_h=0.0)
    same = forecast(times, warm, still, lasting, good_start=0.01, unstable_start=0.05)
    assert same.unstable_share[-1] == pytest.approx(0.05, rel=1e-6)


def test_melted_chocolate_has_no_crystals() -> None:
    made = history((0, 20), (15, 46), (40, 46), good=0.6, unstable=0.1)
    assert made.temper == made.slowest == made.fastest == "none"


def test_a_user_may_set_the_rates() -> None:
    times, warm, stir = [0.0, 600.0, 1200.0], [28.0, 28.0, 28.0], [0.5, 0.5, 0.5]
    slow = forecast(times, warm, stir, Kinetics(good_per_h=0.1, turn_per_h=0.01))
    fast = forecast(times, warm, stir, Kinetics(good_per_h=5.0, turn_per_h=1.0))
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
