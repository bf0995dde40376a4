"""Crystals predicted from a cycle's record, beside what the tests of that cycle said.

A prediction is worth what its comparison with tests shows; it is never a measurement.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from glossbath.chocolate import crystals
from glossbath.chocolate.crystals import Forecast
from glossbath.client.messages import Event
from glossbath.errors import InputError
from glossbath.record import PastCycle

from .findings import dip_tests

STEP_S = 60.0
"""One temperature a minute says all that the prediction can use."""
MOST_POINTS = 360
"""Four minutes apart in a day's record."""
JUDGED = {"in temper": True, "out of temper": False}


@dataclass(frozen=True)
class Compared:
    """One dip test and what was predicted for its moment."""

    time_s: float
    result: str
    forecast: Forecast
    agrees: bool | None
    """None when the test or the prediction was not sure."""

    def sentence(self) -> str:
        """The comparison in words."""
        said = {True: "which agrees", False: "which does not agree", None: "which leaves it open"}
        return (
            f"At {self.time_s / 60:.0f} min the dip test said {self.result}, the prediction "
            f"'{self.forecast.temper}', {said[self.agrees]}."
        )


@dataclass(frozen=True)
class Predicted:
    """The prediction for a cycle's last reading and for each of its dip tests."""

    at_end: Forecast | None
    compared: tuple[Compared, ...]
    why_not: str
    """Why nothing can be predicted, as a sentence; empty when something can."""

    def sentences(self) -> list[str]:
        """All of it in words; every prediction says that it is one."""
        if self.at_end is None:
            return [self.why_not]
        lines = self.at_end.sentences()
        if not self.compared:
            return [*lines, "No dip test of this cycle is recorded that could confirm it."]
        return [*lines, *(one.sentence() for one in self.compared)]


def predict(cycle: PastCycle) -> Predicted:
    """Predict crystals from a cycle's readings; raises nothing for a record with gaps."""
    events = cycle.events()
    try:
        times, celsius, stir = _history(cycle)
        starts = [(times[0], 0.0), *_seedings(events)]
        at_end = _at(times, celsius, stir, starts, times[-1])
        compared = tuple(
            _compared(event, _at(times, celsius, stir, starts, event.time_s))
            for event in dip_tests(events)
            if times[1] <= event.time_s
        )
    except InputError as error:
        return Predicted(None, (), f"Crystals cannot be predicted from this record: {error}")
    return Predicted(at_end, compared, "")


def _compared(event: Event, forecast: Forecast) -> Compared:
    result = str(event.values.get("result", ""))
    judged = JUDGED.get(result)
    unknown = judged is None or forecast.temper == "unknown"
    agrees = None if unknown else judged == (forecast.temper == "good")
    return Compared(event.time_s, result or "nothing", forecast, agrees)


def _history(cycle: PastCycle) -> tuple[list[float], list[float], list[float]]:
    """Times in s, °C and stir shares while the recipe ran, each the mean of a minute, or of more
    where that would be more than MOST_POINTS: noise of the probe would cost the prediction much
    time and tell it nothing.

    Raises InputError for a record that says nothing of crystals.
    """
    data = cycle.columns("time_s", "chocolate_c", "stir_share", "state", "phase")
    usable = np.isin(data["state"], ("running", "held")) & ~np.isnan(data["chocolate_c"])
    if not (np.isin(data["phase"], ("melt", "soak")) & usable).any():
        raise InputError("It does not show the chocolate melted, so its start is not known.")
    columns = [data[name][usable] for name in ("time_s", "chocolate_c", "stir_share")]
    order = np.argsort(columns[0], kind="stable")
    times, celsius, stir = (column[order] for column in columns)
    step_s = max(STEP_S, (times[-1] - times[0]) / MOST_POINTS)
    _, place, counts = np.unique(times // step_s, return_inverse=True, return_counts=True)
    means = [np.bincount(place, column) / counts for column in (times, celsius, stir)]
    # From the first reading to the last.
    means[0][0], means[0][-1] = times[0], times[-1]
    if len(counts) < 2:
        raise InputError("It has too few readings.")
    return means[0].tolist(), means[1].tolist(), means[2].tolist()


def _seedings(events: list[Event]) -> list[tuple[float, float]]:
    """When seed was added and which share of the fat it left as form V crystals."""
    return [
        (event.time_s, float(event.values["crystal_share"]))
        for event in events
        if event.kind == "test" and event.code == "seed" and "crystal_share" in event.values
    ]


def _at(
    times: list[float],
    celsius: list[float],
    stir: list[float],
    starts: list[tuple[float, float]],
    until_s: float,
) -> Forecast:
    """The prediction for a moment, counted from the last start before it."""
    start_s, good = max((start for start in starts if start[0] < until_s), default=starts[0])
    end_s = min(until_s, times[-1])
    inside = [start_s, *(t for t in times if start_s < t < end_s), end_s]
    return crystals.forecast(
        inside,
        np.interp(inside, times, celsius).tolist(),
        np.interp(inside, times, stir).tolist(),
        good_start=good,
    )
