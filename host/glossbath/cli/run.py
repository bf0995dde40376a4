"""glossbath demo, run, stop, rigs, end: a cycle from its start to its end, and what runs now."""

from __future__ import annotations

import contextlib
import dataclasses
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn, TextIO

import typer

from glossbath import words
from glossbath.errors import InputError, KeeperError
from glossbath_board.limits import ALONE_CEILING_MIN, PHASE_CEILING_MS

from .owner import PATIENCE_S, keeper_of
from .screens import follow
from .terminal import USUAL_RIG, Ascii, Degrees, Json, OneOf, Plain, Rig, on_terminal, print_json

if TYPE_CHECKING:
    from glossbath.client.messages import Reading
    from glossbath.process.start_request import Said
    from glossbath.recipe import Recipe

NOT_CONFIRMED_CODE = 3
LONGEST_HOLD_MIN = PHASE_CEILING_MS / 60_000


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
    from glossbath.client.launch import connect
    from glossbath.recipe import dump, load

    from .demo import ON_SCREEN_SPEED, begin, virtual_keeper

    if not 0 < hold < LONGEST_HOLD_MIN:
        raise InputError(
            f"--hold is {hold:g}: it must be more than 0 and less than {LONGEST_HOLD_MIN:g} min."
        )
    wanted = load(recipe).with_hold(hold * 60)
    screen = on_terminal() and not plain and not as_json
    if speed is None:
        speed = ON_SCREEN_SPEED if screen else 0.0
    if not 0 <= speed <= 1000:
        raise InputError(f"--speed is {speed:g}: it must be from 0 to 1000 times real time.")
    chocolate = wanted.chocolate if wanted.chocolate in ("milk", "white") else "dark"
    with virtual_keeper(speed, out, seed, cpython, chocolate=chocolate) as virtual:
        with connect(virtual.rig) as client:
            folder = begin(client, recipe=dump(wanted), where=recipe, batch_kg=1.0)
        lines = sys.stderr if as_json else sys.stdout
        follow(virtual.rig, not screen, ascii_only, fahrenheit, lines)
    _finish(folder, as_json)


def run(
    recipe: Annotated[str, typer.Argument(help="A built-in recipe or a file.")],
    port: Annotated[str, typer.Option(help="The board's port, or auto.")] = "auto",
    rig: Rig = USUAL_RIG,
    batch: Annotated[float, typer.Option(help="Mass of chocolate in kg.")] = 1.0,
    lot: Annotated[str, typer.Option(help="Lot number, for the record.")] = "",
    note: Annotated[str, typer.Option(help="A note for the record.")] = "",
    remelt: Annotated[
        bool, typer.Option("--remelt", help="Begin where the chocolate is.")
    ] = False,
    in_temper: Annotated[
        bool, typer.Option("--in-temper", help="With --remelt: its last dip test was good.")
    ] = False,
    alone: Annotated[
        int, typer.Option("--alone", help="Minutes the hold may go on without the computer.")
    ] = 0,
    ice: Annotated[
        float | None, typer.Option(help="Ice in the chill bucket in kg, 0 for none.")
    ] = None,
    tap: Annotated[
        float | None, typer.Option(help="Tap water in the chill bucket, in °C.")
    ] = None,
    room: Annotated[
        float | None, typer.Option(help="The room in °C, where no sensor of the rig's tells.")
    ] = None,
    hook: Annotated[
        str, typer.Option(help="A command that the keeper runs at a trip and at the end.")
    ] = "",
    detach: Annotated[bool, typer.Option("--detach", help="Start, then leave it alone.")] = False,
    plain: Plain = False,
    ascii_only: Ascii = False,
    fahrenheit: Degrees = False,
    as_json: Json = False,
) -> None:
    """Run a recipe on a board; the cycle goes on when this terminal closes."""
    from glossbath.away.alone import start_notifier
    from glossbath.client.launch import connect
    from glossbath.client.paths import check_name
    from glossbath.editing.kitchen import given, said_of
    from glossbath.recipe import dump, load

    from .demo import first_reading
    from .demo import start as start_cycle

    if in_temper and not remelt:
        raise InputError("--in-temper says where a remelt begins: give --remelt with it.")
    wanted = load(recipe)
    if not 0 <= alone <= ALONE_CEILING_MIN:
        raise InputError(f"--alone is {alone}: it must be from 0 to {ALONE_CEILING_MIN} min.")
    more: dict[str, Any] = {"alone_min": alone} if alone else {}
    if remelt:
        more |= {"remelt": True, "in_temper": in_temper}
    kitchen = said_of({"ice_kg": ice, "tap_c": tap, "room_c": room}, fahrenheit)
    keeper_of(check_name(rig), port, hook)
    start_notifier()
    more |= {"batch_kg": batch, "lot": lot, "note": note, **given(kitchen)}
    lines = sys.stderr if as_json else sys.stdout
    with connect(rig) as client:
        told = _tell_plan(wanted, rig, first_reading(client), kitchen, more, fahrenheit, lines)
        folder = start_cycle(client, recipe=dump(wanted), where=recipe, **more)
    if detach:
        if as_json:
            print_json({"rig": rig, "folder": folder, **told})
        else:
            print(f"{wanted.name} runs on {rig}: see it with glossbath attach --rig {rig}")
        return
    follow(rig, plain or as_json, ascii_only, fahrenheit, lines)
    _finish(folder, as_json)


