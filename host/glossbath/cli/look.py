"""glossbath look: the rigs on a page for a phone, or the rigs of a whole shop from its broker."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from glossbath.errors import InputError


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
) -> None:
    """Look at every rig from another room: a page for a phone."""
    if not serve:
        raise InputError(
            "Say how to look: glossbath look --serve for a page, glossbath attach for a screen."
        )
    needs_extra()
    from glossbath.away import server

    server.serve(server.place(address, certificate, key), allow_stop, rig)


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
