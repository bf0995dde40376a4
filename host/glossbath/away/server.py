"""glossbath look --serve as a process: addresses, token, certificate, and the page's server."""

from __future__ import annotations

import secrets
import socket
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from glossbath.errors import GlossbathError, InputError, quoted

if TYPE_CHECKING:
    from .site import Source

USUAL_PORT = 8460


@dataclass(frozen=True)
class Place:
    """Where the page is served, and how it is called."""

    host: str
    port: int
    token: str
    certificate: Path | None = None
    key: Path | None = None

    @property
    def link(self) -> str:
        """The address to open; it lets in whoever has it."""
        scheme = "https" if self.certificate else "http"
        name = _own_address() if self.host in ("0.0.0.0", "::") else self.host
        name = f"[{name}]" if ":" in name else name
        base = f"{scheme}://{name}:{self.port}/"
        return f"{base}enter?token={self.token}" if self.token else base


def place(address: str, certificate: Path | None = None, key: Path | None = None) -> Place:
    """Where to serve, from HOST, HOST:PORT or nothing. Raises InputError."""
    host, _, port_text = address.rpartition(":") if ":" in address else (address, "", "")
    host = (host or "127.0.0.1").strip("[]")
    if port_text and not (port_text.isdigit() and 0 < int(port_text) < 65536):
        raise InputError(f"The port {quoted(port_text)} must be a number from 1 to 65535.")
    try:
        socket.getaddrinfo(host, None, flags=socket.AI_PASSIVE)
    except OSError:
        raise InputError(
            f"{quoted(host)} is no address of this computer: give one, or leave it out for this "
            "computer only."
        ) from None
    if (certificate is None) != (key is None):
        raise InputError("A certificate needs its key: give --certificate and --key together.")
    for file in (certificate, key):
        if file is not None and not file.is_file():
            raise InputError(f"There is no file {file}: give the certificate and its key.")
    local = host in ("127.0.0.1", "::1", "localhost")
    token = "" if local else secrets.token_urlsafe(24)
    return Place(host, int(port_text or USUAL_PORT), token, certificate, key)


def listening(where: Place) -> socket.socket:
    """A socket that listens there; raises InputError where it cannot."""
    family = socket.AF_INET6 if ":" in where.host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((where.host, where.port))
    except OSError as error:
        listener.close()
        raise InputError(
            f"{where.host} port {where.port} cannot be used ({error.strerror}): give another "
            "address or port."
        ) from None
    return listener


def introduce(where: Place, may_stop: bool) -> None:
    """Say where the page is and who can see it; the link as a code to scan."""
    print(f"Look at your rigs at {where.link}")
    if not where.token:
        print("Only this computer can open it. For a phone: glossbath look --serve 0.0.0.0")
    else:
        import segno

        segno.make(where.link, error="l").terminal(out=sys.stdout, compact=True)
        print("The link lets in whoever has it, until this command ends; it is shown only here.")
        if where.certificate is None:
            print(
                "It is plain HTTP: whoever listens in this network can read along. Use your own "
                "network, or give a certificate with --certificate and --key."
            )
    print(f"The page can {'look, and stop a rig with two taps' if may_stop else 'only look'}.")
    print("Being told is a comfort, not a protection. Ctrl-C ends it; rigs go on.", flush=True)


def serve(where: Place, may_stop: bool, source: Source) -> None:
    """Serve until told to end. Raises InputError or GlossbathError with one sentence."""
    import uvicorn

    from .access import Access
    from .crowd import protocol
    from .site import Looker, site

    listener = listening(where)
    introduce(where, may_stop)
    looker = Looker(source, may_stop)
    names = ("localhost", socket.gethostname(), f"{socket.gethostname()}.local", where.host)
    secure = where.certificate is not None
    application = Access(site(looker), where.token, names, may_stop, time.monotonic, secure)
    try:
        config = uvicorn.Config(
            application,
            log_level="critical",
            access_log=False,
            server_header=False,
            date_header=False,
            lifespan="off",
            http=protocol(),
            ws="none",
            timeout_keep_alive=5,
            timeout_graceful_shutdown=1,
            ssl_certfile=str(where.certificate) if where.certificate else None,
            ssl_keyfile=str(where.key) if where.key else None,
        )
        config.load()
    except (OSError, ValueError) as error:
        listener.close()
        raise GlossbathError(f"The certificate or its key cannot be used: {error}.") from None
    looker.start()
    try:
        uvicorn.Server(config).run(sockets=[listener])
    finally:
        looker.close()


def _own_address() -> str:
    """The address other machines of this network most likely reach this computer at."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # nothing is sent; the system only picks a way out
            return str(probe.getsockname()[0])
        except OSError:
            return socket.gethostname()