def _tell_plan(
    recipe: Recipe,
    rig: str,
    reading: Reading | None,
    kitchen: Said,
    order: dict[str, Any],
    fahrenheit: bool,
    out: TextIO,
) -> dict[str, Any]:
    """Say before the start what the kitchen makes of it; the same as values."""
    from glossbath.editing.kitchen import plan_or_why, told
    from glossbath.view.recipes import kitchen_lines

    degrees = words.Degrees(fahrenheit)
    made = plan_or_why(recipe, rig, order["batch_kg"], reading, kitchen, order)
    plan = told(made, degrees)
    damp = ["".join(text for text, _ in line) for line in kitchen_lines(recipe, reading, degrees)]
    for line in [*plan, *damp]:
        print(line, file=out)
    return {"plan": plan, "out_of_reach": made.missed, "ice_needed_kg": made.needed_kg}


def _finish(folder: str, as_json: bool) -> NoReturn:
    """Tell how a cycle ended; exit 0 only if it completed."""
    from glossbath.record import open_cycle

    summary = open_cycle(folder).summary()
    if as_json:
        print_json(summary)
    else:
        print(f"{summary['result']}: {summary['readings']} readings in {folder}")
    raise typer.Exit(0 if summary["result"] == "complete" else 1)


def stop(
    rig: OneOf = "",
    everything: Annotated[bool, typer.Option("--all", help="Stop every rig that runs.")] = False,
    as_json: Json = False,
) -> None:
    """Stop a rig: heat, chill and stirrer off.

    Exit code 0 once the board has confirmed it, 3 when it has not.
    """
    from glossbath.client.launch import answering, the_rig
    from glossbath.client.paths import check_name

    if everything and rig:
        raise InputError("--all stops every rig: leave out --rig, or leave out --all.")
    names = answering() if everything else [check_name(rig) if rig else the_rig("")]
    if not names:
        raise KeeperError("No keeper runs on this computer, so there is nothing to stop.")
    confirmed = [_stop_one(name, as_json, len(names) > 1) for name in names]
    raise typer.Exit(0 if all(confirmed) else NOT_CONFIRMED_CODE)


def _stop_one(rig: str, as_json: bool, named: bool) -> bool:
    from glossbath.client.stopping import order_stop

    try:
        reply = order_stop(rig)
        ok, text = reply.ok, reply.text
    except KeeperError as error:
        ok, text = False, str(error)
    if as_json:
        print_json({"rig": rig, "ok": ok, "confirmed": ok, "text": text})
    else:
        print(f"{rig}: {text}" if named else text, file=sys.stdout if ok else sys.stderr)
    return ok


def end(rig: OneOf = "", as_json: Json = False) -> None:
    """End a keeper between two cycles; its board is then free for another."""
    from glossbath.client.launch import connect, keeper_process, the_rig

    rig = the_rig(rig)
    with connect(rig) as client:
        try:
            reply = client.request("close")
        except KeeperError as error:
            raise KeeperError(f"{error} Its process is {keeper_process(rig)}.") from None
    if as_json:
        print_json({"rig": rig, "ok": reply.ok, "text": reply.text})
    else:
        print(reply.text)
    raise typer.Exit(0 if reply.ok else 1)


def rigs(as_json: Json = False) -> None:
    """List every rig whose keeper runs on this computer."""
    from glossbath.view.overview import Overview

    with contextlib.closing(Overview()) as overview:
        found = overview.settled(PATIENCE_S)
    if as_json:
        print_json({"rigs": [dataclasses.asdict(rig) for rig in found]})
        return
    for rig in found:
        kind = "virtual" if rig.virtual else "real"
        print(f"{rig.rig}  {rig.state or 'no answer'}  {rig.recipe or '-'}  ({kind})")
    if not found:
        print("No keeper runs. Start one with glossbath run, or try glossbath demo.")


def mount(app: typer.Typer) -> None:
    """Put these commands under app."""
    for command in (demo, run, stop, rigs, end):
        app.command()(command)
