"""The door: finds out who asks, keeps nobody out of the pages, and serves the page to log in."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Final
from urllib.parse import parse_qsl, quote, urlsplit

from starlette.types import ASGIApp, Receive, Scope, Send

from tankwright.web.access import DAYS, Access, cookies, marked
from tankwright.web.refusals import API, header, refuse

_LONGEST_FORM: Final = 20_000  # bytes
_LOCAL: Final = re.compile(r"/(?!/)[!-\[\]-~]*")  # printable ASCII without blanks and without a backslash
_OWN: Final = ("/login", "/logout")
_COOKIE_IS_NO_SCHEME: Final = (b"www-authenticate", b'Cookie realm="tankwright"')


def local_path(text: str) -> str:
    """An address inside this app to go on to, or "/" for everything that is none, or might not stay one.

    A browser reads "/\\\\evil" and, once it has dropped the tab, "/<tab>/evil" as another host: only plain signs pass.

    >>> local_path("/air?at=B3"), local_path("//evil.example"), local_path("https://evil.example")
    ('/air?at=B3', '/', '/')
    """
    if len(text) > 2000 or not _LOCAL.fullmatch(text) or text.partition("?")[0].rstrip("/") in _OWN:
        return "/"
    return text


class Door:
    """Goes around the app, inside the guard (`Guard(Door(app, access), hosts)`).

    Everyone with a valid cookie goes on, with their `Person` in the scope (`access.who`). Nobody gets the static
    files and the page to log in; elsewhere a browser is led there, a program told 401, a socket refused.
    """

    def __init__(self, app: ASGIApp, access: Access) -> None:
        self._app = app
        self._access = access

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        person = self._access.person(scope)
        path = scope["path"]
        if scope["type"] == "http" and path in _OWN:
            await self._own(scope, receive, send)
        elif person is not None or _is_public(path):
            await self._app(marked(scope, person), receive, send)
        elif scope["type"] == "websocket" or path.startswith(API):
            words = "Log in first: POST name and password to /login as a form, and send the cookie it gives."
            await refuse(scope, send, 401, "Nobody is logged in", words, [_COOKIE_IS_NO_SCHEME])
        else:
            await _redirect(send, "/login?next=" + quote(_wanted(scope), safe="/"))

    async def _own(self, scope: Scope, receive: Receive, send: Send) -> None:
        method, path = scope["method"], scope["path"]
        if self._access.is_open:
            await _redirect(send, local_path(_query(scope).get("next", "/")))
        elif path == "/login" and method in ("GET", "HEAD"):
            await self._show(scope, send, 200, next_path=local_path(_query(scope).get("next", "/")))
        elif path == "/login" and method == "POST":
            await self._try(scope, receive, send)
        elif method == "POST":
            gone = self._cookie(scope, "", 0)
            await _redirect(send, "/login", [gone])
        else:
            words = "To log out, use the button: a link alone must not be able to."
            await refuse(scope, send, 405, "Not in this way", words, [(b"allow", b"POST")])

    async def _try(self, scope: Scope, receive: Receive, send: Send) -> None:
        form = await _form(receive)
        client = scope.get("client") or ("", 0)
        name, next_path = form.get("name", ""), local_path(form.get("next", "/"))
        came = await self._access.log_in(name, form.get("password", ""), client[0])
        if came.person is not None:
            await _redirect(send, next_path, [self._cookie(scope, came.cookie, DAYS * 86_400)])
            return
        if came.wait > 0.0:
            seconds = math.ceil(came.wait)
            told = [(b"retry-after", str(seconds).encode())]
            await self._show(scope, send, 429, told, next_path=next_path, name=name[:80], wait=seconds)
        else:
            await self._show(
                scope, send, 401, [_COOKIE_IS_NO_SCHEME], next_path=next_path, name=name[:80], wrong=True
            )

    async def _show(
        self,
        scope: Scope,
        send: Send,
        status: int,
        headers: Iterable[tuple[bytes, bytes]] = (),
        *,
        next_path: str,
        name: str = "",
        wrong: bool = False,
        wait: int = 0,
    ) -> None:
        from tankwright.web.rendering import environment  # noqa: PLC0415 - the pages know `access`, which is below

        theme = dict(cookies(scope)).get("theme", "")
        language = self._access.language()
        page = environment(language).get_template("login.html")
        html = page.render(
            language=language, theme=theme if theme in ("dark", "light") else "", next_path=next_path, name=name,
            wrong=wrong, wait=wait, plain=scope["scheme"] == "http",
        )  # fmt: skip
        told = [(b"content-type", b"text/html; charset=utf-8"), *headers]
        await send({"type": "http.response.start", "status": status, "headers": told})
        await send(
            {"type": "http.response.body", "body": b"" if scope["method"] == "HEAD" else html.encode()}
        )

    def _cookie(self, scope: Scope, value: str, seconds: int) -> tuple[bytes, bytes]:
        secure = "; Secure" if scope["scheme"] == "https" else ""
        name = self._access.cookie_name
        said = f"{name}={value}; Max-Age={seconds}; Path=/; HttpOnly; SameSite=Lax{secure}"
        return (b"set-cookie", said.encode("ascii"))


def _is_public(path: str) -> bool:
    return path.startswith("/static/") and ".." not in path


def _wanted(scope: Scope) -> str:
    """Where to go on to after the log-in: the page asked for; after a form, the page it stood on."""
    if scope["method"] in ("GET", "HEAD"):
        raw = scope.get("raw_path") or quote(scope["path"]).encode()
        query = scope.get("query_string", b"")
        return local_path((raw + (b"?" + query if query else b"")).decode("latin-1"))
    came_from = urlsplit(header(scope, b"referer") or "")
    if came_from.netloc.lower() != (header(scope, b"host") or "").lower():
        return "/"
    return local_path(came_from.path + (f"?{came_from.query}" if came_from.query else ""))


def _query(scope: Scope) -> dict[str, str]:
    return _fields(scope.get("query_string", b""))


def _fields(raw: bytes) -> dict[str, str]:
    try:
        return dict(parse_qsl(raw.decode("utf-8", "replace"), keep_blank_values=True, max_num_fields=20))
    except ValueError:
        return {}


async def _form(receive: Receive) -> dict[str, str]:
    """The fields of a posted form; of a form too long to be this one, none."""
    body = b""
    more = True
    while more:
        message = await receive()
        body = (body + message.get("body", b""))[: _LONGEST_FORM + 1]
        more = message["type"] == "http.request" and message.get("more_body", False)
    return _fields(body) if len(body) <= _LONGEST_FORM else {}


async def _redirect(send: Send, to: str, headers: Iterable[tuple[bytes, bytes]] = ()) -> None:
    told = [(b"location", to.encode("ascii")), (b"content-length", b"0"), *headers]
    await send({"type": "http.response.start", "status": 303, "headers": told})
    await send({"type": "http.response.body", "body": b""})
