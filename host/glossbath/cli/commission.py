"""glossbath commission: the walk on a terminal, or rehearsed by a virtual person."""

from __future__ import annotations

import contextlib
import json
import sys
from typing import Annotated

import typer


def commission(
    rig: Annotated[str, typer.Option("--rig", help="Which rig, by its name.")] = "rig",
    port: Annotated[str, typer.Option(help="The board's port, or auto.")] = "auto",
    resume: Annotated[bool, typer.Option("--resume", help="Go on where it was left.")] = False,
    again: Annotated[str, typer.Option(help="A step to be done again.")] = "",
    virtual: Annotated[
        bool, typer.Option("--virtual", help="Rehearse: a virtual person on a virtual rig.")
    ] = False,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print one JSON object for programs.")
    ] = False,
) -> None:
    """Try out a new rig step by step; until it is signed it heats nothing but water."""
    from glossbath.board.clock import Clock, RealClock, SteppedClock
    from glossbath.board.link import Link, find_port
    from glossbath.commission import Console, Person, Scripted, Session, Walk, brief, record_path

    from .demo import virtual_world

    lines = sys.stderr if as_json else sys.stdout
    with contextlib.ExitStack() as stack:
        clock: Clock
        person: Person
        if virtual:
            rig = f"virtual-{rig}"
            folder = record_path(rig).with_suffix(".world")
            words = ("--blank", "--chocolate", "water")
            world = stack.enter_context(virtual_world(folder, 0.0, *words))
            clock = stack.enter_context(contextlib.closing(SteppedClock(world.clock)))
            person = Scripted(world.order, lambda line: print(line, file=lines, flush=True))
            port = world.port
        else:
            clock, person = RealClock(), Console(sys.stdin.fileno(), lines)
            port = find_port() if port == "auto" else port
        session = stack.enter_context(Session(Link(port, clock), clock))
        walk = Walk(session, person, rig)
        done = walk.run(resume or bool(again), again)
    if as_json and walk.record is not None:
        print(json.dumps(brief(walk.record), ensure_ascii=False))
    raise typer.Exit(0 if done else 1)


def mount(app: typer.Typer) -> None:
    """Put this command at the top of the command line."""
    app.command()(commission)
