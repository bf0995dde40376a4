"""Looking back: why it turned white, and what went with good results."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from glossbath.errors import InputError
from glossbath.forms.answer import Answer, answer
from glossbath.forms.fields import File, Minutes, Number, Percent, Text, YesNo
from glossbath.forms.signs import Signs

from . import columns, options

if TYPE_CHECKING:
    from glossbath.chocolate.bloom import Record
    from glossbath.chocolate.learning import Cycle
    from glossbath.chocolate.windows import Suggestion


def _celsius(label: str, low: float, high: float, live: str = "") -> Number:
    return Number(label, unit="°C", low=low, high=high, live=live)


def bloom(
    signs: Annotated[list[str], Signs("Signs", note="what you see, when, how it was stored")],
    cycle: Annotated[
        Path | None, File("Folder of its cycle", example="/cycles/one", live="folder")
    ] = None,
    coolest_c: Annotated[float | None, _celsius("Coolest while cooling", 0, 60)] = None,
    warmest_c: Annotated[float | None, _celsius("Warmest while used", 0, 60)] = None,
    held_s: Annotated[float | None, Minutes("Held for", high=10_080)] = None,
    dip_good: Annotated[
        bool | None, YesNo("The dip test was good", option="--dip-good", negative="--dip-bad")
    ] = None,
    room_c: Annotated[float | None, _celsius("Air of the room", 0, 50, "room_c")] = None,
    rh_share: Annotated[float | None, Percent("Humidity", live="rh_percent")] = None,
    mould_c: Annotated[float | None, _celsius("Moulds", -20, 60)] = None,
    own: options.Own = options.USUAL,
    words: Annotated[bool, YesNo("List the words", on_form=False)] = False,
) -> Answer:
    """Why it turned white, dull, soft or stuck: causes with what speaks for and against them.

    Without a sign, on a terminal, it asks for one after the other.
    """
    from glossbath.chocolate import bloom as causes

    if words:
        known = causes.table()
        groups = {"seen": known.signs, "after": known.after, "stored": known.stored}
        lines = []
        for word, text in known.phrases().items():
            lines += [f"{word}: {text}"] if word not in known.record else []
            lines += [f"    {row}" for row in known.drawing.get(word, "").splitlines()]
        return Answer({**groups, "drawing": known.drawing}, lines)
    typed = {
        "coolest_c": coolest_c,
        "warmest_c": warmest_c,
        "held_s": held_s,
        "dip_good": dip_good,
        "room_c": room_c,
        "rh_share": rh_share,
        "mould_c": mould_c,
    }
    record, windows = _recorded(cycle, typed)
    if windows is None or own.cool is not None or own.work is not None:
        windows = own.windows()
    return answer(causes.diagnose([*signs, *causes.record_words(record, windows)]))


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


def learn(
    file: Annotated[
        Path | None,
        File("CSV file", option="argument", example="cycles.csv",
             note="CSV file with chocolate, good, and one column a setting"),
    ] = None,
    cycles: Annotated[
        Path | None, File("or folder of cycles", example="/cycles", live="cycles")
    ] = None,
    chocolate: Annotated[
        str, Text("Chocolate or recipe", example="Dark", live="recipe")
    ] = "Dark",
    virtual: Annotated[bool, YesNo("Cycles of virtual rigs")] = False,
    tests: Annotated[bool, YesNo("Show the tests behind it")] = False,
) -> Answer:  # fmt: skip
    """Which settings of past cycles went with good dip tests for one chocolate."""
    from glossbath.chocolate import learning

    if file is not None and cycles is None:
        lesson = learning.learn(_cycles(file), chocolate)
        return answer(lesson, lesson.details() if tests else [])
    if cycles is None or file is not None:
        raise InputError("Give a CSV file or --cycles with a folder of recorded cycles, not both.")
    if not cycles.is_dir():
        raise InputError(f"There is no folder {cycles}: give the folder that holds the cycles.")
    from .cycles import agreement, learnable

    found, left_out = learnable(cycles, virtual=virtual)
    lesson = learning.learn(found, chocolate)
    more = [*left_out, *agreement(cycles, chocolate, virtual=virtual)]
    return answer(lesson, [*more, *(lesson.details() if tests else [])])


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
