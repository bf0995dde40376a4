"""The control chart against a published worked example, and each rule on a run made for it."""

from __future__ import annotations

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
