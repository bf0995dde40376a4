"""After tempering: moulding, cooling, demoulding."""

from __future__ import annotations

from typing import Annotated, Literal

from glossbath.errors import InputError
from glossbath.forms.answer import Answer, answer
from glossbath.forms.fields import Choice, Number, Percent

from . import options


def mould(
    kg: options.Kg,
    thickness: Annotated[float, Number("Thickness of the bars", unit="mm", low=0.5, high=50)],
    chocolate_c: Annotated[
        float | None,
        Number(
            "Chocolate when poured",
            unit="°C",
            low=25,
            high=34,
            live="chocolate_c",
            note="25 to 34 °C; the middle of its working window if left out",
        ),
    ] = None,
    cooler_c: Annotated[float, Number("Air of the cooler", unit="°C", low=2, high=19)] = 12.0,
    air: Annotated[
        Literal["still", "moving"], Choice("Its air", words=("still", "moving"))
    ] = "moving",
    mould_c: Annotated[float | None, Number("Moulds", unit="°C", low=-20, high=60)] = None,
    kind: options.Kind = "dark",
    fat_share: options.FatShare = None,
    room_c: Annotated[
        float | None, Number("Air of the room", unit="°C", low=0, high=50, live="room_c")
    ] = None,
    rh_share: Annotated[float | None, Percent("Humidity", low=1, live="rh_percent")] = None,
) -> Answer:
    """Moulds, cooling time, heat for the cooler, contraction, and the dew point at demoulding."""
    from glossbath.chocolate import moulding
    from glossbath.chocolate import room as rooms

    if (room_c is None) != (rh_share is None):
        raise InputError("Give --room in °C and --rh in % together.")
    usual_c = options.Own(kind).windows().work_target_c
    poured_c = usual_c if chocolate_c is None else chocolate_c
    made = moulding.plan(
        kg, thickness, poured_c, cooler_c,
        kind=kind, fat_share=options.fat_of(kind, fat_share), moving=air, mould_c=mould_c,
        room=None if room_c is None or rh_share is None else rooms.air(room_c, rh_share),
    )  # fmt: skip
    return answer(made)
