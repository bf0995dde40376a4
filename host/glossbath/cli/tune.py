"""The commands under `glossbath tune`: what a rig is, found from an experiment."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .terminal import Json, print_json

if TYPE_CHECKING:
    from glossbath.record import PastCycle
    from glossbath.thermal.model import Contents
    from glossbath.thermal.tuning import Identified

app = typer.Typer(help="Find out what a rig does with heat.", no_args_is_help=True)

Folder = Annotated[Path, typer.Argument(help="The folder of the cycle that was recorded.")]


@app.command()
def recipe(
    bowl: Annotated[str, typer.Option(help="water, dark, milk or white.")] = "water",
    out: Annotated[Path | None, typer.Option(help="File to write; else it is printed.")] = None,
) -> None:
    """Write the experiment as a recipe, to be run with glossbath run like any other."""
    from glossbath.errors import InputError
    from glossbath.recipe import dump
    from glossbath.thermal.tuning import identify_recipe

    text = dump(identify_recipe(bowl))
    if out is None:
        print(text, end="")
        return
    try:
        out.write_text(text, encoding="utf-8")
    except OSError as error:
        raise InputError(
            f"The recipe cannot be written to {out}: {error.strerror}; choose another file."
        ) from error
    print(f"Weigh the water in bath and bowl, fill in ice, then: glossbath run {out} --batch KG")


@app.command()
def fit(
    folder: Folder,
    water: Annotated[float, typer.Option(help="Water in the bath in kg, weighed.")],
    bowl_mass: Annotated[
        float | None, typer.Option(help="Mass in the bowl in kg; else the record's batch.")
    ] = None,
    room: Annotated[
        float | None, typer.Option(help="Room in °C; else measured or found with the rest.")
    ] = None,
    save: Annotated[str | None, typer.Option(help="Keep the model for this rig.")] = None,
    picture: Annotated[Path | None, typer.Option(help="Draw fit and residuals here.")] = None,
    as_json: Json = False,
) -> None:
    """Find the heat model of a rig in the record of the experiment."""
    from glossbath.record import open_cycle
    from glossbath.thermal.model import RigModel, load_model, save_model
    from glossbath.thermal.tuning import Known
    from glossbath.thermal.tuning import fit as identify

    cycle = open_cycle(folder)
    contents = _contents(cycle, bowl_mass)
    base = RigModel.default() if save is None else load_model(save)
    found = identify(cycle.readings(), Known(water, contents, room, base))
    if picture is not None:
        from glossbath.thermal.tuning.picture import picture as draw

        draw(found, picture, _title(cycle))
    kept = None if save is None else save_model(save, found.model, f"From {folder.name}.")
    if as_json:
        print_json(_found_json(found) | {"saved": kept and str(kept), "virtual": cycle.virtual})
        return
    _print_found(found, _title(cycle))
    if kept is not None:
        print(f"Kept as the model of {save}: {kept}")


@app.command()
def learn(
    folder: Folder,
    rig: Annotated[
        str, typer.Option("--rig", help="Whose model learns; else the record's own rig.")
    ] = "",
    water: Annotated[
        float | None, typer.Option(help="Water in the bath in kg; else as it was.")
    ] = None,
) -> None:
    """Let an ordinary cycle refine the model that control and forecast use.

    A keeper does this by itself after each whole cycle of a real rig. Limits learn nothing.
    """
    from glossbath.process.learning import learn as learn_from

    rig, changed = learn_from(folder, rig, water)
    print(f"{rig} has learned: {changed}." if changed else "This cycle taught nothing new.")


@app.command()
def show(
    rig: Annotated[str, typer.Option("--rig", help="Which rig, by its name.")] = "rig",
    as_json: Json = False,
) -> None:
    """Show the model that is kept for a rig."""
    import msgspec

    from glossbath.thermal.model import knowledge_of, load_learned, model_path
    from glossbath.thermal.model.store import dump_model

    model, learned = knowledge_of(rig).model, load_learned(rig)
    identified = model_path(rig).exists()
    if as_json:
        taught = None if learned is None else msgspec.to_builtins(learned)
        found = {"rig": rig, "measured": identified, "learned": taught}
        print_json(found | {"model": msgspec.to_builtins(model)})
        return
    if not identified:
        known = "the reference rig" if learned is None else "what its cycles have taught"
        print(f"{rig} was not identified yet: this is {known}.")
    if learned is not None:
        print("".join(f"Learned from {lesson}\n" for lesson in learned.lessons), end="")
        steers = "steers by it too" if learned.steers else "steers by what it had before"
        print(f"The forecast goes by this; the board {steers}.")
    print(dump_model(model), end="")


def _contents(cycle: PastCycle, bowl_mass: float | None) -> Contents:
    from glossbath.errors import InputError
    from glossbath.thermal.model import chocolate, water

    facts = cycle.facts
    if facts is None:
        raise InputError(
            f"{cycle.folder} does not say what was in the bowl: {' '.join(cycle.problems)}"
        )
    kg = facts.batch_kg if bowl_mass is None else bowl_mass
    if facts.recipe.fat_share == 0.0:
        return water(kg)
    return chocolate(kg, facts.recipe.fat_share, facts.recipe.chocolate)


def _title(cycle: PastCycle) -> str:
    rig = cycle.facts.rig if cycle.facts else cycle.folder.name
    return f"VIRTUAL rig {rig}" if cycle.virtual else f"Rig {rig}"


def _found_json(found: Identified) -> dict[str, Any]:
    import msgspec

    from glossbath.thermal.tuning.intervals import CONFIDENCE

    return {
        "model": msgspec.to_builtins(found.model),
        "intervals": msgspec.to_builtins(found.intervals),
        "confidence": CONFIDENCE,
        "rms_k": found.rms_k,
        "duration_s": found.trace.duration_s,
        "remarks": found.remarks,
    }


def _print_found(found: Identified, title: str) -> None:
    from glossbath.thermal.tuning.intervals import CONFIDENCE
    from glossbath.thermal.tuning.words import WORDS

    print(
        f"{title}, {found.trace.duration_s / 60:.0f} min, residuals {found.rms_k:.2f} K; "
        f"in brackets {CONFIDENCE * 100:.0f} % confidence (Student's t):"
    )
    for name, interval in found.intervals.items():
        word, unit = WORDS[name]
        print(
            f"  {word:22} {interval.value:9.4g} {unit:4} "
            f"({interval.low:.4g} to {interval.high:.4g})"
        )
    for remark in found.remarks:
        print(remark)
