"""The command line. A command imports what it needs when it runs, so that starting is quick."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated, Any, NoReturn

import typer

from . import advice, commission_commands, cycle_commands, log_commands, steer_commands
from .advice.group import SentenceGroup
from .errors import GlossbathError, InputError

app = typer.Typer(cls=SentenceGroup, add_completion=False, pretty_exceptions_enable=False)
recipe_app = typer.Typer(help="Recipes: list, check.", no_args_is_help=True)
app.add_typer(log_commands.app, name="log")
app.add_typer(advice.app, name="desk")
app.add_typer(recipe_app, name="recipe")
steer_commands.mount(app)
cycle_commands.mount(app)
commission_commands.mount(app)

USUAL_RIG = "rig"

Json = Annotated[bool, typer.Option("--json", help="Print one JSON object for programs.")]
Plain = Annotated[bool, typer.Option("--plain", help="Plain lines, no screen.")]
Ascii = Annotated[bool, typer.Option("--ascii", help="Plain lines in ASCII only.")]
Degrees = Annotated[bool, typer.Option("--fahrenheit", help="Show °F.")]
Rig = Annotated[str, typer.Option("--rig", help="Which rig, by its name.")]


def main() -> None:
    """Run a command; a failure that was foreseen is one sentence and an exit code."""
    try:
        app()
    except GlossbathError as error:
        print(f"glossbath: {error}", file=sys.stderr)
        sys.exit(error.exit_code)
    except KeyboardInterrupt:
        sys.exit(130)


def _on_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _print_json(content: Any) -> None:
    print(json.dumps(content, ensure_ascii=False))


def _follow(rig: str, plain: bool, ascii_only: bool, fahrenheit: bool, out: Any) -> None:
    """Show a rig until the cycle has ended or the person leaves."""
    from .demo import virtual_name
    from .launch import connect

    if plain or not _on_terminal():
        from .plain import follow_plain

        with connect(rig) as client:
            follow_plain(client, out, ascii_only, fahrenheit)
        return
    from .tui.app import GlossbathApp

    own = virtual_name()
    GlossbathApp(lambda: connect(rig, steer=True), fahrenheit=fahrenheit, own_rig=own).run()


def _finish(folder: str, as_json: bool) -> NoReturn:
    """Tell how a cycle ended; exit 0 only if it completed."""
    from .record import open_cycle

    summary = open_cycle(folder).summary()
    if as_json:
        _print_json(summary)
    else:
        print(f"{summary['result']}: {summary['readings']} readings in {folder}")
    raise typer.Exit(0 if summary["result"] == "complete" else 1)


@app.callback(invoke_without_command=True)
def start(context: typer.Context, fahrenheit: Degrees = False) -> None:
    """Turns a slow cooker, a hobby board and a stirrer into a chocolate tempering bath.

    Without a command it opens the start screen: rigs, past cycles, recipes, the desk.
    """
    if context.invoked_subcommand is not None:
        return
    if not _on_terminal():
        typer.echo(context.get_help())
        return
    from .demo import ON_SCREEN_SPEED, VirtualStarter, virtual_name
    from .tui.app import GlossbathApp
    from .tui.start_screen import Starter

    with VirtualStarter(ON_SCREEN_SPEED) as virtual:
        starters: dict[str, Starter] = {"virtual": virtual, "board": _board}
        GlossbathApp(fahrenheit=fahrenheit, starters=starters, own_rig=virtual_name()).run()


def _board() -> str:
    """Start a keeper for the one board that is plugged in; its rig's name."""
    from .launch import start_keeper
    from .link import find_port

    start_keeper(USUAL_RIG, find_port())
    return USUAL_RIG


