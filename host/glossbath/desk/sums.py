"""Heat sums: what a batch takes, how long bath and heater take, mixtures and ice."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from glossbath.errors import InputError, quoted
from glossbath.forms.answer import Answer, answer
from glossbath.forms.fields import Number, Parts, Percent, number

from . import options

if TYPE_CHECKING:
    from glossbath.chocolate.mixture import Body


def heat(
    kg: options.Kg,
    from_c: Annotated[
        float, Number("Start", unit="°C", option="--from", low=-20, high=80, live="chocolate_c")
    ],
    to_c: Annotated[float, Number("End", unit="°C", option="--to", low=-20, high=80)],
    kind: options.Kind = "dark",
    fat_share: options.FatShare = None,
    solid_share: Annotated[
        float | None,
        Percent("Solid part of the fat", note="0 to 100 %; as its temperature says if left out"),
    ] = None,
    water_kg: options.Water = 0.0,
    crock_kg: options.Crock = 0.0,
) -> Answer:
    """How much heat a batch and its bath take from one temperature to another."""
    from glossbath.chocolate import heat as sums

    made = sums.batch_heat(
        kg, options.fat_of(kind, fat_share), from_c, to_c,
        kind=kind, solid_share=solid_share, water_kg=water_kg, crock_kg=crock_kg,
    )  # fmt: skip
    return answer(made)


def heater(
    bath: options.Bath,
    watts: options.Watts = 250.0,
    loss: options.Loss = 2.0,
    room_c: options.Room = 20.0,
) -> Answer:
    """How long a heater takes for bath and liquid chocolate together, with and without loss."""
    from glossbath.chocolate import heat as sums

    capacity, from_c, to_c = bath.capacity_j_per_k, bath.from_c, bath.to_c
    lossless = sums.heater_s(capacity, watts, from_c, to_c)
    seconds = sums.heater_s(capacity, watts, from_c, to_c, loss_w_per_k=loss, room_c=room_c)
    line = (
        f"{watts:g} W take {seconds / 60:.0f} min to bring {bath.words} from {from_c:g} to "
        f"{to_c:g} °C with a loss of {loss:g} W/K, {lossless / 60:.0f} min without any."
    )
    values = {"seconds": seconds, "lossless_seconds": lossless, "capacity_j_per_k": capacity}
    return Answer(values, [line])


def cooling(
    bath: options.Bath,
    loss: options.Loss = 2.0,
    chill: options.Chill = 0.0,
    room_c: options.Room = 20.0,
) -> Answer:
    """How long bath and liquid chocolate take to cool by the room and a chill coil."""
    from glossbath.chocolate import heat as sums

    capacity, from_c, to_c = bath.capacity_j_per_k, bath.from_c, bath.to_c
    seconds = sums.cooling_s(
        capacity, from_c, to_c, loss_w_per_k=loss, room_c=room_c, chill_w=chill
    )
    line = (
        f"It takes {seconds / 60:.0f} min to bring {bath.words} from {from_c:g} to {to_c:g} °C "
        f"with {chill:g} W of chilling and a loss of {loss:g} W/K to a room of {room_c:g} °C."
    )
    return Answer({"seconds": seconds, "capacity_j_per_k": capacity}, [line])


def ice(
    bath: options.Bath,
    cold_water_c: Annotated[float, Number("Cold water", unit="°C", low=0, high=40)] = 15.0,
) -> Answer:
    """How much ice, or cold water, cools the bath."""
    from glossbath.chocolate import mixture

    capacity, from_c, to_c = bath.capacity_j_per_k, bath.from_c, bath.to_c
    ice_kg = mixture.ice_needed_kg(capacity, from_c, to_c)
    water_kg = None
    lines = [
        f"{ice_kg:.2f} kg of ice melted in the bath cool {bath.words} from {from_c:g} to "
        f"{to_c:g} °C: take out as much water first, and keep ice and splashes away from the "
        "chocolate."
    ]
    if cold_water_c < to_c:
        water_kg = mixture.cold_water_needed_kg(capacity, from_c, to_c, cold_water_c)
        lines.append(f"Or {water_kg:.1f} kg of water at {cold_water_c:g} °C.")
    else:
        lines.append(f"Water at {cold_water_c:g} °C is too warm to cool it to {to_c:g} °C.")
    return Answer({"ice_kg": ice_kg, "cold_water_kg": water_kg}, lines)


def mix(
    parts: Annotated[
        list[str],
        Parts("Parts, kg@°C", example="2@45 1@15",
              note="kg@°C, or kg@°C@J/(kg K) for anything but water"),
    ],
    ice_kg: Annotated[float, Number("Ice", unit="kg", low=0, high=100, option="--ice")] = 0.0,
) -> Answer:  # fmt: skip
    """What warm and cold parts, and ice, come to."""
    from glossbath.chocolate import mixture

    bodies = [_body(part) for part in parts]
    if ice_kg:
        return answer(mixture.mix_with_ice(ice_kg, bodies))
    celsius = mixture.mixed_c(bodies)
    return Answer({"celsius": celsius}, [f"The mixture comes to {celsius:.1f} °C."])


def _body(text: str) -> Body:
    from glossbath.chocolate import heat as sums
    from glossbath.chocolate import limits, mixture

    numbers = [number(part) for part in text.split("@")]
    if len(numbers) not in (2, 3) or None in numbers:
        raise InputError(
            f"{quoted(text)} is not a part of a mixture: write kg@°C, for example 2@45, or "
            "kg@°C@J/(kg K), for example 0.5@150@900."
        )
    mass_kg, celsius, *cp = [value for value in numbers if value is not None]
    return mixture.Body(
        limits.mass_kg("part", mass_kg, zero=True),
        limits.number(
            "specific heat of a part", cp[0] if cp else sums.WATER_CP, 50.0, 10_000.0, "J/(kg K)"
        ),
        limits.celsius("part", celsius, (-40.0, 300.0))
        if cp
        else limits.celsius("water", celsius, limits.WATER_C),
    )
