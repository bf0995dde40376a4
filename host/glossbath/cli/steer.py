"""glossbath note, ice, hold, resume, step, clear, acknowledge: a screen's keys as commands.

One client steers a rig at a time. A command steers where nobody does; --take takes it over.
"""

from __future__ import annotations

from typing import Annotated, Any, NoReturn

import typer

from glossbath.client.messages import LONGEST_NOTE
from glossbath.errors import InputError

from .terminal import Json, OneOf, print_json

PATIENCE_S = 15.0
"""The keeper asks a silent board for eight seconds before it gives up."""

Take = Annotated[bool, typer.Option("--take", help="Take steering over from who has it.")]


def _order(rig: str, as_json: bool, op: str, take: bool = False, **values: Any) -> NoReturn:
    """Give one order, tell what came of it; exit code 0 only if it was done."""
    from glossbath.client.launch import connect, the_rig

    rig = the_rig(rig)
    with connect(rig) as client:
        if take:
            client.request("steer")
        reply = client.request(op, timeout_s=PATIENCE_S, **values)
    if as_json:
        answer = {"rig": rig, "order": op, "ok": reply.ok, "text": reply.text}
        print_json(answer)
    else:
        print(reply.text)
    raise typer.Exit(0 if reply.ok else 1)


def note(
    text: Annotated[str, typer.Argument(help="What to write into the record.")],
    rig: OneOf = "",
    as_json: Json = False,
) -> None:
    """Write a note into the record of the cycle."""

    if not 0 < len(text.strip()) <= LONGEST_NOTE:
        raise InputError(
            f"The note has {len(text.strip())} characters: it must have from 1 to "
            f"{LONGEST_NOTE} characters, so shorten it or write something."
        )
    _order(rig, as_json, "note", text=text.strip())


def ice(
    kg: Annotated[float, typer.Argument(help="Ice that went into the chill water, in kg.")],
    rig: OneOf = "",
    as_json: Json = False,
) -> None:
    """Say that ice was put in: the record keeps it and the forecast counts it."""
    _order(rig, as_json, "ice", kg=kg)


def hold(rig: OneOf = "", take: Take = False, as_json: Json = False) -> None:
    """Let the recipe wait where it is; the temperature is kept."""
    _order(rig, as_json, "hold", take)


def resume(rig: OneOf = "", take: Take = False, as_json: Json = False) -> None:
    """Let a recipe that was held go on."""
    _order(rig, as_json, "resume", take)


def step(rig: OneOf = "", take: Take = False, as_json: Json = False) -> None:
    """Go on to the next phase now."""
    _order(rig, as_json, "step", take)


def clear(rig: OneOf = "", take: Take = False, as_json: Json = False) -> None:
    """Clear a latched trip, once its cause has gone."""
    _order(rig, as_json, "clear", take)


def acknowledge(
    code: Annotated[str, typer.Argument(help="Which alarm; all when left out.")] = "",
    rig: OneOf = "",
    as_json: Json = False,
) -> None:
    """Say that a person has seen an alarm."""
    _order(rig, as_json, "acknowledge", code=code)


def mount(app: typer.Typer) -> None:
    """Put these commands at the top of the command line."""
    for command in (note, ice, hold, resume, step, clear, acknowledge):
        app.command()(command)
