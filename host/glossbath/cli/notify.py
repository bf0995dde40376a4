"""glossbath notify: who is told of what, away from the rig."""

from __future__ import annotations

from typing import Annotated

import typer

from glossbath.errors import GlossbathError, InputError

from .look import needs_extra
from .terminal import Json, print_json

app = typer.Typer(
    help="Tell a phone or a mailbox what happens at the rigs. A comfort, not a protection."
)


@app.command()
def add(
    url: Annotated[
        str,
        typer.Argument(
            help="Address as apprise writes it, mailto://… or ntfys://…; leave it out and it is "
            "asked for, so that it does not stand in the list of processes."
        ),
    ] = "",
    events: Annotated[
        str, typer.Option(help="Any of trip, alarm, gone, ask, ready, hold-ending, ended.")
    ] = "",
    quiet: Annotated[
        str, typer.Option(help="Hours without notices, 22:00-07:00; a trip is told all the same.")
    ] = "",
) -> None:
    """Add an address that is told."""
    needs_extra()
    from glossbath.away import targets

    url = url or typer.prompt("Address", hide_input=True)
    settings = targets.add(targets.read(), url, events, quiet)
    targets.write(settings)
    added = settings.targets[-1]
    print(f"{added.name}  {added.shown}  is told of {', '.join(added.events)}.")
    print("Try it: glossbath notify test")


@app.command("list")
def show(as_json: Json = False) -> None:
    """List the addresses, without what is secret in them."""
    from glossbath.away import targets

    settings = targets.read()
    if as_json:
        rows = [
            {"name": t.name, "address": t.shown, "events": t.events, "quiet": t.quiet}
            for t in settings.targets
        ]
        print_json({"targets": rows, "heartbeat": bool(settings.heartbeat)})
        return
    for target in settings.targets:
        quiet = f"  quiet {target.quiet}" if target.quiet else ""
        print(f"{target.name}  {target.shown}  {', '.join(target.events)}{quiet}")
    if settings.heartbeat:
        print("A heartbeat is sent.")
    if not settings.targets and not settings.heartbeat:
        print("Nobody is told: add an address with glossbath notify add.")


@app.command()
def test(
    name: Annotated[str, typer.Argument(help="Which address; all when left out.")] = "",
) -> None:
    """Send a word to each address and say whether it was taken."""
    needs_extra()
    from glossbath.away import targets

    chosen = [t for t in targets.read().targets if name in ("", t.name)]
    if not chosen:
        raise InputError("There is no such address: see glossbath notify list.")
    failed = []
    for target in chosen:
        text = "A test from your tempering bath: notices reach this address."
        taken = targets.deliver(target, "Glossbath test", text, "info")
        print(f"{target.name}  {target.shown}  {'taken' if taken else 'NOT taken'}")
        failed += [] if taken else [target.name]
    if failed:
        raise GlossbathError(
            f"Not delivered to {', '.join(failed)}: check the address, and the network."
        )


@app.command()
def remove(name: Annotated[str, typer.Argument(help="The number in the list.")]) -> None:
    """Remove an address."""
    from glossbath.away import targets

    targets.write(targets.remove(targets.read(), name))
    print(f"{name} is told nothing any more.")


@app.command()
def heartbeat(
    url: Annotated[str, typer.Argument(help="Address of a monitoring service of yours, or off.")],
) -> None:
    """Call an address each minute; its service notices when this computer dies."""
    import msgspec

    from glossbath.away import targets

    if url != "off" and not url.startswith(("http://", "https://")):
        raise InputError("A heartbeat calls an address that begins with https://, or give off.")
    wanted = "" if url == "off" else url
    targets.write(msgspec.structs.replace(targets.read(), heartbeat=wanted))
    print("A heartbeat is sent while a rig is followed." if wanted else "No heartbeat is sent.")


@app.command()
def watch() -> None:
    """Look at every rig and tell, until Ctrl-C; glossbath run starts the same by itself."""
    needs_extra()
    import contextlib
    import signal
    import threading

    from glossbath.away.alone import only_one
    from glossbath.away.notifier import run
    from glossbath.client.away_status import NOTIFIER

    stop = threading.Event()
    signal.signal(signal.SIGTERM, lambda *_: stop.set())
    with only_one(NOTIFIER):
        print("Telling what happens at the rigs of this computer. Ctrl-C ends it.", flush=True)
        with contextlib.suppress(KeyboardInterrupt):
            run(stop, stay=True)
