"""glossbath log ...: past cycles listed, shown, checked, exported, reported, compared."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from glossbath.errors import InputError

from .terminal import Degrees, Json, print_json

if TYPE_CHECKING:
    from glossbath.words import Degrees as Unit

app = typer.Typer(help="Records of past cycles.", no_args_is_help=True)

Folder = Annotated[Path, typer.Argument(help="A cycle's folder, or its name as listed.")]
RESULTS = ("complete", "stopped", "tripped", "cut short", "running")
Where = Annotated[Path | None, typer.Option("--folder", help="Where the cycles are.")]


def _cycles(
    folder: Path | None, since: str = "", until: str = "", **wanted: str
) -> list[dict[str, Any]]:
    """Cycles of which these are true; the days are those of UTC, as the record has them."""
    from glossbath.record import default_folder, list_cycles

    first, last = _day("--since", since), _day("--until", until)
    return [
        cycle
        for cycle in list_cycles(folder or default_folder())
        if all(
            not value or str(cycle.get(key) or "").lower() == value.lower()
            for key, value in wanted.items()
        )
        and (not first or str(cycle["started"] or "")[:10] >= first)
        and (not last or "0" < str(cycle["started"] or "")[:10] <= last)
    ]


def _day(option: str, text: str) -> str:
    if not text:
        return ""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise InputError(
            f"{option} is {text!r}: it must be a day as year, month and day, such as 2026-03-01."
        ) from None


def _place(folder: Path) -> Path:
    """The folder, or the one of that name where cycles are kept."""
    from glossbath.record import default_folder

    kept = default_folder() / folder
    return kept if not folder.exists() and kept.exists() else folder


@app.command("list")
def show_list(
    folder: Where = None,
    recipe: Annotated[str, typer.Option(help="Only cycles of this recipe.")] = "",
    result: Annotated[str, typer.Option(help="Only this: complete, running, ...")] = "",
    lot: Annotated[str, typer.Option(help="Only cycles of this lot.")] = "",
    rig: Annotated[str, typer.Option(help="Only cycles of this rig.")] = "",
    since: Annotated[str, typer.Option(help="Only from this day on, such as 2026-03-01.")] = "",
    until: Annotated[str, typer.Option(help="Only up to this day, itself included.")] = "",
    as_json: Json = False,
) -> None:
    """List past cycles, newest first."""
    from glossbath.record.summary import result_in_words

    if result and result.lower() not in RESULTS:
        raise InputError(
            f"--result is {result!r}: it must be {', '.join(RESULTS[:-1])} or {RESULTS[-1]}."
        )
    cycles = _cycles(folder, since, until, recipe=recipe, result=result, lot=lot, rig=rig)
    if as_json:
        print_json({"cycles": cycles})
        return
    for cycle in cycles:
        virtual = "  virtual" if cycle["virtual"] else ""
        lot_words = f"  lot {cycle['lot']}" if cycle["lot"] else ""
        name = cycle["folder"] if folder else Path(cycle["folder"]).name
        recipe_name = cycle["recipe"] or "unreadable"
        _show(f"{name}  {recipe_name}  {result_in_words(cycle)}{lot_words}{virtual}")
    if not cycles:
        print("There are no such cycles.")


@app.command("show")
def show(folder: Folder, as_json: Json = False) -> None:
    """Show what happened in a cycle."""
    from glossbath.record import open_cycle
    from glossbath.record.summary import result_in_words

    cycle = open_cycle(_place(folder))
    summary = cycle.summary()
    if as_json:
        print_json(summary)
        return
    virtual = " on a VIRTUAL rig" if summary["virtual"] else ""
    result = result_in_words(summary)
    _show(f"{summary['recipe']}: {result}{virtual}, firmware on {summary['engine']}")
    for phase in summary["phases"]:
        span = f"{phase['start_s'] / 60:6.1f} to {phase['end_s'] / 60:6.1f} min"
        _show(f"  {phase['name']:8} {span}  {_span(phase)}")
    for event in cycle.events():
        _show(f"  {event.time_s / 60:7.1f} min  {event.kind}: {event.text}")
    for problem in summary["problems"]:
        _show(f"  {problem}")


def _show(line: str) -> None:
    """Print a line made of what a record contains, which somebody else may have written: as text,
    whatever control characters stand in it."""
    print("".join(c if c.isprintable() else " " for c in line))


def _span(phase: dict[str, Any]) -> str:
    if phase["mean_c"] is None:
        return "no good reading"
    return f"{phase['min_c']:5.2f} to {phase['max_c']:5.2f} °C, mean {phase['mean_c']:5.2f} °C"


@app.command("check")
def check(folder: Folder, as_json: Json = False) -> None:
    """Check that a record is whole and unchanged; exit 1 if it is not."""
    from glossbath.record import open_cycle

    summary = open_cycle(_place(folder)).summary()
    problems = list(summary["problems"])
    if summary["result"] == "cut short":
        problems.append("The record has no end: the cycle was cut short.")
    elif summary["result"] == "running":
        problems.append("The record has no end yet: the cycle runs.")
    if summary["damaged"]:
        problems.append(f"{summary['damaged']} lines make no sense.")
    if summary["not_written"]:
        problems.append(f"{summary['not_written']} rows could not be written at the time.")
    if as_json:
        print_json({"folder": str(folder), "whole": not problems, "problems": problems})
    else:
        for problem in problems:
            _show(problem)
        if not problems:
            print("The record is whole and unchanged since its end.")
    raise typer.Exit(1 if problems else 0)


@app.command("export")
def export(
    folder: Folder,
    out: Annotated[Path, typer.Argument(help="A file ending in .csv or .parquet.")],
) -> None:
    """Write the readings of a cycle as one CSV or Parquet file."""
    from glossbath.record.export import export_readings

    rows = export_readings(_place(folder), out)
    print(f"{rows} readings in {out}")


@app.command("report")
def report(
    folder: Folder,
    out: Annotated[Path | None, typer.Option(help="Where to write the page.")] = None,
    heater_w: Annotated[float | None, typer.Option("--heater-w", help="Power in W.")] = None,
    fahrenheit: Degrees = False,
) -> None:
    """Write a page about a cycle that a person can read and print."""
    from glossbath.report.page import write_report

    if heater_w is not None and not 1 <= heater_w <= 3000:
        raise InputError(f"--heater-w is {heater_w:g}: it must be from 1 to 3000 W.")
    print(write_report(_place(folder), out, heater_w, _unit(fahrenheit)))


@app.command("overlay")
def overlay(
    folder: Folder,
    other: Annotated[Path, typer.Argument(help="The cycle to lay over it.")],
    out: Annotated[Path | None, typer.Option(help="Where to write the page.")] = None,
    fahrenheit: Degrees = False,
) -> None:
    """Write a page with two cycles over each other and the settings that differ."""
    from glossbath.report.compare import write_overlay

    print(write_overlay(_place(folder), _place(other), _unit(fahrenheit), out))


def _unit(fahrenheit: bool) -> Unit:
    """The unit that a person says now, or chose once."""
    from glossbath.view.choices import kept_choices
    from glossbath.words import Degrees as Unit

    return Unit(fahrenheit or kept_choices().fahrenheit)


@app.command("compare")
def compare(
    folder: Where = None,
    recipe: Annotated[str, typer.Option(help="Which recipe.")] = "Dark",
    out: Annotated[Path | None, typer.Option(help="Where to write the page.")] = None,
    as_json: Json = False,
) -> None:
    """Compare the holds of past cycles of one recipe on a control chart."""
    from glossbath.report.compare import compare_cycles, write_comparison

    comparison = compare_cycles([Path(c["folder"]) for c in _cycles(folder, recipe=recipe)])
    if out is not None:
        write_comparison(comparison, recipe, out)
    if as_json:
        print_json(comparison.as_dict())
        return
    for sentence in comparison.sentences():
        print(sentence)
