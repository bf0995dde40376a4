"""glossbath recipe ...: recipes listed, checked, shown, copied, renamed."""

from __future__ import annotations

from typing import Annotated

import typer

from .terminal import Degrees, Json, print_json

app = typer.Typer(help="Recipes: list, check, show, copy, rename.", no_args_is_help=True)


@app.command("list")
def recipe_list(as_json: Json = False) -> None:
    """List the built-in recipes and your own."""
    from glossbath.errors import RecipeError
    from glossbath.recipe import builtin_names, load, own_names

    own = own_names()
    built_in = [name for name in builtin_names() if name not in own]
    if as_json:
        print_json({"recipes": list(builtin_names()), "own": list(own)})
        return
    for name in (*built_in, *own):
        mark = " (own)" if name in own else ""
        try:
            phases = load(name).phases
        except RecipeError as error:
            print(f"{name}{mark}: cannot be used. {error}")
            continue
        windows = ", ".join(
            f"{phase.name} {phase.window.low_c:g}-{phase.window.high_c:g} °C" for phase in phases
        )
        print(f"{name}{mark}: {windows}")


@app.command("check")
def recipe_check(
    file: Annotated[str, typer.Argument(help="A recipe file or a built-in name.")],
    as_json: Json = False,
) -> None:
    """Check a recipe before anything heats."""
    from glossbath.process.start_request import StartRequest
    from glossbath.recipe import load

    recipe = load(file)
    StartRequest(recipe, 1.0, "", "").program()
    if as_json:
        print_json({"ok": True, "name": recipe.name, "checksum": recipe.checksum()})
    else:
        print(f"{recipe.name} is a good recipe: {len(recipe.phases)} phases.")


@app.command("show")
def recipe_show(
    source: Annotated[str, typer.Argument(help="A recipe file or name.")],
    fahrenheit: Degrees = False,
    as_json: Json = False,
) -> None:
    """Show a recipe: its phases, where its numbers come from and where it lies."""
    import msgspec

    from glossbath.recipe import load
    from glossbath.recipe.own import own_files
    from glossbath.view.choices import kept_choices
    from glossbath.words import Degrees as Unit
    from glossbath.words import duration, percent

    recipe = load(source)
    path = str(own_files().get(source) or "")
    if as_json:
        print_json({"file": path, "recipe": msgspec.to_builtins(recipe)})
        return
    unit = Unit(fahrenheit or kept_choices().fahrenheit)
    print(f"{recipe.name}, version {recipe.version}: {recipe.chocolate} chocolate")
    for phase in recipe.phases:
        low, high = (unit.number(celsius) for celsius in (phase.window.low_c, phase.window.high_c))
        print(
            f"  {phase.name:<7} {unit.text(phase.target_c)}, window {low} to {high}, inside for "
            f"{duration(phase.dwell_s)}, trips after {duration(phase.timeout_s)}, "
            f"stir {percent(phase.stir_share)}"
        )
    for sentence in recipe.sources:
        print(f"  {sentence}")
    print(f"It lies in {path}" if path else "It is built in, or the file you named.")


@app.command("copy")
def recipe_copy(
    source: Annotated[str, typer.Argument(help="A recipe file or name.")],
    name: Annotated[str, typer.Argument(help="The name of the copy.")],
) -> None:
    """Copy a recipe under a name of yours, to be changed."""
    from glossbath.recipe import copy

    print(f"Saved as {copy(source, name)}")


@app.command("rename")
def recipe_rename(
    source: Annotated[str, typer.Argument(help="An own recipe.")],
    name: Annotated[str, typer.Argument(help="Its new name.")],
) -> None:
    """Give an own recipe another name."""
    from glossbath.recipe import rename

    print(f"Saved as {rename(source, name)}")
