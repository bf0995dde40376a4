"""The room: its air, cold chocolate that sweats, and drying."""

from __future__ import annotations

from typing import Annotated

from glossbath.errors import InputError
from glossbath.forms.answer import Answer, answer
from glossbath.forms.fields import Number, Percent, YesNo

from . import options


def room(
    room_c: options.Room,
    rh_share: options.Humidity,
    altitude: Annotated[float, Number("Above the sea", unit="m", low=-400, high=5000)] = 0.0,
) -> Answer:
    """Dew point of the room and what it means for chocolate."""
    from glossbath.chocolate.room import air

    return answer(air(room_c, rh_share, altitude_m=altitude))


def sweat(
    chocolate_c: Annotated[float, Number("The cold chocolate", unit="°C", low=-30, high=40)],
    room_c: options.Room,
    rh_share: options.Humidity,
    thickness: Annotated[float, Number("Its thickness", unit="mm", low=1, high=100)] = 10.0,
    bare: Annotated[bool, YesNo("Not in a closed box")] = False,
    kind: options.Kind = "dark",
) -> Answer:
    """Whether cold chocolate sweats in the room and how long to leave it closed."""
    from glossbath.chocolate import sweat as sweating
    from glossbath.chocolate.room import air

    made = sweating.sweat(
        chocolate_c, air(room_c, rh_share), thickness_mm=thickness, wrapped=not bare, kind=kind
    )
    return answer(made)


def dry(
    volume: Annotated[float, Number("Volume of the room", unit="m³", low=1, high=10_000)],
    room_c: options.Room,
    rh_share: options.Humidity,
    to_rh_share: Annotated[float, Percent("Humidity wanted", low=5)] = 0.45,
    changes: Annotated[float, Number("Air changes", unit="per hour", high=20)] = 0.5,
    outside_c: Annotated[float | None, Number("Air outside", unit="°C", low=-30, high=50)] = None,
    outside_rh_share: Annotated[float | None, Percent("Humidity outside", low=1)] = None,
) -> Answer:
    """Litres of water a dehumidifier must take out of the room."""
    from glossbath.chocolate import drying
    from glossbath.chocolate.room import air

    if (outside_c is None) != (outside_rh_share is None):
        raise InputError("Give --outside in °C and --outside-rh in % together.")
    outside = None
    if outside_c is not None and outside_rh_share is not None:
        outside = air(outside_c, outside_rh_share, outside=True)
    made = drying.drying(
        volume, air(room_c, rh_share), to_rh_share, outside=outside, air_changes_per_h=changes
    )
    return answer(made, heat_w=made.heat_w)
