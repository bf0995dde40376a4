"""Who may look: every request to the page is judged here before anything answers it.

Only GET, and POST to the one path that stops a rig where that was switched on. Away from this
computer a token made at random is asked for once and exchanged for a cookie. A request that names
another host (DNS rebinding) or comes from another page is refused.
"""

from __future__ import annotations

import hmac
import ipaddress
import secrets
from collections import OrderedDict
from collections.abc import Callable
from http import cookies
from urllib.parse import parse_qs

from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "glossbath"
ENTER, STOP = "/enter", "/stop"
HEADERS = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'",
    "referrer-policy": "no-referrer",
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
WRONG_TOKENS, WRONG_WITHIN_S = 5, 60.0
REQUESTS, WITHIN_S = 120, 10.0
"""A phone that opens the page makes about five requests."""
MOST_ADDRESSES = 1000
MOST_SESSIONS = 64


class Rate:
    """At most so many events an address within so many seconds. Time is an argument."""

    def __init__(self, most: int, within_s: float) -> None:
        self._most = most
        self._within_s = within_s
        self._seen: OrderedDict[str, list[float]] = OrderedDict()

    def full(self, address: str, now_s: float) -> bool:
        """Whether this address has had all it may have for now."""
        times = [t for t in self._seen.get(address, []) if now_s - t < self._within_s]
        return len(times) >= self._most

    def count(self, address: str, now_s: float) -> None:
        """One more of this address."""
        times = [t for t in self._seen.pop(address, []) if now_s - t < self._within_s]
        self._seen[address] = [*times[-self._most :], now_s]
        while len(self._seen) > MOST_ADDRESSES:
            self._seen.popitem(last=False)


class Access:
    """Lets through what may pass. token empty: this computer only, and nobody has to say it.

    hosts are names the page may be called by; an address in figures is one always.
    """

    def __init__(
        self,
        app: ASGIApp,
        token: str,
        hosts: tuple[str, ...],
        may_stop: bool,
        clock: Callable[[], float],
        secure: bool = False,
    ) -> None:
        self._app = app
        self._token = token
        self._hosts = {host.lower() for host in hosts}
        self._may_stop = may_stop
        self._clock = clock
        self._secure = secure
        self._sessions: OrderedDict[str, None] = OrderedDict()
        self._requests = Rate(REQUESTS, WITHIN_S)
        self._wrong = Rate(WRONG_TOKENS, WRONG_WITHIN_S)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a refused request, or hand it on with the headers every answer has."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                more = [(k.encode(), v.encode()) for k, v in HEADERS.items()]
                message = {**message, "headers": [*message.get("headers", []), *more]}
            await send(message)

        refused = self._judge(scope)
        await (refused or self._app)(scope, receive, send_with_headers)

    def _judge(self, scope: Scope) -> Response | None:
        """The answer to a request that goes no further; None for one that may pass."""
        address, now_s = (scope.get("client") or ("?",))[0], self._clock()
        if self._requests.full(address, now_s):
            return PlainTextResponse("Too many requests: wait a moment.", 429)
        self._requests.count(address, now_s)
        headers = {k.decode("latin-1"): v.decode("latin-1") for k, v in scope["headers"]}
        host = headers.get("host", "").lower()
        if not self._known(host):
            return PlainTextResponse("This page is not known by that name.", 421)
        if scope["method"] not in ("GET", "HEAD"):
            if not (self._may_stop and scope["method"] == "POST" and scope["path"] == STOP):
                return PlainTextResponse("This page can only be looked at.", 405)
            if "origin" not in headers:
                return PlainTextResponse("An order must come from this page.", 403)
        origin = headers.get("origin")
        if origin is not None and origin.lower() not in (f"http://{host}", f"https://{host}"):
            return PlainTextResponse("Another page asked for this; it is refused.", 403)
        if not self._token:
            return None
        if scope["path"] == ENTER:
            return self._enter(scope, address, now_s)
        return None if self._has_session(headers.get("cookie", "")) else _closed()

    def _known(self, host: str) -> bool:
        name = host.rsplit(":", 1)[0] if not host.endswith("]") else host
        if name in self._hosts:
            return True
        try:
            ipaddress.ip_address(name.strip("[]"))
        except ValueError:
            return False
        return True

    def _enter(self, scope: Scope, address: str, now_s: float) -> Response:
        """Exchange the token for a cookie."""
        if self._wrong.full(address, now_s):
            return PlainTextResponse("Too many wrong links: wait a minute.", 429)
        given = parse_qs(scope["query_string"].decode("latin-1")).get("token", [""])[0]
        if not hmac.compare_digest(given.encode(), self._token.encode()):
            self._wrong.count(address, now_s)
            return _closed()
        session = secrets.token_urlsafe(32)
        self._sessions[session] = None
        while len(self._sessions) > MOST_SESSIONS:
            self._sessions.popitem(last=False)
        # The token must not stay in the address of the page, where it could be shared or seen.
        answer = HTMLResponse(
            '<!doctype html><meta http-equiv="refresh" content="0;url=/"><title>Glossbath</title>'
        )
        answer.set_cookie(COOKIE, session, httponly=True, samesite="lax", secure=self._secure)
        return answer

    def _has_session(self, text: str) -> bool:
        jar: cookies.SimpleCookie = cookies.SimpleCookie()
        try:
            jar.load(text)
        except cookies.CookieError:
            return False
        given = jar[COOKIE].value if COOKIE in jar else ""
        return any(hmac.compare_digest(given.encode(), kept.encode()) for kept in self._sessions)


def _closed() -> Response:
    return HTMLResponse(
        "<!doctype html><meta name=viewport content='width=device-width'><title>Glossbath</title>"
        "<p>This page is closed. Open the link, or scan the code, that was shown where it was "
        "started.",
        401,
    )
