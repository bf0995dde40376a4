"""Commands for planning a batch: heat, mixtures, ice, windows, legal names, the whole plan."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Annotated

import typer

from glossbath.errors import InputError, quoted
from glossbath.forms.answer import show, show_values

from . import options

if TYPE_CHECKING:
    from glossbath.chocolate.mixture import Body
    from glossbath.chocolate.schedule import Start as SwitchOn
    from glossbath.thermal.forecast import Forecast

From = Annotated[float, typer.Option("--from", help="Temperature at the start in °C.")]
To = Annotated[float, typer.Option("--to", help="Temperature at the end in °C.")]
Water = Annotated[float, typer.Option("--water-kg", help="Water of the bath in kg.")]
Crock = Annotated[float, typer.Option("--crock-kg", help="Crock in kg.")]
Watts = Annotated[float, typer.Option("--watts", help="Heater power in W.")]
Loss = Annotated[float, typer.Option("--loss", help="Heat loss in W/K, 1.5 to 3 with a lid.")]
Chill = Annotated[float, typer.Option("--chill", help="Power of the chill coil in W.")]
_OWN = "In place of that rig's own: "
Percent = Annotated[float | None, typer.Option(help="In %, as on the label.")]
Parts = Annotated[
    list[str],
    typer.Argument(help="Parts as kg@°C, or kg@°C@J/(kg K) for anything but water."),
]


def heat(
    kg: options.Kg,
    from_c: From,
    to_c: To,
    kind: options.Kind = options.KindName.dark,
    fat: options.Fat = None,
    solid: Annotated[float, typer.Option("--solid", help="Solid part of the fat in %.")] = 100.0,
    water_kg: Water = 0.0,
    crock_kg: Crock = 0.0,
    as_json: options.Json = False,
) -> None:
    """How much heat a batch and its bath take from one temperature to another."""
    from glossbath.chocolate import heat as sums

    result = sums.batch_heat(
        kg,
        options.fat_share(kind, fat),
        from_c,
        to_c,
        solid_share=solid / 100,
        water_kg=water_kg,
        crock_kg=crock_kg,
    )
    show(result, as_json)


def heater(
    watts: Watts,
    from_c: From,
    to_c: To,
    water_kg: Water,
    crock_kg: Crock = 3.0,
    kg: options.Kg = 0.0,
    loss: Loss = 2.0,
    room: options.Room = 20.0,
    as_json: options.Json = False,
) -> None:
    """How long a heater takes for bath and liquid chocolate together, with and without loss."""
    from glossbath.chocolate import heat as sums

    capacity = _capacity(water_kg, crock_kg, kg)
    lossless = sums.heater_s(capacity, watts, from_c, to_c)
    seconds = sums.heater_s(capacity, watts, from_c, to_c, loss_w_per_k=loss, room_c=room)
    values = {"seconds": seconds, "lossless_seconds": lossless, "capacity_j_per_k": capacity}
    line = (
        f"{watts:g} W take {seconds / 60:.0f} min from {from_c:g} to {to_c:g} °C with a loss of "
        f"{loss:g} W/K, {lossless / 60:.0f} min without any."
    )
    show_values(values, [line], as_json)


def cooling(
    from_c: From,
    to_c: To,
    water_kg: Water,
    crock_kg: Crock = 3.0,
    kg: options.Kg = 0.0,
    loss: Loss = 2.0,
    chill: Chill = 0.0,
    room: options.Room = 20.0,
    as_json: options.Json = False,
) -> None:
    """How long bath and liquid chocolate take to cool by the room and a chill coil."""
    from glossbath.chocolate import heat as sums

    capacity = _capacity(water_kg, crock_kg, kg)
    seconds = sums.cooling_s(capacity, from_c, to_c, loss_w_per_k=loss, room_c=room, chill_w=chill)
    line = (
        f"It takes {seconds / 60:.0f} min from {from_c:g} to {to_c:g} °C with {chill:g} W of "
        f"chilling and a loss of {loss:g} W/K to a room of {room:g} °C."
    )
    show_values({"seconds": seconds, "capacity_j_per_k": capacity}, [line], as_json)


def mix(
    parts: Parts,
    ice: Annotated[float, typer.Option("--ice", help="Ice at 0 °C in kg.")] = 0.0,
    as_json: options.Json = False,
) -> None:
    """What warm and cold parts, and ice, come to."""
    from glossbath.chocolate import mixture

    bodies = [_body(part) for part in parts]
    if ice != 0:
        show(mixture.mix_with_ice(ice, bodies), as_json)
        return
    celsius = mixture.mixed_c(bodies)
    show_values({"celsius": celsius}, [f"The mixture comes to {celsius:.1f} °C."], as_json)


def ice(
    from_c: From,
    to_c: To,
    water_kg: Water,
    crock_kg: Crock = 3.0,
    kg: options.Kg = 0.0,
    cold_water: Annotated[
        float, typer.Option("--cold-water", help="Tap water in °C, to use in place of ice.")
    ] = 15.0,
    as_json: options.Json = False,
) -> None:
    """How much ice, or cold water, cools the bath."""
    from glossbath.chocolate import limits, mixture

    limits.celsius("cold water", cold_water, (0.0, 40.0))
    capacity = _capacity(water_kg, crock_kg, kg)
    ice_kg = mixture.ice_needed_kg(capacity, from_c, to_c)
    values: dict[str, float | None] = {"ice_kg": ice_kg, "cold_water_kg": None}
    lines = [
        f"{ice_kg:.2f} kg of ice melted in the bath cool it from {from_c:g} to {to_c:g} °C: take "
        "out as much water first, and keep ice and splashes away from the chocolate."
    ]
    if cold_water < to_c:
        values["cold_water_kg"] = mixture.cold_water_needed_kg(capacity, from_c, to_c, cold_water)
        lines.append(f"Or {values['cold_water_kg']:.1f} kg of water at {cold_water:g} °C.")
    else:
        lines.append(f"Water at {cold_water:g} °C is too warm to cool it to {to_c:g} °C.")
    show_values(values, lines, as_json)


def windows(
    kind: options.Kind = options.KindName.dark,
    cocoa: Percent = None,
    cocoa_butter: Percent = None,
    sugar: Percent = None,
    milk: Annotated[float, typer.Option(help="Milk solids with their fat in %.")] = 0.0,
    milk_fat: Annotated[float, typer.Option(help="In %.")] = 0.0,
    as_json: options.Json = False,
) -> None:
    """Melt, cooling and working windows for a kind or for your own composition."""
    from glossbath.chocolate.windows import suggest

    own = options.composition(cocoa, cocoa_butter, sugar, milk, milk_fat)
    show(suggest(own if own is not None else kind.value), as_json)


def names(
    kind: options.Kind = options.KindName.dark,
    cocoa: Percent = None,
    cocoa_butter: Percent = None,
    sugar: Percent = None,
    milk: Annotated[float, typer.Option(help="Milk solids with their fat in %.")] = 0.0,
    milk_fat: Annotated[float, typer.Option(help="In %.")] = 0.0,
    as_json: options.Json = False,
) -> None:
    """Minimum contents that the usual names on a label ask for; the authority decides."""
    import msgspec

    from glossbath.chocolate.composition import TYPICAL, name_rules

    own = options.composition(cocoa, cocoa_butter, sugar, milk, milk_fat) or TYPICAL[kind.value]
    rules = name_rules(own)
    values = {"rules": [{**msgspec.to_builtins(rule), "met": rule.met} for rule in rules]}
    lines = [rule.sentence() for rule in rules]
    show_values(values, [*lines, "Ask the food authority where you sell."], as_json)


def batch(
    kg: options.Kg,
    rig: Annotated[str, typer.Option("--rig", help="On which rig, by its name.")] = "rig",
    kind: options.Kind = options.KindName.dark,
    fat: options.Fat = None,
    water_kg: Annotated[float | None, typer.Option("--water-kg", help=_OWN + "water, kg.")] = None,
    watts: Annotated[float | None, typer.Option("--watts", help=_OWN + "heater, W.")] = None,
    crock_kg: Annotated[float | None, typer.Option("--crock-kg", help=_OWN + "crock, kg.")] = None,
    crock_l: Annotated[float | None, typer.Option(help="Volume of the crock in l.")] = None,
    loss: Annotated[float | None, typer.Option("--loss", help=_OWN + "heat loss, W/K.")] = None,
    ice: Annotated[float | None, typer.Option("--ice", help="Ice at hand in kg; 0: none.")] = None,
    chocolate: Annotated[float, typer.Option("--chocolate", help="Its start in °C.")] = 20.0,
    water: Annotated[float, typer.Option("--water", help="The water's start in °C.")] = 20.0,
    room: options.Room = 20.0,
    ready: Annotated[
        str | None, typer.Option("--ready", help="When to be ready: HH:MM or 2031-03-01T12:00.")
    ] = None,
    as_json: options.Json = False,
) -> None:
    """The whole plan of a batch: times, heat, ice, energy, water level, and when to start."""
    import msgspec

    from glossbath.chocolate.heat import CROCK_CP, batch_heat
    from glossbath.chocolate.level import water_advice
    from glossbath.recipe import load
    from glossbath.thermal.forecast import Start, forecast
    from glossbath.thermal.model import as_described, load_model

    recipe = load(kind.value)
    if fat is not None:
        recipe = msgspec.structs.replace(recipe, fat_share=options.fat_share(kind, fat))
    model = as_described(
        load_model(rig),
        water_kg=water_kg,
        heater_w=watts,
        crock_kg=crock_kg,
        room_w_per_k=loss,
        ice_kg=ice,
    )
    made = forecast(recipe, model, Start(chocolate, water, water), kg, room)
    needed = batch_heat(
        kg,
        recipe.fat_share,
        chocolate,
        recipe.phases[0].target_c,
        water_kg=model.water_kg,
        water_from_c=water,
        crock_kg=model.body_j_per_k / CROCK_CP,
    )
    values = {**msgspec.to_builtins(made), "heat": msgspec.to_builtins(needed)}
    lines = [*made.sentences(), *needed.sentences(), *water_advice(kg, model.water_kg, crock_l)]
    if not model.uncertainty_shares:
        lines.append(f"The rig named {rig} was never measured: start with glossbath tune recipe.")
    if ready is not None:
        begin = _start(made, ready)
        values = {**values, "start": msgspec.to_builtins(begin)}
        lines = [*begin.sentences(), *lines]
    show_values(values, lines, as_json)


def _start(made: Forecast, ready: str) -> SwitchOn:
    """When to switch on for a plan to be ready."""
    from glossbath.chocolate.schedule import start

    now = clock()
    least_s = max(0.0, made.ready_s.value - made.ready_s.uncertainty)
    most_s = None if made.stuck else made.ready_s.value + made.ready_s.uncertainty
    return start(least_s, most_s, _moment(ready, now), now)


def clock() -> datetime:
    """The computer's local time, without a zone, as a kitchen clock shows it."""
    return datetime.now().replace(second=0, microsecond=0)


