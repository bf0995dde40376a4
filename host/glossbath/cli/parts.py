"""glossbath parts: what to buy for a rig, by variant and mains voltage."""

from __future__ import annotations

import textwrap
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

_WIDTH = 96


class Variant(StrEnum):
    """How the mains side is made."""

    READY = "ready"
    BOX = "box"


class Voltage(StrEnum):
    """Nominal mains voltage; 100 to 127 V go with 120."""

    V120 = "120"
    V230 = "230"


def parts(
    variant: Annotated[
        Variant,
        typer.Option(help="ready: units that nobody opens. box: made by an electrician."),
    ] = Variant.READY,
    voltage: Annotated[Voltage, typer.Option(help="Your mains, in volts.")] = Voltage.V230,
    out: Annotated[
        Path | None, typer.Option(help="Write the list as a CSV file instead of printing it.")
    ] = None,
) -> None:
    """What to buy for a rig, with the ratings that matter and why."""
    rows = wanted(variant.value, voltage.value)
    if out is not None:
        _write(out, rows)
        print(f"{len(rows)} lines in {out}")
        return
    print(f"Parts for the {variant.value} variant at {voltage.value} V.")
    print(_CAUTION)
    for row in rows:
        for line in shown(row):
            print(line)


_CAUTION = (
    "Mains voltage can kill: mains work is for a licensed electrician under local codes.\n"
    "Nothing here is certified. More than a rating is fine, less is not.\n"
)


def wanted(variant: str, voltage: str) -> list[dict[str, str]]:
    """The lines of the list for one variant and voltage: count, names, part, value and reasons."""
    import csv

    text = parts_file().read_text(encoding="utf-8")
    return [
        {
            "count": row[variant],
            "names": row["names"],
            "part": row["part"],
            "value": row[f"{voltage} V"],
            "rated": row["rated"],
            "look for": row["look for"],
            "why": row["why"],
            "place": row["place"],
        }
        for row in csv.DictReader(text.splitlines())
        if row[variant]
    ]


def parts_file() -> Path:
    """Where the list lies: beside the package when installed, else in the repository."""
    import glossbath

    package = Path(glossbath.__file__).parent
    packed = package / "parts.csv"
    return packed if packed.is_file() else package.parents[1] / "hardware" / "parts.csv"


def shown(row: dict[str, str]) -> list[str]:
    """One line of the list as text to read."""
    names = f" ({row['names']})" if row["names"] else ""
    head = f"{row['count']:>10}  {row['part']}: {row['value']}{names}"
    lines = textwrap.wrap(head, _WIDTH, subsequent_indent=" " * 12)
    for label in ("rated", "look for"):
        if row[label]:
            words = f"{label}: {row[label]}"
            lines += textwrap.wrap(
                words, _WIDTH, initial_indent=" " * 12, subsequent_indent=" " * 12
            )
    return lines


def _write(path: Path, rows: list[dict[str, str]]) -> None:
    import csv

    from glossbath.errors import InputError

    try:
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
    except OSError as error:
        raise InputError(f"{path} cannot be written: {error.strerror}; name another.") from error


def mount(app: typer.Typer) -> None:
    """Put this command under app."""
    app.command()(parts)
