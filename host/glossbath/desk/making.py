"""What goes in and what comes out: formula, storage, label, food safety."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from glossbath.errors import InputError
from glossbath.forms.answer import Answer, answer
from glossbath.forms.fields import File, Minutes, Number, Parts, Percent, Text, YesNo

from . import columns, options


def formula(
    parts: Annotated[
        list[str],
        Parts("Ingredients, name=kg@price", example="liquor=6@9.5 sugar=3",
              note="name=kg or name=kg@price a kg, of nibs, liquor, butter, sugar, whole-milk, "
              "skim-milk, other"),
    ],
    nib_fat_share: Annotated[float, Percent("Fat of nibs and liquor", low=40, high=62)] = 0.54,
    loss_share: Annotated[float, Percent("Lost in the machines", high=50)] = 0.03,
    bar_g: Annotated[float | None, Number("A bar", unit="g", low=1, high=5000)] = None,
) -> Answer:  # fmt: skip
    """A chocolate from its ingredients: composition, fat, cost, yield, bars."""
    from glossbath.chocolate import formula as formulas

    portions = [formulas.portion(part) for part in parts]
    made = formulas.formula(
        portions, nib_fat_share=nib_fat_share, loss_share=loss_share, bar_g=bar_g
    )
    return answer(made)


def store(
    file: Annotated[
        Path | None,
        File("CSV file", option="argument", example="store.csv",
             note="CSV file of a history, time_s and room_c"),
    ] = None,
    coolest_c: Annotated[
        float | None, Number("Coolest store", unit="°C", low=-30, high=60)
    ] = None,
    warmest_c: Annotated[
        float | None, Number("Warmest store", unit="°C", low=-30, high=60)
    ] = None,
    rh_share: Annotated[float | None, Percent("Humidity", low=1)] = None,
    kind: options.Kind = "dark",
    filled: Annotated[bool, YesNo("It has a filling")] = False,
) -> Answer:  # fmt: skip
    """What a store, or a journey, does to chocolate: bloom, melting, damp; best-before."""
    from glossbath.chocolate import storage

    if file is not None:
        times, celsius = columns.numbers(file, ("time_s", "room_c"))
        return answer(storage.judge_history(times, celsius, kind=kind, filled=filled))
    if coolest_c is None or warmest_c is None:
        raise InputError("Give --coolest and --warmest in °C, or a CSV file of the history.")
    made = storage.judge(coolest_c, warmest_c, kind=kind, rh_share=rh_share, filled=filled)
    return answer(made)


def label(
    parts: Annotated[
        list[str],
        Parts("Ingredients, name=mass", example="sugar=43 cocoa-mass=15",
              note="name=mass with dashes for spaces, as whole-milk-powder=22"),
    ],
    name: Annotated[str, Text("Name on the label", example="Milk chocolate")] = "Chocolate",
    lot: Annotated[str, Text("Lot", example="A17")] = "?",
    net: Annotated[float, Number("Net mass", unit="g", low=1, high=10_000)] = 80.0,
    best_before: Annotated[str, Text("Best before", example="2032-05")] = "?",
    may_contain: Annotated[str | None, Text("May contain", example="nuts")] = None,
    sheet: Annotated[
        Path | None, File("Page of labels to print", example="labels.html")
    ] = None,
    labels_on_it: Annotated[
        float, Number("Labels on the page", option="--count", low=1, high=500)
    ] = 24.0,
) -> Answer:  # fmt: skip
    """The text of a label: ingredients by mass, allergens in capitals, lot, net mass, date.

    With --sheet also a page of labels to print and cut.
    """
    from glossbath.chocolate import label as labels

    made = labels.label(
        name, [labels.ingredient(part) for part in parts],
        lot=lot, net_g=net, best_before=best_before, may_contain=may_contain or "",
    )  # fmt: skip
    if sheet is None:
        return answer(made)
    from glossbath.report import label_sheet

    count = round(labels_on_it)
    place = label_sheet.write_sheet(made, count, sheet)
    said = f"{count} labels to print and cut: {place}"
    return answer(made, [said], sheet=str(place), count=count)


def trace(
    file: Annotated[
        Path,
        File("CSV file", option="argument", example="lots.csv",
             note="CSV file with the columns from and to: a lot and what it went into"),
    ],
    lot: Annotated[str, Text("Lot", example="A17")],
    cycles: Annotated[
        Path | None, File("Folder of cycles", example="/cycles", live="cycles")
    ] = None,
) -> Answer:  # fmt: skip
    """Which batches and bars hold a lot, and what they were made of; what to call back.

    With recorded cycles each cycle is linked to the lot that was given at its start.
    """
    from glossbath.chocolate import tracing

    rows = columns.rows(file, ("from", "to"))
    links = [((row["from"] or "").strip(), (row["to"] or "").strip()) for row in rows]
    if cycles is not None:
        from .cycles import lots

        links += lots(cycles)
    return answer(tracing.trace([link for link in links if all(link)], lot.strip()))


def food_safety(
    at_c: Annotated[float, Number("Temperature", unit="°C", low=40, high=90)] = 45.0,
    for_s: Annotated[float, Minutes("Time", low=0, high=10_080, option="--minutes")] = 43_200.0,
) -> Answer:
    """Why melting is no kill step, what to discard, allergens, cleaning dry, ice."""
    from glossbath.chocolate import safety

    return answer(safety.survival(at_c, for_s))
