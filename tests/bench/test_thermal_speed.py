"""How much of a processor's time the heat model and the forecast take."""

from __future__ import annotations

import time

from recipe_run import recipe_run

from glossbath.recipe import load
from glossbath.thermal.forecast import Forecaster, Start, forecast
from glossbath.thermal.model import Nodes, RigModel, chocolate

MODEL_S = 0.2
FORECAST_S = 1.0
READING_S = 0.005


def test_three_hours_of_model() -> None:
    start = {"room_c": 24.0, "chocolate_c": 24.0, "bath_c": 24.0, "body_c": 24.0}
    nodes = Nodes(RigModel.default(), chocolate(1.0, 0.36), **start)
    began = time.process_time()
    for _ in range(3 * 3600 // 5):
        nodes.step(5.0, 0.5, 0.0, 4.4)
    took_s = time.process_time() - began
    print(f"three hours of model: {took_s * 1000:.1f} ms")
    assert took_s < MODEL_S


def test_forecast_before_heating() -> None:
    began = time.process_time()
    forecast(load("dark"), RigModel.default(), Start(24.0, 24.0, 24.0), 1.0, 24.0)
    took_s = time.process_time() - began
    print(f"forecast with its uncertainties: {took_s * 1000:.0f} ms")
    assert took_s < FORECAST_S


def test_forecast_of_each_reading() -> None:
    recipe = load("dark").with_hold(600.0)
    forecaster = Forecaster(recipe, RigModel.default(), 1.0)
    readings = recipe_run(recipe).readings()
    began = time.process_time()
    for reading in readings:
        forecaster.update(reading)
    each_s = (time.process_time() - began) / len(readings)
    print(f"forecast of each reading: {each_s * 1000:.2f} ms")
    assert each_s < READING_S
