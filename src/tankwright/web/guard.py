"""The guard before the app: who may be asked, from where, how much, and what every answer forbids a browser.

One pure ASGI layer, for requests and sockets. It goes around the whole app (`Guard(app, hosts)`), not in with
`add_middleware`, or the answer to a crash would go out without its headers. docs/decisions/0009 says why.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final
from urllib.parse import parse_qsl

from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tankwright.web.refusals import header, refuse

Hosts = frozenset[str] | Callable[[], frozenset[str]]

LARGEST_BODY: Final = 2_500_000  # bytes; a plan of 2,000,000 and the form around it
_LARGER: Final = (
    (re.compile(r"/t/[^/]+/photo"), 15_500_000),  # a picture as a phone takes it, and the form around it
    (re.compile(r"/bring"), 60_500_000),  # a table of some 200,000 rows, and the form around it
)
"""Where more may be sent at once: path and bytes. What is sent is checked again where it is taken in."""
_MOST_DRAINED: Final = 8 * LARGEST_BODY
_READING: Final = frozenset({"GET", "HEAD"})
_OWN_FETCH: Final = frozenset({"same-origin", "none"})
_HERE: Final = re.compile(r"(localhost|127\.0\.0\.1|\[::1\])(:\d+)?")
_HASH: Final = re.compile(r"[0-9A-Za-z_-]{8,64}")

POLICY: Final = (
    "default-src 'self'; img-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)
_ALWAYS: Final = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),  # "no-referrer" would send our own forms with Origin: null
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), geolocation=(), microphone=(), payment=(), usb=()"),
)
_OPENER: Final = (b"cross-origin-opener-policy", b"same-origin")
_NO_STORE: Final = (b"cache-control", b"no-store")
_ASK_AGAIN: Final = (b"cache-control", b"no-cache")
_FOR_EVER: Final = (b"cache-control", b"public, max-age=31536000, immutable")


class Guard:
    """Lets through what comes to one of our names, and writes only from our own pages.

    `hosts` are the values of `Host` that are ours, port and all ("localhost:9400"), in small letters, or a
    function that gives them (names and addresses change while the server runs). With `own_address` a request
    may also name the very address of this machine it arrived at: no foreign name can stand there.

    - `Host` is not ours: 400.
    - A write or a socket whose `Origin` is not the host it asks, or whose `Sec-Fetch-Site` is another site: 403.
      With neither header it is no browser of these years; it may write only without a cookie (a script does not
      have one), so that no page of another site can borrow a reader's log-in. Else 403.
    - A body over `largest_body` bytes, announced or not: 413. Bodies are counted as they pass, never kept.
    - Every answer gets the headers that keep foreign scripts, frames and guesses at types out.

    >>> guard = Guard(None, frozenset({"localhost:9400"}))
    >>> guard.why_not({"type": "http", "method": "GET", "headers": [(b"host", b"evil.example")]})[0]
    400
    """

    def __init__(
        self,
        app: ASGIApp,
        hosts: Hosts,
        *,
        own_address: bool = False,
        largest_body: int = LARGEST_BODY,
    ) -> None:
        self._app = app
        self._hosts = hosts
        self._own_address = own_address
        self._largest_body = largest_body

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        told = _with_headers(scope, send) if scope["type"] == "http" else send
        no = self.why_not(scope)
        if no is not None:
            await refuse(scope, told, *no)
        elif scope["type"] == "websocket":
            await self._app(scope, receive, send)
        else:
            await _Counted(self._largest_of(scope), receive, told).serve(self._app, scope)

    def _largest_of(self, scope: Scope) -> int:
        """The most bytes that may come to an address."""
        larger = next((most for path, most in _LARGER if path.fullmatch(scope["path"])), 0)
        return max(self._largest_body, larger) if scope["method"] == "POST" else self._largest_body

    def why_not(self, scope: Scope) -> tuple[int, str, str] | None:
        """Status, title and words of the refusal, or None when the request may pass."""
        host = (header(scope, b"host") or "").lower()
        if not self._is_ours(host, scope):
            return (
                400,
                "Not a name of this app",
                "It answers only to the addresses it printed when it was started. To give it another name on "
                "your network, start it with --lan --name NAME.",
            )
        if scope["type"] == "http" and scope["method"] in _READING:
            return None
        return _why_no_write(scope, host)

    def _is_ours(self, host: str, scope: Scope) -> bool:
        hosts = self._hosts() if callable(self._hosts) else self._hosts
        if host in hosts:
            return True
        server = scope.get("server")
        if not self._own_address or not server or server[1] is None:
            return False
        address, port = server
        literal = f"[{address}]" if ":" in address else address
        return host == f"{literal}:{port}" or (port == 80 and host == literal)


def _why_no_write(scope: Scope, host: str) -> tuple[int, str, str] | None:
    origin = header(scope, b"origin")
    fetch_site = header(scope, b"sec-fetch-site")
    if origin is not None and origin.lower() != f"{_scheme(scope)}://{host}":
        return (403, "Not from this app", "The page that sent this is another site's; nothing was changed.")
    if fetch_site is not None and fetch_site not in _OWN_FETCH:
        return (403, "Not from this app", "Another site led here, so nothing was changed.")
    if origin is None and fetch_site is None and header(scope, b"cookie") is not None:
        return (
            403,
            "Nobody knows where this comes from",
            "A browser says with every change which page it comes from; this came with a cookie and without "
            "that. A script of your own: leave the cookie out, or send the header Origin with this app's address.",
        )
    return None


def _scheme(scope: Scope) -> str:
    return "https" if scope["scheme"] in ("https", "wss") else "http"


def _with_headers(scope: Scope, send: Send) -> Send:
    """A `send` that adds the headers; ours win, except that a page may say how long it keeps."""

    async def told(message: Message) -> None:
        if message["type"] == "http.response.start":
            ours = {name for name, _ in _ALWAYS} | {_OPENER[0]}
            given = [(key, value) for key, value in message.get("headers", ()) if key.lower() not in ours]
            given += _ALWAYS
            if scope["scheme"] == "https" or _HERE.fullmatch(header(scope, b"host") or ""):
                given.append(_OPENER)  # elsewhere over plain http a browser only complains about it
            if not any(key.lower() == b"cache-control" for key, _ in given):
                given.append(_keeping(scope, message["status"]))
            message = {**message, "headers": given}
        await send(message)

    return told


def _keeping(scope: Scope, status: int) -> tuple[bytes, bytes]:
    if not scope["path"].startswith("/static/") or status not in (200, 206, 304):
        return _NO_STORE
    asked = dict(parse_qsl(scope.get("query_string", b"").decode("latin-1")))
    return _FOR_EVER if _HASH.fullmatch(asked.get("v", "")) else _ASK_AGAIN


class _Counted:
    """One request whose body is counted on its way to the app. When it grows too long the app is told that the
    client has gone, what it still says is dropped, and the client gets the 413."""

    def __init__(self, largest: int, receive: Receive, send: Send) -> None:
        self._largest = largest
        self._receive = receive
        self._send = send
        self._read = 0
        self._ended = False
        self._begun = False
        self._over = False

    async def serve(self, app: ASGIApp, scope: Scope) -> None:
        announced = header(scope, b"content-length") or ""
        if announced.isascii() and announced.isdigit() and int(announced[:20]) > self._largest:
            await self._too_large(scope)
            return
        try:
            await app(scope, self._next, self._say)
        except ClientDisconnect:
            pass  # a line that was cut, or a body cut off here: nothing of the app's own is wrong
        except Exception:
            if not self._over or self._begun:
                raise
        if self._over and not self._begun:
            await self._too_large(scope)

    async def _next(self) -> Message:
        if self._over:
            return {"type": "http.disconnect"}
        message = await self._receive()
        self._count(message)
        if self._read > self._largest:
            self._over = True
            return {"type": "http.disconnect"}
        return message

    async def _say(self, message: Message) -> None:
        if self._over and not self._begun:
            return
        self._begun = True
        await self._send(message)

    def _count(self, message: Message) -> None:
        self._read += len(message.get("body", b""))
        self._ended = message["type"] != "http.request" or not message.get("more_body", False)

    async def _too_large(self, scope: Scope) -> None:
        """A browser that is still sending does not read an answer: take in what follows, up to a bound."""
        if header(scope, b"expect") is None:
            while not self._ended and self._read <= _MOST_DRAINED:
                self._count(await self._receive())
        limit = self._largest / 1_000_000
        words = f"At most {limit:g} MB can be sent at once, and nothing of it was kept."
        await refuse(scope, self._send, 413, "Too much at once", words, [(b"connection", b"close")])
