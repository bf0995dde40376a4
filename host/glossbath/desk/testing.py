"""Commands for judging temper: dip test, cooling curve, its calibration, predicted crystals."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, cast, get_args

import typer

from glossbath.errors import InputError
from glossbath.forms.answer import show, show_values

from . import columns, options

Csv = Annotated[Path, typer.Argument(help="CSV file with a header line.")]


def dip(
    set_after: Annotated[
        float | None, typer.Option("--set-after", help="Minutes until it had set, if it has.")
    ] = None,
    watched: Annotated[float, typer.Option("--watched", help="Minutes it was watched.")] = 10.0,
    streaks: Annotated[bool, typer.Option("--streaks", help="It shows streaks.")] = False,
    dull: Annotated[bool, typer.Option("--dull", help="It is dull.")] = False,
    room: options.Room = 20.0,
    as_json: options.Json = False,
) -> None:
    """What a dip test says."""
    from glossbath.chocolate import temper

    result = temper.judge(
        None if set_after is None else set_after * 60,
        watched_s=watched * 60,
        streaks=streaks,
        dull=dull,
        room_c=room,
    )
    show(result, as_json)


def look(
    elapsed: Annotated[float, typer.Option("--elapsed", help="Minutes since the dip.")],
    as_json: options.Json = False,
) -> None:
    """What to look at in a dip test that is running."""
    from glossbath.chocolate import temper

    show(temper.clock(0.0, elapsed * 60), as_json)


def curve(
    file: Csv,
    column: Annotated[str, typer.Option(help="Name of its temperature column.")] = "chocolate_c",
    over_below: Annotated[
        float | None, typer.Option(help="Your limit: slopes below are over-tempered, °C/min.")
    ] = None,
    under_above: Annotated[
        float | None, typer.Option(help="Your limit: slopes above are under-tempered, °C/min.")
    ] = None,
    as_json: options.Json = False,
) -> None:
    """Inflection and slope of a cooling curve, and its class by your own limits."""
    import msgspec

    from glossbath.chocolate import coolingcurve, curveclass

    if (over_below is None) != (under_above is None):
        raise InputError("Give --over-below and --under-above together, both in °C/min.")
    times, celsius = columns.numbers(file, ("time_s", column))
    made = coolingcurve.analyse(times, celsius)
    values, lines = msgspec.to_builtins(made), made.sentences()
    if over_below is not None and under_above is not None:
        verdict = curveclass.classify(made, curveclass.Limits(under_above, over_below))
        values = {**values, "verdict": msgspec.to_builtins(verdict)}
        lines = [*lines, *verdict.sentences()]
    elif made.inflection is not None:
        lines = [
            *lines,
            "Find your own limits with calibrate: they belong to your cup and recipe.",
        ]
    show_values(values, lines, as_json)


def calibrate(file: Csv, as_json: options.Json = False) -> None:
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
    show(curveclass.calibrate(samples), as_json)


def crystals(file: Csv, as_json: options.Json = False) -> None:
    """Predict crystals from a cycle so far (time_s, chocolate_c, stir_share); no measurement."""
    from glossbath.chocolate import crystals as prediction

    times, celsius, stir = columns.numbers(file, ("time_s", "chocolate_c", "stir_share"))
    show(prediction.forecast(times, celsius, stir), as_json)
