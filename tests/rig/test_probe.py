"""A probe follows late, errs a little and goes wrong in the ways probes do."""

from __future__ import annotations

import math
import random
import statistics

import pytest

from glossbath.errors import InputError
from glossbath.virtual.probe import Probe


def quiet(start_c: float = 20.0, tau_s: float = 8.0) -> Probe:
    return Probe(start_c, tau_s=tau_s, noise_c=0.0)


def run(probe: Probe, seconds: float, liquid_c: float, dt_s: float = 0.25) -> None:
    for _ in range(round(seconds / dt_s)):
        probe.step(dt_s, liquid_c)


def test_one_time_constant_brings_63_percent() -> None:
    # First-order lag, closed form 1 - exp(-1).
    probe = quiet()
    run(probe, 8.0, 50.0)
    assert probe.celsius() == pytest.approx(20.0 + 30.0 * (1.0 - math.exp(-1.0)), abs=1e-9)


def test_long_and_short_steps_agree() -> None:
    quick, slow = quiet(), quiet()
    run(quick, 10.0, 50.0)
    run(slow, 10.0, 50.0, dt_s=5.0)
    assert slow.celsius() == pytest.approx(quick.celsius(), abs=1e-9)


def test_on_a_ramp_it_lags_by_its_time_constant() -> None:
    probe = quiet()
    liquid_c = 20.0
    for _ in range(4000):
        liquid_c += 0.01 * 0.25
        probe.step(0.25, liquid_c)
    assert liquid_c - probe.celsius() == pytest.approx(0.01 * 8.0, rel=0.02)


def test_noise_is_gaussian_around_the_offset_and_repeatable() -> None:
    first = Probe(30.0, offset_c=0.3, noise_c=0.05, rng=random.Random(7))
    again = Probe(30.0, offset_c=0.3, noise_c=0.05, rng=random.Random(7))
    values = [first.celsius() for _ in range(4000)]
    assert values == [again.celsius() for _ in range(4000)]
    assert statistics.fmean(values) == pytest.approx(30.3, abs=0.005)
    assert statistics.stdev(values) == pytest.approx(0.05, rel=0.05)


def test_lifted_it_goes_slowly_to_the_air_and_comes_back() -> None:
    probe = quiet(31.0)
    probe.lift(lambda: 24.0)
    run(probe, 8.0, 31.0)
    assert 30.0 < probe.celsius() < 31.0
    run(probe, 1200.0, 31.0)
    assert probe.celsius() == pytest.approx(24.0, abs=0.01)
    probe.mend()
    run(probe, 80.0, 31.0)
    assert probe.celsius() == pytest.approx(31.0, abs=0.01)


def test_stuck_it_gives_one_value_without_noise() -> None:
    probe = Probe(31.0, noise_c=0.05)
    probe.stick()
    run(probe, 600.0, 50.0)
    assert len({probe.celsius() for _ in range(10)}) == 1
    assert probe.celsius() == pytest.approx(31.0, abs=0.3)


def test_drift_grows_by_the_hour_and_mending_ends_it() -> None:
    probe = quiet(31.0)
    probe.drift(1.5)
    run(probe, 1200.0, 31.0)
    assert probe.celsius() == pytest.approx(31.5, abs=1e-6)
    probe.mend()
    assert probe.celsius() == pytest.approx(31.0, abs=1e-6)


def test_lagging_it_takes_longer() -> None:
    probe = quiet()
    probe.step(0.25, 20.0)
    probe.lag(5.0)
    run(probe, 40.0, 50.0)
    assert probe.celsius() == pytest.approx(20.0 + 30.0 * (1.0 - math.exp(-1.0)), abs=1e-6)


def test_impossible_probes_are_refused() -> None:
    with pytest.raises(InputError, match="tau_s"):
        Probe(20.0, tau_s=0.0)
    with pytest.raises(InputError, match="start_c"):
        Probe(math.nan)
    with pytest.raises(InputError, match="drift"):
        quiet().drift(math.inf)
