"""glossbath bridge: the rigs of this computer on a broker that the shop already has."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from .look import Authority, PasswordFile, User, needs_extra


def bridge(
    address: Annotated[
        str, typer.Option("--broker", help="mqtts://HOST[:PORT], or mqtt:// without TLS.")
    ],
    computer: Annotated[
        str, typer.Option(help="What this computer is called there; its host name when left out.")
    ] = "",
    user: User = "",
    password_file: PasswordFile = None,
    authority: Authority = None,
    certificate: Annotated[Path | None, typer.Option(help="Your certificate, a PEM file.")] = None,
    key: Annotated[Path | None, typer.Option(help="The certificate's key, a PEM file.")] = None,
) -> None:
    """Publish what the rigs of this computer do; nothing on the broker can order anything."""
    needs_extra()
    import signal
    import threading

    from platformdirs import user_state_path

    from glossbath.away.alone import only_one
    from glossbath.away.bridge import Bridge, run
    from glossbath.away.broker import broker
    from glossbath.away.rigs import Rigs
    from glossbath.away.topics import computer_name

    where = broker(address, user, password_file, authority, certificate, key)
    stop = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: stop.set())
    name = computer or computer_name()
    spool = user_state_path("glossbath") / "bridge.sqlite"
    with only_one("bridge"):
        print(f"Bringing the rigs of {name} to {where}. Ctrl-C ends it.", flush=True)
        run(Bridge(Rigs(), where, name, spool, lambda line: print(line, flush=True)), stop)


def mount(app: typer.Typer) -> None:
    """Put this command under app."""
    app.command()(bridge)
