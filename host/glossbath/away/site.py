"""The page that looks: its files, its stream of what rigs do, and the one order it may give."""

from __future__ import annotations

import asyncio
import secrets
import threading
import time
from collections.abc import AsyncIterator
from importlib import resources
from typing import Any, Protocol

import msgspec
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from glossbath.errors import KeeperError

from .access import ENTER, STOP
from .rigs import Rigs
from .seen import curve, seen

LOOK_S = 0.5
SEND_S = 1.0
MOST_STREAMS = 60
SECOND_TAP_S = 6.0
_TYPES = {
    "index.html": "text/html; charset=utf-8",
    "look.css": "text/css; charset=utf-8",
    "look.js": "text/javascript; charset=utf-8",
    "icon.svg": "image/svg+xml",
}


class Source(Protocol):
    """Where the page's rigs come from."""

    fahrenheit: bool
    """Whether its sentences are in °F; the page then turns its figures."""

    def states(self, now_s: float) -> list[dict[str, Any]]:
        """One entry a rig, as `seen` gives it, with its curve."""

    def stop(self, rig: str) -> str:
        """Stop a rig; what came of it. Raises KeeperError."""

    def close(self) -> None:
        """Look no more."""


class OwnRigs:
    """The rigs of this computer."""

    def __init__(self, only: str = "", fahrenheit: bool = False) -> None:
        self.fahrenheit = fahrenheit
        self._rigs = Rigs(only, fahrenheit)

    def states(self, now_s: float) -> list[dict[str, Any]]:
        """Look once."""
        return [{**seen(rig, now_s), "curve": curve(rig.view)} for rig in self._rigs.look(now_s)]

    def stop(self, rig: str) -> str:
        """Send STOP to a rig at once."""
        return self._rigs.stop(rig)

    def close(self) -> None:
        """Every rig goes on."""
        self._rigs.close()


class Looker:
    """Looks at the rigs in a thread of its own; what it saw last is there for any number of
    streams, so that a slow reader costs nothing."""

    def __init__(self, source: Source, may_stop: bool) -> None:
        self.source = source
        self._may_stop = may_stop
        self.latest = b"{}"
        self.number = 0
        self.names: list[str] = []
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="looker", daemon=True)

    def start(self) -> None:
        """Begin to look."""
        self.look(time.monotonic())
        self._thread.start()

    def close(self) -> None:
        """Look no more."""
        self._stop.set()
        self._thread.join(2.0)
        self.source.close()

    def look(self, now_s: float) -> None:
        """Look once."""
        shown = self.source.states(now_s)
        self.names = [rig["rig"] for rig in shown]
        self.latest = msgspec.json.encode(
            {"rigs": shown, "may_stop": self._may_stop, "fahrenheit": self.source.fahrenheit}
        )
        self.number += 1

    def _run(self) -> None:
        while not self._stop.wait(LOOK_S):
            self.look(time.monotonic())


class StopOrders:
    """A stop wants two taps: the first gets a word that the second must bring in time."""

    def __init__(self) -> None:
        self._asked: dict[str, tuple[str, float]] = {}

    def first(self, rig: str, now_s: float) -> str:
        """The word for the second tap."""
        word = secrets.token_urlsafe(8)
        self._asked[rig] = (word, now_s)
        return word

    def second(self, rig: str, word: str, now_s: float) -> bool:
        """Whether this is the second tap, in time."""
        asked, at_s = self._asked.pop(rig, ("", 0.0))
        return bool(asked) and secrets.compare_digest(asked, word) and now_s - at_s < SECOND_TAP_S


def site(looker: Looker) -> Starlette:
    """The application; who may use it is judged before it."""
    orders = StopOrders()
    streams = 0

    async def stream() -> AsyncIterator[bytes]:
        nonlocal streams
        streams += 1
        try:
            number = -1
            while True:
                if looker.number != number:
                    number = looker.number
                    yield b"data: " + looker.latest + b"\n\n"
                await asyncio.sleep(SEND_S)
        finally:
            streams -= 1

    async def events(_: Request) -> Response:
        if streams >= MOST_STREAMS:
            return PlainTextResponse("Too many pages look already.", 503)
        return StreamingResponse(stream(), media_type="text/event-stream")

    async def stop(request: Request) -> Response:
        rig, word = request.query_params.get("rig", ""), request.query_params.get("again", "")
        if not word:
            if rig not in looker.names:
                return JSONResponse({"text": "There is no such rig."}, 404)
            return JSONResponse({"again": orders.first(rig, time.monotonic())}, 202)
        if not orders.second(rig, word, time.monotonic()):
            return JSONResponse({"text": "The second tap came too late: tap twice again."}, 409)
        try:
            return JSONResponse({"text": await run_in_threadpool(looker.source.stop, rig)})
        except KeeperError as error:
            return JSONResponse({"text": str(error)}, 502)

    return Starlette(
        routes=[
            *(Route(path, _file(name)) for path, name in _paths()),
            Route(ENTER, _home),
            Route("/events", events),
            Route(STOP, stop, methods=["POST"]),
        ]
    )


def _paths() -> list[tuple[str, str]]:
    return [("/", "index.html"), *((f"/{name}", name) for name in _TYPES if name != "index.html")]


def _file(name: str):  # type: ignore[no-untyped-def] # an endpoint, as starlette takes it
    content = (resources.files("glossbath.away") / "page" / name).read_bytes()

    async def answer(_: Request) -> Response:
        return Response(content, media_type=_TYPES[name])

    return answer


async def _home(_: Request) -> Response:
    """Where no token is asked for, the link with a token still leads to the page."""
    return Response(status_code=303, headers={"location": "/"})
