"""The keeper's forecast gives times, and never ends a cycle."""

from __future__ import annotations

import msgspec
import pytest

from glossbath.client.messages import Reading
from glossbath.process.cycle_forecast import CycleForecast, model_orders
from glossbath.recipe import load
from glossbath.thermal.forecast import Outlook
from glossbath.thermal.model import Knowledge, RigModel

KNOWN = Knowledge(RigModel.default(), RigModel.default())


class Heard:
    """Alarms that stand, with their first sentence."""

    def __init__(self) -> None:
        self.standing: dict[str, str] = {}

    def call(self, code: str, priority: str, words: tuple[str, str, str]) -> None:
        self.standing[code] = words[0]

    def over(self, code: str) -> None:
        self.standing.pop(code, None)


def never_held() -> None:
    pytest.fail("The recipe was held.")


def _reading(time_s: float) -> Reading:
    return Reading(
        time_s=time_s,
        wall="2027-01-15T08:00:00.000Z",
        chocolate_c=24.0,
        bath_c=24.0,
        body_c=24.0,
        target_c=48.0,
        bath_target_c=56.0,
        heat_share=1.0,
        chill_share=0.0,
        stir_share=0.5,
        state="running",
        phase="melt",
        phase_index=0,
        phase_elapsed_s=time_s,
        phase_left_s=None,
        cycle_left_s=None,
    )


def test_a_reading_is_told_how_long_phase_and_cycle_still_take() -> None:
    heard = Heard()
    forecast = CycleForecast(load("dark").with_hold(1800), KNOWN, 1.0, heard, never_held)
    told = forecast.foretell(_reading(1.0))
    assert told.phase_left_s is not None and told.cycle_left_s is not None
    # The reference rig melts a kilogram in about three quarters of an hour (design, section 2.7
    # of the reference values: 36.9 min without losses and lags).
    assert 30 * 60 < told.phase_left_s < 60 * 60
    assert told.cycle_left_s > told.phase_left_s + 1800
    assert len(forecast.curve) > 10
    forecast.end()
    assert forecast.curve == []
    assert heard.standing == {}


def test_a_forecast_that_fails_says_so_and_leaves_the_reading_as_it_is(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    heard = Heard()
    forecast = CycleForecast(load("dark"), KNOWN, 1.0, heard, never_held)

    def fail(self: object, reading: Reading) -> None:
        raise ZeroDivisionError("invented")

    monkeypatch.setattr("glossbath.thermal.forecast.Forecaster.update", fail)
    reading = _reading(1.0)
    assert forecast.foretell(reading) is reading
    assert "ZeroDivisionError: invented" in heard.standing["no-forecast"]
    assert forecast.foretell(reading) is reading
    forecast.end()
    assert heard.standing == {}


def test_a_cycle_out_of_reach_is_held_and_an_alarm_until_it_can_be_reached(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    heard = Heard()
    held: list[str] = []
    forecast = CycleForecast(load("dark"), KNOWN, 1.0, heard, lambda: held.append("hold"))
    outlooks = iter([Outlook(problem="No ice."), Outlook(problem="Still none."), *[Outlook()] * 3])
    monkeypatch.setattr(
        "glossbath.thermal.forecast.Forecaster.update", lambda self, reading: next(outlooks)
    )
    waiting = msgspec.structs.replace(_reading(2.0), state="held")
    forecast.foretell(_reading(1.0))
    assert heard.standing["out-of-reach"] == "No ice."
    forecast.foretell(waiting)
    assert heard.standing["out-of-reach"] == "No ice."
    assert held == ["hold"]
    forecast.foretell(waiting)
    assert list(heard.standing) == ["in-reach"]
    forecast.foretell(waiting)
    assert list(heard.standing) == ["in-reach"]
    forecast.foretell(_reading(3.0))  # a person has resumed it
    assert heard.standing == {}
    assert held == ["hold"]


def test_a_rig_that_was_never_measured_keeps_the_boards_own_model() -> None:
    assert model_orders("never-measured", RigModel.default()) == []