@app.command()
def demo(
    recipe: Annotated[str, typer.Option(help="A built-in recipe or a file.")] = "dark",
    speed: Annotated[
        float | None,
        typer.Option(help="Simulated seconds per second; 0 is as fast as possible."),
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Folder for the cycle's record.")] = None,
    hold: Annotated[float, typer.Option(help="Minutes of hold.")] = 30.0,
    plain: Plain = False,
    ascii_only: Ascii = False,
    fahrenheit: Degrees = False,
    as_json: Json = False,
    cpython: Annotated[bool, typer.Option(help="Run the firmware on CPython.")] = False,
    seed: Annotated[int, typer.Option(help="Makes the noise repeatable.")] = 1,
) -> None:
    """Run a whole cycle on the virtual rig with the real firmware."""
    from .demo import ON_SCREEN_SPEED, begin, virtual_keeper
    from .launch import connect
    from .recipe import dump, load

    wanted = load(recipe).with_hold(hold * 60)
    screen = _on_terminal() and not plain and not as_json
    if speed is None:
        speed = ON_SCREEN_SPEED if screen else 0.0
    if not 0 <= speed <= 1000:
        raise InputError(f"--speed is {speed:g}: it must be from 0 to 1000 times real time.")
    chocolate = wanted.chocolate if wanted.chocolate in ("milk", "white") else "dark"
    with virtual_keeper(speed, out, seed, cpython, chocolate=chocolate) as virtual:
        with connect(virtual.rig) as client:
            folder = begin(client, recipe=dump(wanted), where=recipe, batch_kg=1.0)
        lines = sys.stderr if as_json else sys.stdout
        _follow(virtual.rig, not screen, ascii_only, fahrenheit, lines)
    _finish(folder, as_json)


@app.command()
def run(
    recipe: Annotated[str, typer.Argument(help="A built-in recipe or a file.")],
    port: Annotated[str, typer.Option(help="The board's port, or auto.")] = "auto",
    rig: Rig = "rig",
    batch: Annotated[float, typer.Option(help="Mass of chocolate in kg.")] = 1.0,
    lot: Annotated[str, typer.Option(help="Lot number, for the record.")] = "",
    note: Annotated[str, typer.Option(help="A note for the record.")] = "",
    remelt: Annotated[
        bool, typer.Option("--remelt", help="Begin where the chocolate is.")
    ] = False,
    in_temper: Annotated[
        bool, typer.Option("--in-temper", help="With --remelt: its last dip test was good.")
    ] = False,
    detach: Annotated[bool, typer.Option("--detach", help="Start, then leave it alone.")] = False,
    plain: Plain = False,
    ascii_only: Ascii = False,
    fahrenheit: Degrees = False,
    as_json: Json = False,
) -> None:
    """Run a recipe on a board; the cycle goes on when this terminal closes."""
    from .demo import begin
    from .launch import connect, start_keeper
    from .link import find_port
    from .places import check_name, socket_path
    from .recipe import dump, load

    if in_temper and not remelt:
        raise InputError("--in-temper says where a remelt begins: give --remelt with it.")
    wanted = load(recipe)
    more = {"remelt": True, "in_temper": in_temper} if remelt else {}
    if not socket_path(check_name(rig)).exists():
        start_keeper(rig, find_port() if port == "auto" else port)
    with connect(rig) as client:
        folder = begin(
            client, recipe=dump(wanted), where=recipe, batch_kg=batch, lot=lot, note=note, **more
        )
    if detach:
        if as_json:
            _print_json({"rig": rig, "folder": folder})
        else:
            print(f"{wanted.name} runs on {rig}: see it with glossbath attach --rig {rig}")
        return
    _follow(rig, plain or as_json, ascii_only, fahrenheit, sys.stderr if as_json else sys.stdout)
    _finish(folder, as_json)


@advice.app.callback(invoke_without_command=True)
def desk(context: typer.Context) -> None:
    """Sums and judgements for chocolate work, with or without a rig. All of it is advice.

    Without a command it opens the desk on the screen.
    """
    if context.invoked_subcommand is not None:
        return
    if not _on_terminal():
        typer.echo(context.get_help())
        return
    from .tui.desk_app import DeskApp

    DeskApp().run()


@app.command()
def attach(
    rig: Rig = "rig", plain: Plain = False, ascii_only: Ascii = False, fahrenheit: Degrees = False
) -> None:
    """Look at a rig whose keeper runs."""
    _follow(rig, plain, ascii_only, fahrenheit, sys.stdout)


@app.command()
def stop(rig: Rig = "rig", as_json: Json = False) -> None:
    """Stop a rig: heat, chill and stirrer off."""
    from .launch import connect

    with connect(rig) as client:
        reply = client.request("stop")
    if as_json:
        _print_json({"rig": rig, "ok": reply.ok, "text": reply.text})
    else:
        print(reply.text)
    raise typer.Exit(0 if reply.ok else 1)


@app.command()
def rigs(as_json: Json = False) -> None:
    """List every rig whose keeper runs on this computer."""
    from .rigs import survey

    found = survey()
    if as_json:
        _print_json({"rigs": found})
        return
    for rig in found:
        kind = "virtual" if rig["virtual"] else "real"
        print(f"{rig['rig']}  {rig['state'] or 'no answer'}  {rig['recipe'] or '-'}  ({kind})")
    if not found:
        print("No keeper runs. Start one with glossbath run, or try glossbath demo.")


@app.command()
def install(
    port: Annotated[str, typer.Argument(help="The board's port.")],
    board: Annotated[str, typer.Option(help="rpi_pico, rpi_pico2 or esp32.")] = "rpi_pico",
    compiled: Annotated[bool, typer.Option("--compile", help="Compile with mpy-cross.")] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only say what would be done.")
    ] = False,
) -> None:
    """Put the firmware on a board; settings stay."""
    from .install import bundle, plan
    from .install import install as put
    from .install.maintenance import ask_for_maintenance
    from .install.shell import open_shell

    files = bundle(board, compiled)
    let_in = ask_for_maintenance(port)
    if let_in:
        print("The firmware lets other tools in; the board restarts.")
    with open_shell(port, restart=let_in) as shell:
        if dry_run:
            todo = plan(shell, files)
            print(f"{todo.engine}, {todo.free_bytes // 1000} kB free, firmware {files.folder}")
            for path in todo.write:
                print(f"would write {path}")
            for path in todo.remove:
                print(f"would remove {path}")
            if not todo.write:
                print("The board has this firmware already.")
            return
        put(shell, files, print)
    print("Done. The board refuses to heat until it has been commissioned.")


@recipe_app.command("list")
def recipe_list(as_json: Json = False) -> None:
    """List the built-in recipes and your own."""
    from .errors import RecipeError
    from .recipe import builtin_names, load, own_names

    own = own_names()
    built_in = [name for name in builtin_names() if name not in own]
    if as_json:
        _print_json({"recipes": list(builtin_names()), "own": list(own)})
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


@recipe_app.command("check")
def recipe_check(
    file: Annotated[str, typer.Argument(help="A recipe file or a built-in name.")],
    as_json: Json = False,
) -> None:
    """Check a recipe before anything heats."""
    from .desired import Desired
    from .recipe import load

    recipe = load(file)
    Desired(recipe, 1.0, "", "").program()
    if as_json:
        _print_json({"ok": True, "name": recipe.name, "checksum": recipe.checksum()})
    else:
        print(f"{recipe.name} is a good recipe: {len(recipe.phases)} phases.")
