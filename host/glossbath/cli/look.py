"""glossbath look: the rigs on a page for a phone, or the rigs of a whole shop from its broker."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer
from rich import print as rich_print

from glossbath.errors import InputError

from .terminal import Degrees, Json, on_terminal, print_json

User = Annotated[str, typer.Option(help="User at the broker.")]
PasswordFile = Annotated[
    Path | None,
    typer.Option(help="File with the password; or set GLOSSBATH_BROKER_PASSWORD."),
]
Authority = Annotated[
    Path | None, typer.Option("--ca", help="Certificate authority of the broker, a PEM file.")
]


def look(
    serve: Annotated[
        bool, typer.Option("--serve", help="Serve a page that looks and cannot touch.")
    ] = False,
    address: Annotated[
        str,
        typer.Argument(help="With --serve: HOST or HOST:PORT; this computer only when left out."),
    ] = "",
    rig: Annotated[str, typer.Option("--rig", help="Only this rig; all when left out.")] = "",
    allow_stop: Annotated[
        bool, typer.Option("--allow-stop", help="Let the page stop a rig, with two taps.")
    ] = False,
    certificate: Annotated[
        Path | None, typer.Option(help="Your TLS certificate, a PEM file.")
    ] = None,
    key: Annotated[Path | None, typer.Option(help="The certificate's key, a PEM file.")] = None,
    broker: Annotated[
        str, typer.Option(help="Every rig of the shop, from its broker: mqtts://HOST[:PORT].")
    ] = "",
    user: User = "",
    password_file: PasswordFile = None,
    authority: Authority = None,
    fahrenheit: Degrees = False,
    as_json: Json = False,
) -> None:
    """Look at every rig from another room: a page for a phone, or a whole shop."""
    if not serve and not broker:
        raise InputError(
            "Say how to look: glossbath look --serve for a page, glossbath attach for a screen."
        )
    if broker and allow_stop:
        raise InputError("Nothing can be stopped through a broker: leave --allow-stop out.")
    needs_extra()
    from glossbath.away.broker import broker as named_broker

    where = named_broker(broker, user, password_file, authority) if broker else None
    if serve:
        _serve(address, certificate, key, allow_stop, rig, where, fahrenheit)
    elif where is not None:
        _table(where, as_json)


def _serve(
    address: str,
    certificate: Path | None,
    key: Path | None,
    stop: bool,
    rig: str,
    where: Any,
    fahrenheit: bool,
) -> None:
    from glossbath.away import server
    from glossbath.away.shop import Shop
    from glossbath.away.site import OwnRigs
    from glossbath.view.choices import kept_choices

    place = server.place(address, certificate, key)
    if where is None:
        server.serve(place, stop, OwnRigs(rig, fahrenheit or kept_choices().fahrenheit))
        return
    shop = Shop(where)
    shop.start()
    server.serve(place, stop, shop)


def _table(where: Any, as_json: bool) -> None:
    """The shop as a table that moves on a terminal, else as it is after a moment."""
    import time

    from rich.live import Live

    from glossbath.away.shop import SETTLE_S, Shop, table

    shop = Shop(where)
    shop.start()
    try:
        if as_json or not on_terminal():
            shop.listen(SETTLE_S)
            states = shop.states(time.monotonic())
            print_json({"rigs": states}) if as_json else rich_print(table(states, shop.problem))
            return
        with Live(refresh_per_second=2) as live:
            while True:
                live.update(table(shop.states(time.monotonic()), shop.problem))
                time.sleep(0.5)
    except KeyboardInterrupt:
        return
    finally:
        shop.close()


def needs_extra() -> None:
    """Raises InputError where the packages of the extra are missing."""
    try:
        import apprise  # noqa: F401
        import paho.mqtt.client  # noqa: F401
        import segno  # noqa: F401
        import starlette  # noqa: F401
        import uvicorn  # noqa: F401
    except ImportError:
        raise InputError(
            "This needs more packages: pip install 'glossbath[away]', then ask again."
        ) from None


def mount(app: typer.Typer) -> None:
    """Put this command under app."""
    app.command()(look)
