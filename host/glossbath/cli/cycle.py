"""glossbath dip, test, done: what a person at the chocolate tells the cycle that runs."""

from __future__ import annotations

import os
import select
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TextIO

import typer

from glossbath.errors import InputError, KeeperError

from .terminal import Json, OneOf, print_json

if TYPE_CHECKING:
    from glossbath.chocolate.diptest import DipTest
    from glossbath.client.client import KeeperClient

RESULTS = ("in temper", "out of temper", "not sure")
LONGEST = 200
PATIENCE_S = 2.0

Limit = Annotated[float | None, typer.Option(help="Your own limit for a curve, in °C/min.")]


def done(rig: OneOf = "", as_json: Json = False) -> None:
    """Say that what the rig asked for, such as seed, is done."""
    from glossbath.client.launch import connect, the_rig

    rig = the_rig(rig)
    with connect(rig) as client:
        _post(client, rig, as_json, "done", {})


def test(
    kind: Annotated[str, typer.Argument(help="What kind of test: dip, curve, taste, ...")],
    result: Annotated[str, typer.Argument(help="What it said.")] = "",
    file: Annotated[
        Path | None, typer.Option("--file", help="For a curve: CSV with time_s, chocolate_c.")
    ] = None,
    over_below: Limit = None,
    under_above: Limit = None,
    rig: OneOf = "",
    as_json: Json = False,
) -> None:
    """Write a test, and what it said, into the record of the cycle.

    A cooling curve is judged from its file: test curve --file curve.csv.
    """
    from glossbath.client.launch import connect, the_rig

    values = _curve(file, over_below, under_above) if file is not None else _said(kind, result)
    if file is not None and kind != "curve":
        raise InputError(f"A file belongs to a test of kind curve, not {kind!r}: leave it out.")
    rig = the_rig(rig)
    with connect(rig) as client:
        _post(client, rig, as_json, "test", values)


def dip(
    room: Annotated[
        float | None, typer.Option("--room", help="Air of the room in °C; else the rig's, or 20.")
    ] = None,
    rig: OneOf = "",
    as_json: Json = False,
) -> None:
    """Make a dip test by the clock: when to look, what to answer, and the judgement.

    It goes into the record of the cycle when the rig's keeper runs.
    """
    from glossbath.chocolate.diptest import DipTest
    from glossbath.client.launch import connect, the_rig

    out = sys.stderr if as_json else sys.stdout
    try:
        client: KeeperClient | None = connect(the_rig(rig))
    except KeeperError as error:
        client = None
        print(f"This test goes into no record. {error}", file=out)
    try:
        measured = _room_c(client) if client is not None and room is None else None
        trial = DipTest(room if room is not None else 20.0 if measured is None else measured)
        if not follow(trial, listener(sys.stdin), time.monotonic, out):
            raise KeeperError("The test was left without a judgement; nothing is recorded.")
        if client is not None:
            reply = client.request("test", **trial.values())
            print(reply.text, file=out)
    finally:
        if client is not None:
            client.close()
    if as_json:
        print_json(trial.values())


Listen = Callable[[float | None], str | None]
"""Waits up to some seconds, or for ever, for a line of the person; None when none came. Raises
EOFError when none can come any more."""


def follow(trial: DipTest, listen: Listen, now_s: Callable[[], float], out: TextIO) -> bool:
    """Go through a dip test in plain lines; False when the person leaves without a judgement."""
    from glossbath.words import clock

    def say(lines: list[str], at_s: float) -> None:
        for line in lines:
            print(f"{clock(trial.elapsed_s(at_s))}  {line}", file=out, flush=True)

    print(f"         {trial.prompt}", file=out, flush=True)
    while trial.stage != "done":
        try:
            word = listen(trial.next_s(now_s()))
        except EOFError:
            return False
        at_s = now_s()
        due = trial.due(at_s)
        if due and out.isatty():
            out.write("\a")
        say(due, at_s)
        if word is not None:
            say(trial.take(word, at_s), at_s)
            if trial.prompt:
                print(f"         {trial.prompt}", file=out, flush=True)
    return True


def listener(source: TextIO) -> Listen:
    """Lines of a terminal or pipe, with a limit to the waiting."""
    number = source.fileno()
    heard = bytearray()

    def listen(longest_s: float | None) -> str | None:
        until_s = None if longest_s is None else time.monotonic() + longest_s
        while b"\n" not in heard:
            left_s = None if until_s is None else max(0.0, until_s - time.monotonic())
            if not select.select([number], [], [], left_s)[0]:
                return None
            data = os.read(number, 4096)
            if not data:
                raise EOFError
            heard.extend(data)
        line, _, rest = bytes(heard).partition(b"\n")
        heard[:] = rest
        return line.decode(errors="replace")

    return listen


def _room_c(client: KeeperClient) -> float | None:
    """The room's temperature in °C as the rig measures it, if it does."""
    from glossbath.client.messages import Reading

    until_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < until_s:
        client.wait(0.2)
        for message in client.drain():
            if isinstance(message, Reading):
                return message.room_c
    return None


def _said(kind: str, result: str) -> dict[str, Any]:
    for name, text in (("kind", kind), ("result", result)):
        if not 0 < len(text.strip()) <= LONGEST:
            raise InputError(
                f"The {name} of a test must have 1 to {LONGEST} characters: say what was tested "
                "and what it said."
            )
    if kind == "dip" and result not in RESULTS:
        raise InputError(
            f"A dip test says {', '.join(RESULTS[:-1])} or {RESULTS[-1]}, not {result!r}; "
            "glossbath dip judges it by the clock."
        )
    return {"kind": kind.strip(), "result": result.strip()}


def _curve(file: Path, over_below: float | None, under_above: float | None) -> dict[str, Any]:
    from glossbath.desk import BY_NAME
    from glossbath.forms.form import Form

    form = Form(BY_NAME["curve"])
    form.type("file", str(file))
    for name, limit in (("over_below", over_below), ("under_above", under_above)):
        if limit is not None:
            form.type(name, str(limit))
    form.said = form.answer()
    return form.test()


def _post(client: KeeperClient, rig: str, as_json: bool, op: str, values: dict[str, Any]) -> None:
    reply = client.request(op, **values)
    if as_json:
        answer = {"rig": rig, "order": op, "ok": reply.ok, "text": reply.text, **values}
        print_json(answer)
    else:
        print(reply.text)
    raise typer.Exit(0 if reply.ok else 1)


def mount(app: typer.Typer) -> None:
    """Put these commands at the top of the command line."""
    for command in (dip, test, done):
        app.command()(command)
