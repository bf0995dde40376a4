"""Commands for looking back: why it turned white, and what went with good results."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glossbath.errors import InputError
from glossbath.forms.answer import show, show_values

from . import columns, options

if TYPE_CHECKING:
    from glossbath.chocolate.bloom import Record, Table
    from glossbath.chocolate.learning import Cycle
    from glossbath.chocolate.windows import Suggestion

Number = Annotated[float | None, typer.Option(help="In °C.")]
Words = Annotated[list[str] | None, typer.Argument(help="What you see, when, how it was stored.")]
Listed = Annotated[bool, typer.Option("--words", help="List the words you can use.")]
Humidity = Annotated[float | None, typer.Option(help="Humidity of the room in %.")]
Held = Annotated[float | None, typer.Option(help="Minutes it was held.")]
Dipped = Annotated[
    bool | None, typer.Option("--dip-good/--dip-bad", help="What the dip test said.")
]
Recorded = Annotated[
    Path | None, typer.Option("--cycle", help="Folder of its cycle, to take into account.")
]


def bloom(
    signs: Words = None,
    words: Listed = False,
    coolest: Number = None,
    warmest: Number = None,
    room: Number = None,
    mould: Number = None,
    rh: Humidity = None,
    held: Held = None,
    dip_good: Dipped = None,
    cycle: Recorded = None,
    kind: options.Kind = options.KindName.dark,
    cool: options.Cool = None,
    work: options.Work = None,
    as_json: options.Json = False,
) -> None:
    """Why it turned white, dull, soft or stuck: causes with what speaks for and against them.

    Without a sign, on a terminal, it asks for one after the other.
    """
    from glossbath.chocolate import bloom as causes

    if words:
        _list_words(as_json)
        return
    if signs is None and not as_json and sys.stdin.isatty():
        signs = ask(causes.table())
    typed = {
        "coolest_c": coolest,
        "warmest_c": warmest,
        "held_s": None if held is None else held * 60,
        "dip_good": dip_good,
        "room_c": room,
        "rh_share": None if rh is None else rh / 100,
        "mould_c": mould,
    }
    record, windows = _recorded(cycle, typed)
    if windows is None or cool is not None or work is not None:
        windows = options.windows_of(kind, cool, work)
    known = causes.record_words(record, windows)
    show(causes.diagnose([*(signs or []), *known]), as_json)


def _recorded(
    cycle: Path | None, typed: dict[str, float | bool | None]
) -> tuple[Record, Suggestion | None]:
    """What a cycle's record says, overruled by what a person says, and its recipe's windows."""
    import msgspec

    from glossbath.chocolate import bloom as causes

    record, windows = causes.Record(), None
    if cycle is not None:
        from .cycles import bloom_record

        record, windows = bloom_record(cycle)
    said = {name: value for name, value in typed.items() if value is not None}
    return msgspec.structs.replace(record, **said), windows


def ask(known: Table, prompt: Callable[[str], str] = input) -> list[str]:
    """Ask for the signs one after the other; of when it showed, and of how it was stored, only
    until one is so."""
    typer.echo("Answer y or n; just Enter for what you do not know.")
    found = [word for word, text in known.signs.items() if _so(prompt, text)]
    when = next((word for word, text in known.after.items() if _so(prompt, text)), None)
    found += [] if when is None else [when]
    return found + [word for word, text in known.stored.items() if _so(prompt, text)]


def _so(prompt: Callable[[str], str], text: str) -> bool:
    try:
        return prompt(f"Is it so that {text}? ").strip().lower().startswith("y")
    except EOFError:
        return False


def learn(
    file: Annotated[
        Path | None, typer.Argument(help="CSV: chocolate, good, and one column a setting.")
    ] = None,
    chocolate: Annotated[
        str, typer.Option("--chocolate", help="Which chocolate, or which recipe.")
    ] = "Dark",
    cycles: Annotated[
        Path | None, typer.Option("--cycles", help="Folder of recorded cycles.")
    ] = None,
    virtual: Annotated[
        bool, typer.Option("--virtual", help="Learn from the virtual rig's cycles.")
    ] = False,
    as_json: options.Json = False,
) -> None:
    """Which settings of past cycles went with good dip tests for one chocolate."""
    import msgspec

    from glossbath.chocolate import learning

    if (file is None) == (cycles is None):
        raise InputError("Give a CSV file or --cycles with a folder of recorded cycles, not both.")
    if file is not None:
        show(learning.learn(_cycles(file), chocolate), as_json)
        return
    assert cycles is not None
    if not cycles.is_dir():
        raise InputError(f"There is no folder {cycles}: give the folder that holds the cycles.")
    from .cycles import agreement, learnable

    found, left_out = learnable(cycles, virtual=virtual)
    lesson = learning.learn(found, chocolate)
    lines = lesson.sentences() + left_out + agreement(cycles, chocolate, virtual=virtual)
    show_values(msgspec.to_builtins(lesson), lines, as_json)


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
