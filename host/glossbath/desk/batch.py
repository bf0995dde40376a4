"""Before a batch: its plan, its windows, the names that its composition allows."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Annotated, Literal

from glossbath.errors import InputError, quoted
from glossbath.forms.answer import Answer, answer
from glossbath.forms.fields import Choice, Number, Percent, Text

from . import options

if TYPE_CHECKING:
    from glossbath.chocolate.schedule import Start as SwitchOn
    from glossbath.thermal.forecast import Forecast


def _own(label: str, unit: str, low: float, high: float) -> Number:
    """A number that takes the place of the rig's own."""
    note = f"{low:g} to {high:g} {unit}, in place of that rig's own"
    return Number(label, unit=unit, low=low, high=high, note=note)


def batch(
    kg: options.Kg,
    rig: Annotated[str, Text("On which rig, by its name", example="rig", live="rig")] = "rig",
    kind: options.Kind = "dark",
    fat_share: options.FatShare = None,
    water_kg: Annotated[float | None, _own("Own water", "kg", 0.05, 20)] = None,
    watts: Annotated[float | None, _own("Own heater", "W", 20, 3000)] = None,
    crock_kg: Annotated[float | None, _own("Own crock", "kg", 0.2, 50)] = None,
    crock_l: Annotated[
        float | None, Number("Volume of the crock", unit="l", low=0.5, high=100)
    ] = None,
    loss: Annotated[float | None, _own("Own heat loss", "W/K", 0.1, 50)] = None,
    ice: Annotated[float | None, Number("Ice at hand, 0 for none", unit="kg", high=100)] = None,
    chocolate_c: Annotated[
        float, Number("Chocolate at the start", unit="°C", low=0, high=80, live="chocolate_c")
    ] = 20.0,
    water_c: Annotated[
        float, Number("Water at the start", unit="°C", low=0, high=60, live="bath_c")
    ] = 20.0,
    room_c: options.Room = 20.0,
    rh_share: Annotated[
        float | None, Percent("Humidity of the room", low=1, option="--rh", live="rh_percent")
    ] = None,
    ready: Annotated[
        str | None, Text("To be ready at", example="14:30", note="as 14:30 or 2031-03-01T14:30")
    ] = None,
) -> Answer:
    """The whole plan of a batch: times, heat, ice, energy, water level, and when to start."""
    import msgspec

    from glossbath.chocolate.heat import CROCK_CP, batch_heat
    from glossbath.chocolate.level import water_advice
    from glossbath.chocolate.room import air
    from glossbath.chocolate.sweat import cycle_sweats
    from glossbath.recipe import load
    from glossbath.thermal.forecast import Start, forecast
    from glossbath.thermal.model import as_described, load_model

    recipe = load(kind)
    too_hot = []
    if chocolate_c > recipe.max_c:
        high_c = recipe.phases[0].window.high_c
        too_hot = [
            f"Chocolate of {chocolate_c:g} °C is above the {recipe.max_c:g} °C at which this "
            f"recipe trips: let it cool to {high_c:g} °C first, stirred, as it comes from the "
            "refiner. The plan begins there."
        ]
        chocolate_c = high_c
    if fat_share is not None:
        recipe = msgspec.structs.replace(recipe, fat_share=fat_share)
    model = as_described(
        load_model(rig), water_kg=water_kg, heater_w=watts, crock_kg=crock_kg,
        room_w_per_k=loss, ice_kg=ice,
    )  # fmt: skip
    made = forecast(recipe, model, Start(chocolate_c, water_c, water_c), kg, room_c)
    needed = batch_heat(
        kg, recipe.fat_share, chocolate_c, recipe.phases[0].target_c,
        kind=kind, water_kg=model.water_kg, water_from_c=water_c,
        crock_kg=model.body_j_per_k / CROCK_CP,
    )  # fmt: skip
    lines = [*needed.sentences(), *water_advice(kg, model.water_kg, crock_l)]
    if not model.uncertainty_shares:
        lines.append(f"The rig named {rig} was never measured: start with glossbath tune recipe.")
    if rh_share is not None:
        lines += cycle_sweats(air(room_c, rh_share), kind, recipe.phases)
    found = answer(made, lines, heat=msgspec.to_builtins(needed))
    found.sentences[:0] = too_hot
    if ready is None:
        return found
    begin = _start(made, ready)
    values = {**found.values, "start": msgspec.to_builtins(begin)}
    return Answer(values, [*begin.sentences(), *found.sentences])


def _start(made: Forecast, ready: str) -> SwitchOn:
    """When to switch on for a plan to be ready."""
    from glossbath.chocolate.schedule import start

    now = clock()
    least_s = max(0.0, made.ready_s.value - made.ready_s.uncertainty)
    most_s = None if made.stuck else made.ready_s.value + made.ready_s.uncertainty
    return start(least_s, most_s, _moment(ready, now), now)


def windows(contents: options.Contents) -> Answer:
    """Melt, cooling and working windows for a kind or for your own composition."""
    from glossbath.chocolate.windows import suggest

    return answer(suggest(contents.composition() or contents.kind))


def legal_names(
    contents: options.Contents,
    law: Annotated[
        Literal["codex", "eu", "us"], Choice("Where it is sold", words=("codex", "eu", "us"))
    ] = "codex",
) -> Answer:
    """Which names on a label a composition may bear, by the law you choose: Codex CXS 87-1981, the
    EU's Directive 2000/36/EC or the USA's 21 CFR 163."""
    import msgspec

    from glossbath.chocolate import law as laws

    made = contents.composition()
    if made is None:
        raise InputError(
            "Give --cocoa, --cocoa-butter and --sugar in %: a name is judged by what is in it."
        )
    found = laws.names(made, law)
    values = {"law": law, "names": [msgspec.to_builtins(verdict) for verdict in found]}
    lines = [verdict.sentence() for verdict in found]
    return Answer(values, [*lines, "Ask the food authority where you sell."])


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
            f"{quoted(text)} is not a time to be ready: write it as 14:30 or 2031-03-01T14:30."
        ) from None
    return moment if moment.tzinfo is None else moment.astimezone().replace(tzinfo=None)
