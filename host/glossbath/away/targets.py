"""Where notices go: one file of the user's, mode 0600, since the addresses in it are secrets."""

from __future__ import annotations

import os
import re
from datetime import time
from pathlib import Path

import msgspec

from glossbath.errors import GlossbathError, InputError, quoted

from .notice import EVENTS

_QUIET = re.compile(r"([01]\d|2[0-3]):([0-5]\d)-([01]\d|2[0-3]):([0-5]\d)")
MOST_TARGETS = 20
USUAL_EVENTS = tuple(EVENTS)


class Target(msgspec.Struct, frozen=True):
    """One address and what it is told of."""

    name: str
    """A number of the list, as a person names it."""
    url: str
    events: tuple[str, ...] = USUAL_EVENTS
    quiet: str = ""
    """Local hours without notices, '22:00-07:00', or empty; a trip is told all the same."""

    def is_quiet(self, at: time) -> bool:
        """Whether this target wants to sleep at a time of day."""
        found = _QUIET.fullmatch(self.quiet)
        if not found:
            return False
        hours = [int(part) for part in found.groups()]
        begin, end = time(hours[0], hours[1]), time(hours[2], hours[3])
        return begin <= at < end if begin <= end else at >= begin or at < end

    @property
    def shown(self) -> str:
        """The address without what is secret in it."""
        return shown(self.url)


class Settings(msgspec.Struct, frozen=True):
    """Everything in the file."""

    targets: tuple[Target, ...] = ()
    heartbeat: str = ""
    """An address that expects to be called, or empty."""


def settings_path() -> Path:
    """Where the file lies."""
    from platformdirs import user_config_path

    return user_config_path("glossbath") / "notify.json"


def read(path: Path | None = None) -> Settings:
    """The settings; empty where there is no file. Raises GlossbathError for a damaged one."""
    path = path or settings_path()
    try:
        return msgspec.json.decode(path.read_bytes(), type=Settings)
    except FileNotFoundError:
        return Settings()
    except (OSError, msgspec.MsgspecError) as error:
        raise GlossbathError(
            f"The file of addresses {path} cannot be read: mend it or delete it."
        ) from error


def write(settings: Settings, path: Path | None = None) -> None:
    """Replace the file in one step; only its owner may read it. Raises GlossbathError."""
    path = path or settings_path()
    beside = path.with_name(path.name + ".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        beside.unlink(missing_ok=True)
        file = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(file, "wb") as sink:
            os.fchmod(file, 0o600)
            sink.write(msgspec.json.format(msgspec.json.encode(settings)))
        os.replace(beside, path)
    except OSError as error:
        raise GlossbathError(
            f"The file of addresses {path} cannot be written: {error}."
        ) from error


def add(settings: Settings, url: str, events: str, quiet: str) -> Settings:
    """The settings with one more target; raises InputError with what is wrong."""
    if len(settings.targets) >= MOST_TARGETS:
        raise InputError(f"There are {MOST_TARGETS} addresses already: remove one first.")
    if not is_address(url):
        raise InputError(
            f"{quoted(shown(url))} is no address that can be told anything: it looks like "
            "mailto://, ntfys://, json:// and so on, as the library apprise lists them."
        )
    if any(target.url == url for target in settings.targets):
        raise InputError("This address is in the list already: see glossbath notify list.")
    if quiet and not _QUIET.fullmatch(quiet):
        raise InputError(f"Quiet hours {quoted(quiet)}: give them as 22:00-07:00.")
    taken = {target.name for target in settings.targets}
    name = next(str(n) for n in range(1, MOST_TARGETS + 2) if str(n) not in taken)
    target = Target(name, url, _events(events), quiet)
    return msgspec.structs.replace(settings, targets=(*settings.targets, target))


def remove(settings: Settings, name: str) -> Settings:
    """The settings without a target; raises InputError where there is none of that number."""
    left = tuple(target for target in settings.targets if target.name != name)
    if len(left) == len(settings.targets):
        raise InputError(f"There is no address {quoted(name)}: see glossbath notify list.")
    return msgspec.structs.replace(settings, targets=left)


def _events(text: str) -> tuple[str, ...]:
    words = tuple(word for word in re.split(r"[,\s]+", text) if word)
    for word in words:
        if word not in EVENTS:
            raise InputError(f"{quoted(word)} is no event: use any of {', '.join(EVENTS)}.")
    return words or USUAL_EVENTS


def is_address(url: str) -> bool:
    """Whether the library knows how to tell something to this address."""
    return _instance(url) is not None


def shown(url: str) -> str:
    """An address without what is secret in it: its kind, and no more where it is not known."""
    instance = _instance(url)
    if instance is None:
        return url.split("://", 1)[0][:20] + "://…" if "://" in url else "…"
    return str(instance.url(privacy=True)).split("?", 1)[0]


def _instance(url: str):  # type: ignore[no-untyped-def] # the library ships no types
    import logging

    # Its messages may quote an address whole.
    logging.getLogger("apprise").setLevel(logging.CRITICAL + 1)
    from apprise import Apprise

    return Apprise.instantiate(url, suppress_exceptions=True)


def deliver(target: Target, title: str, text: str, urgency: str) -> bool:
    """Tell one target, as info, warning or failure; whether it was taken. Never raises."""
    from apprise import NotifyType

    instance = _instance(target.url)
    if instance is None:
        return False
    kind = getattr(NotifyType, urgency.upper())
    try:
        return bool(instance.notify(body=text, title=title, notify_type=kind))
    except Exception:  # a library that reaches out may raise anything; it is tried again later
        return False