def _moment(text: str, now: datetime) -> datetime:
    """A moment from HH:MM (the next one) or an ISO date and time in local time."""
    try:
        if "T" not in text and " " not in text and len(text) <= 5:
            hours, minutes = (int(part) for part in text.split(":"))
            moment = now.replace(hour=hours, minute=minutes)
            return moment if moment > now else moment + timedelta(days=1)
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise InputError(
            f"{quoted(text)} is no time to be ready: write it as 14:30 or 2031-03-01T14:30."
        ) from None
    return moment if moment.tzinfo is None else moment.astimezone().replace(tzinfo=None)


def _capacity(water_kg: float, crock_kg: float, chocolate_kg: float) -> float:
    """Heat capacity of the bath and liquid chocolate in J/K."""
    from glossbath.chocolate import heat as sums
    from glossbath.chocolate import limits

    limits.mass_kg("water", water_kg, zero=True)
    limits.mass_kg("crock", crock_kg, zero=True)
    limits.mass_kg("chocolate", chocolate_kg, zero=True)
    bath = water_kg * sums.WATER_CP + crock_kg * sums.CROCK_CP
    return bath + chocolate_kg * sums.CHOCOLATE_CP_HOT


def _body(text: str) -> Body:
    from glossbath.chocolate import heat as sums
    from glossbath.chocolate import limits, mixture

    try:
        numbers = [float(part) for part in text.split("@")]
        if len(numbers) not in (2, 3):
            raise ValueError
    except ValueError:
        raise InputError(
            f"{quoted(text)} is no part of a mixture: write kg@°C, for example 2@45, or "
            "kg@°C@J/(kg K), for example 0.5@150@900."
        ) from None
    is_water = len(numbers) == 2
    cp = sums.WATER_CP if is_water else numbers[2]
    return mixture.Body(
        limits.mass_kg("part", numbers[0], zero=True),
        limits.number("specific heat of a part", cp, 50.0, 10_000.0, "J/(kg K)"),
        limits.celsius(
            "water" if is_water else "part",
            numbers[1],
            limits.WATER_C if is_water else (-40.0, 300.0),
        ),
    )
