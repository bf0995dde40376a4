"""Commands for looking back: why it turned white, and what went with good results."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glossbath.advice import columns, options
from glossbath.advice.show import show, show_values
from glossbath.errors import InputError

if TYPE_CHECKING:
    from glossbath.chocolate.learning import Cycle

Number = Annotated[float | None, typer.Option(help="In °C.")]


def bloom(
    signs: Annotated[
        list[str] | None, typer.Argument(help="What you see, when, and how it was stored.")
    ] = None,
    words: Annotated[bool, typer.Option("--words", help="List the words you can use.")] = False,
    coolest: Number = None,
    warmest: Number = None,
    room: Number = None,
    mould: Number = None,
    rh: Annotated[float | None, typer.Option(help="Humidity of the room in %.")] = None,
    held: Annotated[float | None, typer.Option(help="Minutes it was held.")] = None,
    dip_good: Annotated[
        bool | None, typer.Option("--dip-good/--dip-bad", help="What the dip test said.")
    ] = None,
    kind: options.Kind = options.KindName.dark,
    cool: options.Cool = None,
    work: options.Work = None,
    as_json: options.Json = False,
) -> None:
    """Why it turned white, dull, soft or stuck: causes with what speaks for and against them."""
    from glossbath.chocolate import bloom as causes

    if words:
        _list_words(as_json)
        return
    record = causes.Record(
        coolest_c=coolest,
        warmest_c=warmest,
        held_s=None if held is None else held * 60,
        dip_good=dip_good,
        room_c=room,
        rh_share=None if rh is None else rh / 100,
        mould_c=mould,
    )
    known = causes.record_words(record, options.windows_of(kind, cool, work))
    show(causes.diagnose([*(signs or []), *known]), as_json)


def learn(
    file: Annotated[Path, typer.Argument(help="CSV: chocolate, good, and one column a setting.")],
    chocolate: Annotated[str, typer.Option("--chocolate", help="Which chocolate.")],
    as_json: options.Json = False,
) -> None:
    """Which settings of past cycles went with good dip tests for one chocolate."""
    from glossbath.chocolate import learning

    show(learning.learn(_cycles(file), chocolate), as_json)


def _cycles(file: Path) -> list[Cycle]:
    from glossbath.chocolate import learning

    cycles = []
    for line, row in enumerate(columns.rows(file, ("chocolate", "good")), start=2):
        if None in row:
            raise InputError(f"{file}, line {line}: it has more cells than the header line.")
        settings = {
            name: columns.number(file, line, name, cell)
            for name, cell in row.items()
            if name not in ("chocolate", "good") and cell and cell.strip()
        }
        good = columns.yes(file, line, "good", row["good"] or "")
        cycles.append(learning.Cycle((row["chocolate"] or "").strip(), settings, good))
    return cycles


def _list_words(as_json: bool) -> None:
    from glossbath.chocolate import bloom as causes

    known = causes.table()
    groups = {"seen": known.signs, "after": known.after, "stored": known.stored}
    lines = [f"{word}: {text}" for group in groups.values() for word, text in group.items()]
    show_values(dict(groups), lines, as_json)
