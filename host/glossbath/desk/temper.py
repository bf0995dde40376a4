"""Is it in temper? Dip test, cooling curve with its calibration, predicted crystals."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, cast, get_args

from glossbath.errors import InputError
from glossbath.forms.answer import Answer, answer
from glossbath.forms.fields import File, Minutes, Number, Text, YesNo

from . import columns, options

Curve = Annotated[Path, File("CSV file", option="argument", example="curve.csv")]
Samples = Annotated[Path, File("CSV file", option="argument", example="samples.csv")]


def dip(
    set_after_s: Annotated[
        float | None, Minutes("Set after (empty: not set)", low=0.02, high=1440)
    ] = None,
    watched_s: Annotated[float, Minutes("Watched for", low=0.02, high=1440)] = 600.0,
    streaks: Annotated[bool, YesNo("It shows streaks")] = False,
    dull: Annotated[bool, YesNo("It is dull")] = False,
    room_c: options.Room = 20.0,
) -> Answer:
    """What a dip test says."""
    from glossbath.chocolate import temper

    made = temper.judge(
        set_after_s, watched_s=watched_s, streaks=streaks, dull=dull, room_c=room_c
    )
    return answer(made)


def dip_clock(
    elapsed_s: Annotated[float, Minutes("Since the dip", low=0, high=1440)],
) -> Answer:
    """What to look at in a dip test that is running."""
    from glossbath.chocolate import temper

    return answer(temper.clock(0.0, elapsed_s))


def curve(
    file: Curve,
    column: Annotated[str, Text("Its temperature column", example="chocolate_c")] = "chocolate_c",
    over_below: Annotated[
        float | None, Number("Over-tempered below", unit="°C/min", low=-30, high=30)
    ] = None,
    under_above: Annotated[
        float | None, Number("Under-tempered above", unit="°C/min", low=-30, high=30)
    ] = None,
) -> Answer:
    """Inflection and slope of a cooling curve, and its class by your own limits."""
    import msgspec

    from glossbath.chocolate import coolingcurve, curveclass

    if (over_below is None) != (under_above is None):
        raise InputError("Give --over-below and --under-above together, both in °C/min.")
    times, celsius = columns.numbers(file, ("time_s", column))
    made = coolingcurve.analyse(times, celsius)
    if over_below is not None and under_above is not None:
        verdict = curveclass.classify(made, curveclass.Limits(under_above, over_below))
        return answer(made, verdict.sentences(), verdict=msgspec.to_builtins(verdict))
    find = "Find your own limits with calibrate: they belong to your cup and recipe."
    return answer(made, [] if made.inflection is None else [find])


def calibrate(file: Samples) -> Answer:
    """Limits for cooling curves from your own dip tests (slope_c_per_min, judged)."""
    from glossbath.chocolate import curveclass

    samples = []
    table = columns.rows(file, ("slope_c_per_min", "judged"))
    for line, row in enumerate(table, start=2):
        judged = (row["judged"] or "").strip().lower()
        if judged not in get_args(curveclass.Judged):
            raise InputError(
                f"{file}, line {line}: '{judged}' in column 'judged' must be under, good or over."
            )
        slope = columns.number(file, line, "slope_c_per_min", row["slope_c_per_min"] or "")
        samples.append(curveclass.Sample(slope, cast(curveclass.Judged, judged)))
    return answer(curveclass.calibrate(samples))


def crystals(file: options.Readings) -> Answer:
    """Predict crystals from a cycle so far (time_s, chocolate_c, stir_share); no measurement."""
    from glossbath.chocolate import crystals as prediction

    times, celsius, stir = columns.numbers(file, ("time_s", "chocolate_c", "stir_share"))
    return answer(prediction.forecast(times, celsius, stir))
