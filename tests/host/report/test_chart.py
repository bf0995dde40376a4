"""The control chart against a published worked example, and each rule on a run made for it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from glossbath.report.chart import individuals

# NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, flow rates of ten batches and the
# limits printed there (from memory; the arithmetic 50.81 ± 3 · 1.8778 / 1.128 confirms them).
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]


def test_limits_of_the_handbook_example() -> None:
    chart = individuals(FLOW)
    assert chart.centre == pytest.approx(50.81, abs=0.001)
    assert chart.high == pytest.approx(55.8041, abs=0.001)
    assert chart.low == pytest.approx(45.8159, abs=0.001)
    assert chart.signals == ()


@pytest.mark.parametrize(
    ("rule", "run"),
    [
        (1, [0.0, 0.1] * 8 + [2.0]),
        (2, [-0.5, 0.5] * 6 + [0.4, 0.5] * 5),
        (3, [0.0, 0.3] * 6 + [0.0, 0.05, 0.1, 0.15, 0.2, 0.25]),
        (4, [0.0, 0.2] * 7),
    ],
)
def test_rule_is_found(rule: int, run: list[float]) -> None:
    assert rule in {signal[0] for signal in individuals(run).signals}


def test_too_few_cycles_say_nothing() -> None:
    chart = individuals([30.5, 30.6, 39.0])
    assert not chart.enough
    assert chart.signals == ()


Run = np.ndarray[tuple[int], np.dtype[np.float64]]
NELSON: dict[int, tuple[int, Callable[[Run], bool]]] = {
    # L. S. Nelson, Journal of Quality Technology 16:237 (1984), over distances in sigmas.
    1: (1, lambda z: bool((np.abs(z) > 3).all())),
    2: (9, lambda z: bool((z > 0).all() or (z < 0).all())),
    3: (6, lambda z: bool((np.diff(z) > 0).all() or (np.diff(z) < 0).all())),
    4: (14, lambda z: bool((np.diff(z)[1:] * np.diff(z)[:-1] < 0).all())),
    5: (3, lambda z: max((z > 2).sum(), (z < -2).sum()) >= 2),
    6: (5, lambda z: max((z > 1).sum(), (z < -1).sum()) >= 4),
    7: (15, lambda z: bool((np.abs(z) < 1).all())),
    8: (8, lambda z: bool((np.abs(z) > 1).all())),
}


def unusual(values: Run) -> set[tuple[int, int]]:
    """Each rule and the last place of a run that it calls unusual, by its definition."""
    z = (values - values.mean()) / (np.abs(np.diff(values)).mean() / 1.128)
    return {
        (rule, last)
        for rule, (length, met) in NELSON.items()
        for last in range(length - 1, len(z))
        if met(z[last + 1 - length : last + 1])
    }


def made(seed: int) -> Run:
    """Cycles that drift, that hunt up and down, that jump between two levels, or whose whole
    numbers lie on the centre line at times."""
    rng = np.random.default_rng(seed)
    noise = rng.normal(size=40)
    if seed % 4 == 0:
        return np.cumsum(noise)
    if seed % 4 == 1:
        return noise + 2.0 * (-1.0) ** np.arange(40)
    if seed % 4 == 2:
        return 0.2 * noise + np.repeat(rng.choice([-1.0, 1.0], 10), 4)
    steps = np.repeat(rng.integers(-1, 2, 5), 4).astype(float)
    return np.concatenate([steps, -steps])


def test_every_rule_calls_just_the_runs_that_it_names() -> None:
    found: set[int] = set()
    for seed in range(80):
        values = made(seed)
        if np.ptp(values) > 0.0:
            called = {(rule, last) for rule, last, _ in individuals(values.tolist()).signals}
            assert called == unusual(values), seed
            found |= {rule for rule, _ in called}
    assert found == set(NELSON)


@pytest.mark.parametrize("last", [3.05, 2.95])
def test_a_value_is_told_just_beyond_three_sigma(last: float) -> None:
    # Ten pairs about nothing: the last value and its own moving range are solved for.
    run = [0.5, -0.5] * 200
    run.append(last * 1.0 / 1.128)
    signals = {rule for rule, at, _ in individuals(run).signals if at == 400}
    assert (1 in signals) == (last > 3.0)
