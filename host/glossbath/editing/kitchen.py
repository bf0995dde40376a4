"""What is asked of the kitchen before a cycle: ice, tap water, room; and the plan that follows."""

from __future__ import annotations

from typing import Any

from glossbath.chocolate import limits
from glossbath.client.messages import Reading
from glossbath.errors import InputError
from glossbath.forms.fahrenheit import field_in_fahrenheit, said
from glossbath.forms.fields import CELSIUS, Field, Number
from glossbath.process.start_plan import has_bucket, plan_start
from glossbath.process.start_request import Said
from glossbath.recipe import Recipe
from glossbath.thermal.forecast import MOST_ICE_KG, TAP_C, Plan
from glossbath.words import Degrees

ICE = Number("Ice in the bucket", name="ice_kg", unit="kg", low=0, high=MOST_ICE_KG, default=None)
TAP = Number("Tap water", name="tap_c", unit=CELSIUS, low=TAP_C[0], high=TAP_C[1], default=None)
ROOM = Number(
    "Room", name="room_c", unit=CELSIUS, low=limits.ROOM_C[0], high=limits.ROOM_C[1], default=None
)
NAMES = tuple(field.name for field in (ICE, TAP, ROOM))


def kitchen_fields(rig: str, reading: Reading | None, fahrenheit: bool) -> tuple[Field, ...]:
    """What to ask for a rig: of ice and tap water where it has a bucket for them, and of the room
    where no sensor of its own tells that."""
    asked: list[Field] = [ICE, TAP] if has_bucket(rig) else []
    if reading is None or reading.room_c is None:
        asked.append(ROOM)
    return tuple(field_in_fahrenheit(field) if fahrenheit else field for field in asked)


def said_of(values: dict[str, Any], fahrenheit: bool) -> Said:
    """What was given as numbers, checked as on the screen; raises InputError."""
    read: dict[str, float | None] = {}
    for field in (ICE, TAP, ROOM):
        asked = field_in_fahrenheit(field) if fahrenheit else field
        value = values.get(field.name)
        read[field.name] = None if value is None else asked.read(f"{value!r}")
    return Said(**read)


def given(said: Said) -> dict[str, float]:
    """What was said, as values of a start order."""
    values = {name: getattr(said, name) for name in NAMES}
    return {name: value for name, value in values.items() if value is not None}


def told(made: Plan, degrees: Degrees) -> list[str]:
    """A plan's sentences in the chosen unit, the same for screen and command."""
    return [said(line) if degrees.fahrenheit else line for line in made.sentences]


def plan_or_why(
    recipe: Recipe,
    rig: str,
    batch_kg: float,
    reading: Reading | None,
    kitchen: Said,
    way: dict[str, Any] | None = None,
) -> Plan:
    """The plan, or one that says why there is none: it must stand in nobody's way."""
    try:
        return plan_start(recipe, rig, batch_kg, reading, kitchen, way)
    except InputError as error:
        return Plan((f"There is no plan for this cycle: {error}",))
    except Exception as error:  # a plan is a comfort, and the start waits for it
        return Plan((f"There is no plan for this cycle: {type(error).__name__}: {error}",))
