"""Where a broker is and how to get in: address, user, certificate. Verification is always on."""

from __future__ import annotations

import os
import ssl
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from glossbath.errors import InputError, quoted

PASSWORD = "GLOSSBATH_BROKER_PASSWORD"


@dataclass(frozen=True)
class Broker:
    """How to reach a broker. password is a secret: it is never shown."""

    host: str
    port: int
    tls: bool
    user: str = ""
    password: str = ""
    authority: Path | None = None
    certificate: Path | None = None
    key: Path | None = None

    def __str__(self) -> str:
        return f"{self.host}:{self.port}"

    def client(self, identity: str, fails: Callable[[str], None]) -> Any:
        """An MQTT 5 client of this broker that is not connected yet. Raises InputError.

        fails is told in one sentence, from the client's thread, why the broker is not reached,
        each time that it is tried in vain.
        """
        from paho.mqtt.client import Client, MQTTv5
        from paho.mqtt.enums import CallbackAPIVersion

        client = Client(CallbackAPIVersion.VERSION2, identity, protocol=MQTTv5)
        if self.user:
            client.username_pw_set(self.user, self.password or None)
        if self.tls:
            authority, certificate, key = (
                str(file) if file else None
                for file in (self.authority, self.certificate, self.key)
            )
            try:
                client.tls_set(authority, certificate, key)
            except (OSError, ValueError) as error:
                raise InputError(f"The certificate files cannot be used: {error}.") from None
        client.reconnect_delay_set(1, 30)

        def tell(*_: Any) -> None:
            why = sys.exc_info()[1]
            words = getattr(why, "verify_message", "") or getattr(why, "strerror", "") or why
            certificate = isinstance(why, ssl.SSLCertVerificationError)
            what = "'s certificate is refused" if certificate else " cannot be reached"
            fails(f"The broker {self}{what}: {words}.")

        client.on_connect_fail = tell
        return client


def broker(
    url: str,
    user: str = "",
    password_file: Path | None = None,
    authority: Path | None = None,
    certificate: Path | None = None,
    key: Path | None = None,
) -> Broker:
    """The broker at mqtt://HOST[:PORT] or mqtts://HOST[:PORT]. Raises InputError."""
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError:
        parts, port = urlsplit(""), None
    if parts.scheme not in ("mqtt", "mqtts") or not parts.hostname:
        raise InputError(
            f"{quoted(url.rsplit('@', 1)[-1])} is no broker: give mqtts://HOST, or mqtt://HOST "
            "for one without TLS, with :PORT where it is not the usual one."
        )
    if parts.password:
        raise InputError(
            "A password in the address stands in the list of processes: put it into a file and "
            f"give --password-file, or set {PASSWORD}."
        )
    tls = parts.scheme == "mqtts"
    if (authority or certificate or key) and not tls:
        raise InputError("A certificate needs TLS: give the broker as mqtts://HOST.")
    if (certificate is None) != (key is None):
        raise InputError("A certificate needs its key: give --certificate and --key together.")
    password = os.environ.get(PASSWORD, "")
    if password_file is not None:
        try:
            password = password_file.read_text().strip()
        except (OSError, UnicodeDecodeError):
            raise InputError(f"The password file {password_file} cannot be read.") from None
    return Broker(
        parts.hostname,
        port or (8883 if tls else 1883),
        tls,
        user or parts.username or "",
        password,
        authority,
        certificate,
        key,
    )
