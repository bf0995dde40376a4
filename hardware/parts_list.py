"""The parts list as CSV: what to buy, the rating that matters and why it matters."""

from __future__ import annotations

import csv
import io
from itertools import groupby

from hardware.wiring import Part, Wiring

FIELDS = ("names", "count", "part", "value", "rated", "why", "place")
UNITS = (
    ("amps", "A"),
    ("volts", "V"),
    ("watts", "W"),
    ("celsius", "°C"),
)


def table(wiring: Wiring) -> list[dict[str, str]]:
    """One row for each thing to buy; parts alike in everything share a row."""
    rows = []
    ordered = sorted(wiring.parts.items(), key=lambda item: _key(wiring, item[1]))
    for _, group in groupby(ordered, key=lambda item: _key(wiring, item[1])):
        items = list(group)
        part = items[0][1]
        rows.append(
            {
                "names": " ".join(name for name, _ in items),
                "count": "option" if part.option else str(len(items)),
                "part": part.text,
                "value": part.value,
                "rated": _ratings(part),
                "why": " ".join(dict.fromkeys(each.why for _, each in items)),
                "place": wiring.places[part.place].text,
            }
        )
    return rows


def text(wiring: Wiring) -> str:
    """The table as CSV text with a header line."""
    out = io.StringIO()
    writer = csv.DictWriter(out, FIELDS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(table(wiring))
    return out.getvalue()


def _key(wiring: Wiring, part: Part) -> tuple[int, str, str, str]:
    return (list(wiring.places).index(part.place), part.kind, part.text, part.value)


def _ratings(part: Part) -> str:
    """Ratings in words; for a fuse or a probe they are the value itself, not a minimum."""
    values = [(getattr(part.rated, name), unit) for name, unit in UNITS]
    words = [f"{value:g} {unit}" for value, unit in values if value]
    if part.barrier_volts:
        words.append(f"{part.barrier_volts:g} V between mains and low voltage")
    if part.rated.trip_ma:
        words.append(f"trips at {part.rated.trip_ma:g} mA or less")
    return ", ".join(words)
