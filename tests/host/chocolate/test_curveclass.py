"""Classes of cooling curves by limits from dip tests."""

from __future__ import annotations

import math

import msgspec
import pytest

from glossbath.chocolate.coolingcurve import Curve, Inflection
from glossbath.chocolate.curveclass import Limits, Sample, calibrate, classify
from glossbath.errors import InputError

LIMITS = Limits(under_above=0.3, over_below=-0.3, under_error=0.05, over_error=0.05)


def curve(slope: float, error: float = 0.03) -> Curve:
    return Curve([], [], [], 0.02, Inflection(200, 24, slope, error))


@pytest.mark.parametrize(("slope", "judged"), [(1.0, "under"), (0.0, "good"), (-1.0, "over")])
def test_slopes_far_from_the_limits_are_sure(slope: float, judged: str) -> None:
    verdict = classify(curve(slope), LIMITS)
    assert verdict.judged == judged
    assert verdict.confidence > 0.99
    assert sum(verdict.probabilities.values()) == pytest.approx(1)


def test_a_slope_on_a_limit_is_a_coin_toss_and_asks_for_a_dip_test() -> None:
    verdict = classify(curve(0.3), LIMITS)
    assert verdict.confidence == pytest.approx(0.5, abs=0.01)
    assert "make a dip test" in verdict.sentences()[0]


def test_confidence_is_the_normal_probability() -> None:
    # One combined standard error, 0.05 and 0.12 giving 0.13: 84.13 % (normal table).
    verdict = classify(curve(0.3 + 0.13, 0.12), LIMITS)
    assert verdict.probabilities["under"] == pytest.approx(0.8413, abs=1e-3)


def test_a_curve_without_inflection_has_no_class() -> None:
    verdict = classify(Curve([], [], [], 0.02, None), LIMITS)
    assert verdict.judged == "no inflection"
    assert verdict.confidence == 0


GOOD = [Sample(s, "good") for s in (-0.1, 0.0, 0.15)]


def test_limits_lie_between_the_samples() -> None:
    made = calibrate([*GOOD, Sample(0.55, "under"), Sample(0.9, "under"), Sample(-0.5, "over")])
    assert made.limits.under_above == pytest.approx(0.35)
    assert made.limits.over_below == pytest.approx(-0.3)
    assert made.limits.under_error == pytest.approx(0.4 / math.sqrt(12))
    assert made.misjudged == 0
    assert made.provisional == []


def test_a_stray_sample_does_not_move_the_limit_but_is_counted() -> None:
    made = calibrate([*GOOD, Sample(0.55, "under"), Sample(0.9, "under"), Sample(0.05, "under")])
    assert made.limits.under_above == pytest.approx(0.35)
    assert made.misjudged == 1
    assert "1 of 6 samples lie on the wrong side" in made.sentences()[1]


def test_a_side_without_samples_is_provisional() -> None:
    made = calibrate(GOOD)
    assert made.provisional == ["under", "over"]
    assert made.limits.over_below < -0.1
    assert made.limits.under_above > 0.15
    assert any("a guess from the good ones" in line for line in made.sentences())


def test_a_calibration_survives_being_written_as_plain_data() -> None:
    made = calibrate(GOOD)
    assert msgspec.convert(msgspec.to_builtins(made), type(made)) == made


@pytest.mark.parametrize(
    ("samples", "sentence"),
    [
        ([], "at least 3 curves whose dip test was good, not 0"),
        (GOOD[:2], "not 2"),
        ([*GOOD, Sample(math.nan, "good")], "missing number"),
        (
            [*GOOD, *[Sample(-2.0, "under")] * 4, *[Sample(2.0, "over")] * 4],
            "contradict each other",
        ),
    ],
)
def test_samples_that_cannot_be_used_are_refused(samples: list[Sample], sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        calibrate(samples)


def test_limits_the_wrong_way_round_are_refused() -> None:
    with pytest.raises(InputError, match="range of good slopes"):
        classify(curve(0.0), Limits(-0.3, 0.3))
