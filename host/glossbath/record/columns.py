"""The columns of a cycle's two tables: the one place that says what the files contain.

They are published in the cycle's datapackage.json as Table Schema (Data Package standard, version
2), so that other programs need not know this one.
"""

from __future__ import annotations

from typing import Any, NamedTuple


class Column(NamedTuple):
    """One column: name, Table Schema type, unit (empty where there is none) and meaning."""

    name: str
    type: str
    unit: str
    description: str


_FIRST = (
    Column("time_s", "number", "s", "Time since the cycle began"),
    Column("utc", "datetime", "", "The computer's clock, UTC, when the line was received"),
)
_VIRTUAL = Column(
    "virtual", "boolean", "", "true: made by a simulated rig, no chocolate was there"
)

READINGS = (
    *_FIRST,
    Column("wall_ns", "integer", "ns", "The computer's clock, nanoseconds since 1970 UTC"),
    Column("monotonic_ns", "integer", "ns", "The computer's steady clock, from any beginning"),
    Column("board_ticks_ms", "integer", "ms", "The board's clock, from the board's start"),
    Column("boot_id", "string", "", "Changes whenever the board starts again"),
    _VIRTUAL,
    Column("state", "string", "", "State of the board"),
    Column("phase", "string", "", "Phase of the recipe, empty when none is running"),
    Column("phase_index", "integer", "", "Place of the phase in the recipe, 0 first"),
    Column("phase_elapsed_s", "number", "s", "Time since the phase began"),
    Column("phase_left_s", "number", "s", "Forecast of the time left in the phase"),
    Column("cycle_left_s", "number", "s", "Forecast of the time left in the cycle"),
    Column("chocolate_c", "number", "°C", "Chocolate probe, empty when it has no good value"),
    Column("bath_c", "number", "°C", "Bath probe, empty when it has no good value"),
    Column("body_c", "number", "°C", "Heater body probe, empty when it has no good value"),
    Column("target_c", "number", "°C", "Chocolate temperature the recipe asks for"),
    Column("bath_target_c", "number", "°C", "Bath temperature the controller asks for"),
    Column("heat_share", "number", "1", "Heat allowed, 0 off to 1 full"),
    Column("chill_share", "number", "1", "Chill pump allowed, 0 off to 1 full"),
    Column("stir_share", "number", "1", "Stirrer allowed, 0 off to 1 full"),
    Column("stir_ma", "number", "mA", "Current of the stirrer's motor"),
    Column("room_c", "number", "°C", "Air of the room"),
    Column("room_rh_percent", "number", "%", "Relative humidity of the room"),
    Column("faults", "string", "", "Faulty probes, as probe=fault word, separated by semicolons"),
)

EVENTS = (
    *_FIRST,
    _VIRTUAL,
    Column("kind", "string", "", "What sort of event: phase, trip, alarm, note and others"),
    Column("code", "string", "", "Short word that names the event"),
    Column("text", "string", "", "The event in one sentence"),
    Column("values", "object", "", "Numbers that belong to it, as a JSON object"),
)


def table_schema(columns: tuple[Column, ...]) -> dict[str, Any]:
    """The columns as a Table Schema; `unit` is our own property, which the standard allows."""
    fields = []
    for column in columns:
        field = column._asdict()
        if not column.unit:
            del field["unit"]
        fields.append(field)
    return {"missingValues": [""], "fields": fields}
