"""glossbath recipe ...: recipes listed and checked."""

from __future__ import annotations

from typing import Annotated

import typer

from .terminal import Json, print_json

app = typer.Typer(help="Recipes: list, check.", no_args_is_help=True)


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
