"""Saying no before the app is reached: plain words for a person, a problem object for a program."""

from __future__ import annotations

import json
from collections.abc import Iterable
from html import escape
from typing import Final

from starlette.types import Scope, Send

from tankwright.finding import Finding

API: Final = "/api/"
_PAGE: Final = (
    '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
    '<meta name="viewport" content="width=device-width, initial-scale=1"><title>{title}</title></head>'
    "<body><main><h1>{title}</h1><p>{words}</p></main></body></html>\n"
)


def header(scope: Scope, name: bytes) -> str | None:
    """The value of a header, or None when it is not there; one that is there twice gives both, with a comma.

    >>> header({"headers": [(b"host", b"localhost:9400")]}, b"host")
    'localhost:9400'
    """
    found = [value.decode("latin-1").strip(" \t") for key, value in scope["headers"] if key == name]
    return ", ".join(found) if found else None


def words_of_trouble(finding: Finding) -> str:
    """What keeps the logbook shut, and what to do, in one line.

    >>> from tankwright.logbook.outcome import NO_LOGBOOK, trouble
    >>> words_of_trouble(trouble(NO_LOGBOOK, "is no database", found="a song", remedy="move it away"))
    'LOG-10: the logbook is no database; found: a song. What to do: move it away.'
    """
    parts = [f"{finding.code}: the {finding.subject} {finding.text}"]
    parts += [f"found: {finding.found}"] if finding.found else []
    parts += [f"wanted: {finding.wanted}"] if finding.wanted else []
    return "; ".join(parts) + "." + (f" What to do: {finding.remedy}." if finding.remedy else "")


def answer_body(scope: Scope, status: int, title: str, words: str) -> tuple[str, bytes]:
    """The type and the bytes of a refusal: JSON for the API, a small page for a browser, else plain text.

    Source: RFC 9457, problem details (application/problem+json).

    >>> answer_body({"path": "/", "headers": []}, 403, "Not from here", "Ask the keeper.")
    ('text/plain; charset=utf-8', b'Not from here. Ask the keeper.\\n')
    """
    if scope["path"].startswith(API):
        problem = {"type": "about:blank", "title": title, "status": status, "detail": words}
        return "application/problem+json", json.dumps(problem).encode()
    if "text/html" in (header(scope, b"accept") or ""):
        page = _PAGE.format(title=escape(title), words=escape(words))
        return "text/html; charset=utf-8", page.encode()
    return "text/plain; charset=utf-8", f"{title}. {words}\n".encode()


async def refuse(
    scope: Scope,
    send: Send,
    status: int,
    title: str,
    words: str,
    headers: Iterable[tuple[bytes, bytes]] = (),
) -> None:
    """Answer a request, or the handshake of a socket, with a refusal. Nothing may have been sent before.

    A socket whose server cannot answer a handshake in HTTP is closed instead, with code 1008 (RFC 6455: policy).
    """
    content_type, body = answer_body(scope, status, title, words)
    kind = "http.response"
    if scope["type"] == "websocket":
        if "websocket.http.response" not in (scope.get("extensions") or {}):
            await send({"type": "websocket.close", "code": 1008, "reason": title})
            return
        kind = "websocket.http.response"
    told = [
        (b"content-type", content_type.encode()),
        (b"content-length", str(len(body)).encode()),
        *headers,
    ]
    await send({"type": f"{kind}.start", "status": status, "headers": told})
    await send({"type": f"{kind}.body", "body": body})
