"""Commands for the room: its air, cold chocolate that sweats, and drying."""

from __future__ import annotations

from typing import Annotated

import typer

from glossbath.errors import InputError
from glossbath.forms.answer import show

from . import options

Humidity = Annotated[float, typer.Option("--rh", help="Relative humidity in %.")]
Altitude = Annotated[float, typer.Option("--altitude", help="Above the sea in m.")]
Warmth = Annotated[float, typer.Option("--room", help="Air of the room in °C.")]


def room(
    room_c: Warmth, rh: Humidity, altitude: Altitude = 0.0, as_json: options.Json = False
) -> None:
    """Dew point of the room and what it means for chocolate."""
    from glossbath.chocolate.room import air

    made = air(room_c, rh / 100, altitude_m=altitude)
    show(made, as_json)


def sweating(
    chocolate: Annotated[float, typer.Option("--chocolate", help="Its temperature in °C.")],
    room_c: Warmth,
    rh: Humidity,
    thickness: Annotated[float, typer.Option("--thickness", help="In mm.")] = 10.0,
    bare: Annotated[bool, typer.Option("--bare", help="Not in a closed box.")] = False,
    as_json: options.Json = False,
) -> None:
    """Whether cold chocolate sweats in the room and how long to leave it closed."""
    from glossbath.chocolate import sweat
    from glossbath.chocolate.room import air

    made = sweat.sweat(chocolate, air(room_c, rh / 100), thickness_mm=thickness, wrapped=not bare)
    show(made, as_json)


def dry(
    volume: Annotated[float, typer.Option("--volume", help="Volume of the room in m³.")],
    room_c: Warmth,
    rh: Humidity,
    to_rh: Annotated[float, typer.Option("--to-rh", help="Humidity wanted in %.")] = 45.0,
    changes: Annotated[float, typer.Option("--changes", help="Air changes an hour.")] = 0.5,
    outside_c: Annotated[float | None, typer.Option("--outside", help="In °C.")] = None,
    outside_rh: Annotated[float | None, typer.Option("--outside-rh", help="In %.")] = None,
    as_json: options.Json = False,
) -> None:
    """Litres of water a dehumidifier must take out of the room."""
    from glossbath.chocolate import drying
    from glossbath.chocolate.room import air

    if (outside_c is None) != (outside_rh is None):
        raise InputError("Give --outside in °C and --outside-rh in % together.")
    outside = None
    if outside_c is not None and outside_rh is not None:
        outside = air(outside_c, outside_rh / 100, outside=True)
    made = drying.drying(
        volume, air(room_c, rh / 100), to_rh / 100, outside=outside, air_changes_per_h=changes
    )
    show(made, as_json)
