"""The parts list as CSV: what to buy for each variant and voltage, and the rating that matters."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field

from hardware import stock
from hardware.wiring import VARIANTS, Part, Wiring, load

FIELDS = (
    "names",
    *VARIANTS,
    "part",
    "230 V",
    "120 V",
    "rated",
    "look for",
    "why",
    "place",
)
UNITS = (
    ("amps", "A"),
    ("volts", "V"),
    ("watts", "W"),
    ("celsius", "°C"),
    ("tolerance_percent", "%"),
)


@dataclass
class _Line:
    """Parts that are alike in everything but their names, over the variants."""

    part: Part
    place: str
    names: dict[str, list[str]] = field(default_factory=dict)


def table(wirings: dict[str, Wiring]) -> list[dict[str, str]]:
    """One row for each thing to buy; parts alike in everything share a row."""
    lines: dict[tuple[str, ...], _Line] = {}
    for variant, wiring in wirings.items():
        for name, part in wiring.parts.items():
            line = lines.setdefault(
                _key(wiring, part), _Line(part, wiring.places[part.place].text)
            )
            line.names.setdefault(variant, []).append(name)
    rows = [_row(line) for _, line in sorted(lines.items(), key=lambda item: item[0])]
    return rows + [_stock_row(item, wirings) for item in stock.items()]


def text(wirings: dict[str, Wiring] | None = None) -> str:
    """The table as CSV text with a header line."""
    out = io.StringIO()
    writer = csv.DictWriter(out, FIELDS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(table(wirings or {v: load(variant=v) for v in VARIANTS}))
    return out.getvalue()


def _row(line: _Line) -> dict[str, str]:
    part = line.part
    names = list(dict.fromkeys(name for found in line.names.values() for name in found))
    counts = {v: str(len(line.names.get(v, []))) if v in line.names else "" for v in VARIANTS}
    if part.option:
        counts = {v: "option" if count else "" for v, count in counts.items()}
    return {
        "names": " ".join(names),
        **counts,
        "part": part.text,
        "230 V": part.value,
        "120 V": part.value_120 or part.value,
        "rated": _ratings(part),
        "look for": part.buy,
        "why": part.why,
        "place": line.place,
    }


def _stock_row(item: stock.Item, wirings: dict[str, Wiring]) -> dict[str, str]:
    counts = {v: item.needed(wiring) for v, wiring in wirings.items()}
    return {
        "names": "",
        **{v: f"{count} {item.unit}".strip() if count else "" for v, count in counts.items()},
        "part": item.text,
        "230 V": item.value,
        "120 V": item.value_120 or item.value,
        "rated": "",
        "look for": "",
        "why": item.why,
        "place": "stock",
    }


def _key(wiring: Wiring, part: Part) -> tuple[str, ...]:
    rated = _ratings(part)
    return (wiring.places[part.place].text, part.kind, part.text, part.value, rated, part.why)


def _ratings(part: Part) -> str:
    """Ratings in words; for a fuse or a probe they are the value itself, not a minimum."""
    values = [(getattr(part.rated, name), unit) for name, unit in UNITS]
    words = [f"{value:g} {unit}" for value, unit in values if value]
    if part.barrier_volts:
        words.append(f"{part.barrier_volts:g} V and {part.creepage_mm:g} mm to low voltage")
    if part.rated.trip_ma:
        words.append(f"trips at {part.rated.trip_ma:g} mA or less")
    return ", ".join(words)
