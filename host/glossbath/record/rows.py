"""Readings and events as lines of CSV, both ways.

A line never contains a line break inside a value, so one line is one row and a damaged line harms
no other.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from typing import Any

import msgspec

from glossbath.client.messages import Event, Reading

from .columns import Column

_GUARD = "Text: "
_FORMULA = ("=", "+", "-", "@")
# OWASP, "CSV Injection": cells that begin so are formulas; tab and line break are cleaned anyway.


class _Echo:
    """What csv writes to: writerow hands back what write returns."""

    def write(self, line: str) -> str:
        """The line itself."""
        return line


_writer = csv.writer(_Echo(), lineterminator="\n")


def heading(columns: tuple[Column, ...]) -> bytes:
    """The first line of a table's file."""
    return _line([column.name for column in columns])


def reading_line(
    reading: Reading,
    virtual: bool,
    board_ticks_ms: int,
    boot_id: str,
    wall_ns: int,
    monotonic_ns: int,
) -> bytes:
    """One reading as a line of readings.csv, in the order of READINGS."""
    return _line(
        (
            _number(reading.time_s),
            clean(reading.wall),
            wall_ns,
            monotonic_ns,
            board_ticks_ms,
            clean(boot_id),
            "true" if virtual else "false",
            clean(reading.state),
            clean(reading.phase),
            reading.phase_index,
            _number(reading.phase_elapsed_s),
            _number(reading.phase_left_s),
            _number(reading.cycle_left_s),
            _number(reading.chocolate_c),
            _number(reading.bath_c),
            _number(reading.body_c),
            _number(reading.target_c),
            _number(reading.bath_target_c),
            _number(reading.heat_share),
            _number(reading.chill_share),
            _number(reading.stir_share),
            _number(reading.stir_ma),
            _number(reading.room_c),
            _number(reading.room_rh_percent),
            guarded(";".join([f"{probe}={word}" for probe, word in reading.faults.items()])),
        )
    )


def event_line(event: Event, virtual: bool) -> bytes:
    """One event as a line of events.csv, in the order of EVENTS."""
    return _line(
        (
            _number(event.time_s),
            clean(event.wall),
            "true" if virtual else "false",
            guarded(event.kind),
            guarded(event.code),
            guarded(event.text),
            clean(_json(event.values)),
        )
    )


def reading_from(row: dict[str, str]) -> Reading:
    """The reading in a row of cells by column name; raises ValueError where it makes no sense."""
    pairs = (item.partition("=") for item in row.get("faults", "").split(";") if item)
    return Reading(
        time_s=number(row["time_s"]),
        wall=row.get("utc", ""),
        chocolate_c=number_or_none(row, "chocolate_c"),
        bath_c=number_or_none(row, "bath_c"),
        body_c=number_or_none(row, "body_c"),
        target_c=number_or_none(row, "target_c"),
        bath_target_c=number_or_none(row, "bath_target_c"),
        heat_share=number_or_none(row, "heat_share") or 0.0,
        chill_share=number_or_none(row, "chill_share") or 0.0,
        stir_share=number_or_none(row, "stir_share") or 0.0,
        state=row.get("state", ""),
        phase=row.get("phase", ""),
        phase_index=int(number_or_none(row, "phase_index") or 0),
        phase_elapsed_s=number_or_none(row, "phase_elapsed_s") or 0.0,
        phase_left_s=number_or_none(row, "phase_left_s"),
        cycle_left_s=number_or_none(row, "cycle_left_s"),
        faults={probe: word for probe, _, word in pairs},
        room_c=number_or_none(row, "room_c"),
        room_rh_percent=number_or_none(row, "room_rh_percent"),
        stir_ma=number_or_none(row, "stir_ma"),
    )


def event_from(row: dict[str, str]) -> Event:
    """The event in a row of cells by column name; raises ValueError where it makes no sense."""
    return Event(
        time_s=number(row["time_s"]),
        wall=row.get("utc", ""),
        kind=unguarded(row.get("kind", "")),
        code=unguarded(row.get("code", "")),
        text=unguarded(row.get("text", "")),
        values=msgspec.json.decode(row.get("values") or "{}", type=dict[str, Any]),
    )


def number(cell: str) -> float:
    """The finite number in a cell; raises ValueError when there is none."""
    value = float(cell)
    if not math.isfinite(value):
        raise ValueError(f"{cell} is not a finite number")
    return value


def number_or_none(row: dict[str, str], name: str) -> float | None:
    """The number in a column, None when the cell is empty or the column is not there."""
    cell = row.get(name, "")
    return number(cell) if cell else None


def clean(text: str) -> str:
    """The text on one line, without control characters or what UTF-8 cannot carry."""
    text = str(text)
    if text.isprintable():
        return text
    return "".join(character if character.isprintable() else " " for character in text)


def guarded(text: str) -> str:
    """Cleaned text that no spreadsheet takes for a formula: a word stands before what begins like
    one. People see it, pandas reads it as it is; `unguarded` takes it away."""
    text = clean(text)
    return f"{_GUARD}{text}" if text.startswith((*_FORMULA, _GUARD)) else text


def unguarded(cell: str) -> str:
    """The text that was given to `guarded`, cleaned."""
    return cell.removeprefix(_GUARD)


def _number(value: float | None) -> float | str:
    # Thousandths are what the board measures in. Not a number at all is left empty, as it would
    # otherwise look like a measurement.
    if value is None or not math.isfinite(value):
        return ""
    return round(value, 3)


def _json(values: dict[str, Any]) -> str:
    try:
        return msgspec.json.encode(values, enc_hook=str).decode()
    except (TypeError, ValueError):
        # Text that UTF-8 cannot carry, or keys that JSON has not: the event itself must be kept.
        return msgspec.json.encode({"unencodable": clean(repr(values))}).decode()


def _line(cells: Sequence[Any]) -> bytes:
    line: str = _writer.writerow(cells)
    return line.encode()
