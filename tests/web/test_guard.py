"""The guard before the app: names, origins, the length of bodies, and the headers of every answer."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Iterable
from typing import Any

import httpx
import pytest
from fastapi import FastAPI, Request
from hypothesis import given
from hypothesis import strategies as st

from tankwright.web.guard import POLICY, Guard

from .apart import apart

HOSTS = frozenset({"localhost:9400", "127.0.0.1:9400", "fishroom.home:9400"})
FIRST = "http://localhost:9400"


class Told:
    """What came out of one call."""

    def __init__(self) -> None:
        self.messages: list[dict[str, Any]] = []
        self.reached = False
        self.body_read = 0

    @property
    def status(self) -> int:
        starts = [one for one in self.messages if one["type"].endswith("response.start")]
        assert len(starts) == 1
        return int(starts[0]["status"])

    @property
    def headers(self) -> dict[str, str]:
        start = next(one for one in self.messages if one["type"].endswith("response.start"))
        names = [key for key, _ in start["headers"]]
        assert len(names) == len(set(names)), "each header once"
        return {key.decode(): value.decode() for key, value in start["headers"]}

    @property
    def text(self) -> str:
        return b"".join(one.get("body", b"") for one in self.messages).decode()


def ask(
    method: str = "GET",
    path: str = "/",
    headers: Iterable[tuple[str, str]] = (),
    *,
    host: str | None = "localhost:9400",
    chunks: Iterable[bytes] = (),
    kind: str = "http",
    query: bytes = b"",
    answer_headers: Iterable[tuple[bytes, bytes]] = (),
    status: int = 200,
    scheme: str = "http",
    server: tuple[str, int] = ("127.0.0.1", 9400),
    extensions: Iterable[str] = ("websocket.http.response",),
    own_address: bool = False,
    catches: bool = False,
    begins_early: bool = False,
) -> Told:
    """One call of a guard around an app that reads the whole body and answers."""
    told = Told()
    waiting = list(chunks) or [b""]

    async def receive() -> dict[str, Any]:
        if not waiting:
            return {"type": "http.disconnect"}
        return {"type": "http.request", "body": waiting.pop(0), "more_body": bool(waiting)}

    async def send(message: Any) -> None:
        told.messages.append(dict(message))

    async def app(scope: Any, receive: Any, send: Any) -> None:
        told.reached = True
        if scope["type"] == "websocket":
            await send({"type": "websocket.accept"})
            return
        start = {"type": "http.response.start", "status": status, "headers": list(answer_headers)}
        if begins_early:
            await send(start)
        more = True
        while more:
            message = await receive()
            if message["type"] == "http.disconnect":
                if not catches:
                    raise ConnectionError("the client has gone")
                await send({"type": "http.response.start", "status": 400, "headers": []})
                await send({"type": "http.response.body", "body": b"cannot be parsed"})
                return
            told.body_read += len(message["body"])
            more = message["more_body"]
        if not begins_early:
            await send(start)
        await send({"type": "http.response.body", "body": b"fine"})

    raw = [(name.lower().encode("latin-1"), value.encode("latin-1")) for name, value in headers]
    if host is not None:
        raw.insert(0, (b"host", host.encode("latin-1")))
    scope = {
        "type": kind, "method": method, "path": path, "headers": raw, "query_string": query,
        "scheme": ("ws" if kind == "websocket" else "http") if scheme == "http" else scheme,
        "server": server, "client": ("127.0.0.1", 50000), "extensions": {name: {} for name in extensions},
    }  # fmt: skip
    if kind == "websocket":
        del scope["method"]
    guard = Guard(app, HOSTS, own_address=own_address, largest_body=1000)
    apart(guard(scope, receive, send))
    return told


# --- names ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("host", [*sorted(HOSTS), "LOCALHOST:9400", "FishRoom.home:9400"])
def test_our_own_names_are_answered_whatever_their_capitals(host: str) -> None:
    assert ask(host=host).status == 200


@pytest.mark.parametrize(
    "host",
    [
        "evil.example", "evil.example:9400", "localhost", "localhost:80", "localhost:9401", "localhost.:9400",
        "127.0.0.1", "127.0.0.1:9400.evil.example", "localhost:9400@evil.example", "",
        "127.1:9400", "0x7f000001:9400", "[::ffff:127.0.0.1]:9400", "localhost:9400, evil.example", "192.168.1.20:9400",
    ],
)  # fmt: skip
def test_a_name_that_is_not_ours_is_refused_in_plain_words(host: str) -> None:
    told = ask(host=host)
    assert told.status == 400
    assert not told.reached
    assert "--lan --name" in told.text


def test_no_host_and_two_hosts_are_refused() -> None:
    assert ask(host=None).status == 400
    assert ask(headers=[("Host", "localhost:9400")]).status == 400


@given(st.text(st.characters(min_codepoint=1, max_codepoint=255), max_size=60))
def test_no_other_host_gets_through(host: str) -> None:
    told = ask(host=host)
    assert told.reached == (host.strip(" \t").lower() in HOSTS)  # RFC 9110, section 5.5
    assert told.status == (200 if told.reached else 400)


def test_names_are_asked_for_anew_when_they_come_from_a_function() -> None:
    names = {"old:9400"}
    guard = Guard(None, lambda: frozenset(names))  # type: ignore[arg-type] # never reached
    scope = {"type": "http", "method": "GET", "headers": [(b"host", b"new:9400")]}
    assert guard.why_not(scope) is not None
    names.add("new:9400")
    assert guard.why_not(scope) is None


@pytest.mark.parametrize(
    ("host", "server"),
    [
        ("192.168.1.20:9400", ("192.168.1.20", 9400)),
        ("[fd00::5]:9400", ("fd00::5", 9400)),
        ("10.0.0.2", ("10.0.0.2", 80)),
    ],
)
def test_on_the_network_the_address_a_request_arrived_at_is_ours_too(
    host: str, server: tuple[str, int]
) -> None:
    assert ask(host=host, server=server, own_address=True).status == 200
    assert ask(host=host, server=server).status == 400
    assert ask(host=host, server=("192.168.1.21", server[1]), own_address=True).status == 400
    assert ask(host=host, server=(server[0], 9401), own_address=True).status == 400


# --- where a write comes from --------------------------------------------------------------------------------


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "post"])
@pytest.mark.parametrize(
    "headers",
    [
        [("Origin", "http://evil.example")], [("Origin", "null")], [("Origin", "https://localhost:9400")],
        [("Origin", "http://localhost:9401")], [("Origin", "http://127.0.0.1:9400")], [("Origin", "")],
        [("Origin", FIRST + ".evil.example")], [("Origin", FIRST), ("Origin", "http://evil.example")],
        [("Sec-Fetch-Site", "cross-site")], [("Sec-Fetch-Site", "same-site")], [("Sec-Fetch-Site", "")],
        [("Origin", FIRST), ("Sec-Fetch-Site", "cross-site")],
        [("Origin", "http://evil.example"), ("Sec-Fetch-Site", "same-origin")],
        [("Cookie", "tankwright-1=abc")],
    ],
)  # fmt: skip
def test_a_write_from_elsewhere_is_refused_and_a_look_is_not(
    method: str, headers: list[tuple[str, str]]
) -> None:
    told = ask(method, headers=headers)
    assert told.status == 403
    assert not told.reached
    assert ask("GET", headers=headers).status == 200
    assert ask("HEAD", headers=headers).status == 200


@pytest.mark.parametrize(
    "headers",
    [
        [("Origin", FIRST)],
        [("Origin", FIRST), ("Sec-Fetch-Site", "same-origin"), ("Cookie", "a=b")],
        [("Sec-Fetch-Site", "same-origin"), ("Cookie", "a=b")],
        [("Sec-Fetch-Site", "none")],
        [],  # a script: no browser, no cookie
    ],
)
def test_a_write_from_our_own_page_or_a_script_without_a_cookie_goes_through(
    headers: list[tuple[str, str]],
) -> None:
    assert ask("POST", headers=headers).status == 200


@given(st.text(st.characters(min_codepoint=1, max_codepoint=255), max_size=60))
def test_no_other_origin_writes(origin: str) -> None:
    assert ask("POST", headers=[("Origin", origin)]).reached == (origin.strip(" \t").lower() == FIRST)


@given(st.text(st.characters(min_codepoint=1, max_codepoint=255), max_size=20))
def test_only_our_own_pages_and_the_reader_may_lead_to_a_write(site: str) -> None:
    assert ask("POST", headers=[("Sec-Fetch-Site", site)]).reached == (
        site.strip() in ("same-origin", "none")
    )


def test_a_socket_is_opened_only_by_our_own_pages() -> None:
    assert ask(kind="websocket", headers=[("Origin", FIRST)]).messages == [{"type": "websocket.accept"}]
    assert ask(kind="websocket").reached
    for headers in (
        [("Origin", "http://evil.example")],
        [("Cookie", "a=b")],
        [("Sec-Fetch-Site", "cross-site")],
    ):
        told = ask(kind="websocket", headers=headers)
        assert (told.reached, told.status) == (False, 403)
    assert ask(kind="websocket", host="evil.example").status == 400
    assert ask(kind="websocket", headers=[("Origin", "https://localhost:9400")], scheme="wss").reached


def test_a_socket_of_a_server_that_cannot_answer_is_closed() -> None:
    told = ask(kind="websocket", host="evil.example", extensions=())
    assert [one["type"] for one in told.messages] == ["websocket.close"]
    assert told.messages[0]["code"] == 1008


def test_a_refusal_is_json_for_the_api_and_a_page_for_a_browser() -> None:
    api = ask("POST", "/api/v1/edits", [("Origin", "null")])
    assert api.headers["content-type"] == "application/problem+json"
    assert json.loads(api.text)["status"] == 403
    page = ask("POST", "/edit", [("Origin", "null"), ("Accept", "text/html,*/*")])
    assert page.headers["content-type"] == "text/html; charset=utf-8"
    assert "<h1>Not from this app</h1>" in page.text
    plain = ask("POST", "/edit", [("Origin", "null")])
    assert plain.headers["content-type"] == "text/plain; charset=utf-8"
    assert int(plain.headers["content-length"]) == len(plain.text.encode())


# --- how much --------------------------------------------------------------------------------------------------


def test_a_body_up_to_the_limit_arrives_whole() -> None:
    told = ask("POST", chunks=[b"x" * 400, b"x" * 600], headers=[("Content-Length", "1000")])
    assert (told.status, told.body_read) == (200, 1000)


@pytest.mark.parametrize("length", ["1001", "99999999999999999999999999999999"])
def test_a_body_announced_too_long_never_reaches_the_app(length: str) -> None:
    told = ask("POST", headers=[("Content-Length", length)], chunks=[b"x" * 1001])
    assert (told.status, told.reached) == (413, False)
    assert "At most 0.001 MB" in told.text
    assert told.headers["connection"] == "close"
    assert told.headers["content-security-policy"] == POLICY


@pytest.mark.parametrize("catches", [False, True])
@pytest.mark.parametrize("announced", [[], [("Content-Length", "10")], [("Content-Length", "ten")]])
def test_a_body_in_pieces_is_cut_when_it_grows_too_long(
    catches: bool, announced: list[tuple[str, str]]
) -> None:
    told = ask("POST", chunks=[b"x" * 300] * 5, headers=announced, catches=catches)
    assert told.reached
    assert told.body_read == 900
    assert told.status == 413


def test_an_answer_that_had_begun_is_not_followed_by_a_second_one() -> None:
    told = ask("POST", chunks=[b"x" * 300] * 5, begins_early=True, catches=True)
    assert 413 not in [one.get("status") for one in told.messages]
    with pytest.raises(ConnectionError):
        ask("POST", chunks=[b"x" * 300] * 5, begins_early=True)


def test_a_client_that_waits_to_be_asked_for_its_body_is_not_asked() -> None:
    told = ask("POST", headers=[("Content-Length", "5000"), ("Expect", "100-continue")], chunks=[b"x" * 5000])
    assert told.status == 413


def test_a_mistake_of_the_app_is_not_hidden_by_the_counting() -> None:
    async def broken(scope: Any, receive: Any, send: Any) -> None:
        raise ZeroDivisionError

    async def nothing(*_: Any) -> Any:
        return {"type": "http.request", "body": b"", "more_body": False}

    scope = {
        "type": "http",
        "method": "GET",
        "path": "/",
        "headers": [(b"host", b"localhost:9400")],
        "scheme": "http",
    }
    with pytest.raises(ZeroDivisionError):
        apart(Guard(broken, HOSTS)(scope, nothing, nothing))


def test_a_form_in_pieces_that_a_framework_parses_is_cut_too() -> None:
    app = FastAPI()

    @app.post("/edit")
    async def _edit(request: Request) -> str:
        return str(len(await request.form()))

    async def pieces(count: int) -> AsyncIterator[bytes]:
        yield b"text="
        for _ in range(count):
            yield b"x" * 500

    async def call(count: int) -> httpx.Response:
        transport = httpx.ASGITransport(Guard(app, HOSTS, largest_body=2000))
        async with httpx.AsyncClient(transport=transport, base_url=FIRST) as client:
            form = {"content-type": "application/x-www-form-urlencoded"}
            return await client.post("/edit", content=pieces(count), headers=form)

    assert apart(call(2)).json() == "1"
    answer = apart(call(5))
    assert answer.status_code == 413
    assert "Too much at once" in answer.text


# --- what every answer says ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "call",
    [
        {}, {"status": 500}, {"status": 404}, {"host": "evil.example"},
        {"method": "POST", "headers": [("Origin", "null")]}, {"path": "/static/x.js"},
        {"method": "POST", "chunks": [b"x" * 1001]},
    ],
)  # fmt: skip
def test_every_answer_says_what_a_browser_must_not_do(call: dict[str, Any]) -> None:
    headers = ask(**call).headers
    parts = headers["content-security-policy"].split("; ")
    for part in (
        "default-src 'self'",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    ):
        assert part in parts
    assert "unsafe" not in headers["content-security-policy"]
    assert "data:" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["x-frame-options"] == "DENY"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert "camera=()" in headers["permissions-policy"]
    assert headers["cache-control"]


def test_an_app_cannot_weaken_the_policy() -> None:
    told = ask(
        answer_headers=[(b"Content-Security-Policy", b"default-src *"), (b"x-frame-options", b"SAMEORIGIN")]
    )
    assert told.headers["content-security-policy"] == POLICY
    assert told.headers["x-frame-options"] == "DENY"


def test_the_opener_policy_is_left_out_where_a_browser_would_only_complain() -> None:
    name = "cross-origin-opener-policy"
    assert ask().headers[name] == "same-origin"
    assert ask(host="127.0.0.1:9400").headers[name] == "same-origin"
    assert name not in ask(host="fishroom.home:9400").headers
    assert ask(host="fishroom.home:9400", scheme="https").headers[name] == "same-origin"


@pytest.mark.parametrize(
    ("path", "query", "status", "kept"),
    [
        ("/", b"", 200, "no-store"),
        ("/air", b"v=0123456789abcdef", 200, "no-store"),
        ("/static/core.js", b"v=0123456789abcdef", 200, "public, max-age=31536000, immutable"),
        ("/static/core.js", b"v=0123456789abcdef", 304, "public, max-age=31536000, immutable"),
        ("/static/core.js", b"v=0123456789abcdef", 404, "no-store"),
        ("/static/core.js", b"v=", 200, "no-cache"),
        ("/static/core.js", b"v=short", 200, "no-cache"),
        ("/static/core.js", b"w=0123456789abcdef", 200, "no-cache"),
        ("/static/core.js", b"", 200, "no-cache"),
    ],
)
def test_pages_are_not_kept_and_static_files_of_a_known_state_are(
    path: str, query: bytes, status: int, kept: str
) -> None:
    assert ask(path=path, query=query, status=status).headers["cache-control"] == kept


def test_an_answer_may_say_itself_how_long_it_keeps() -> None:
    told = ask(path="/export.csv", answer_headers=[(b"Cache-Control", b"private, max-age=5")])
    assert told.headers["Cache-Control"] == "private, max-age=5"
    assert "cache-control" not in told.headers


def test_the_start_and_the_stop_of_the_app_pass() -> None:
    seen = []

    async def app(scope: Any, receive: Any, send: Any) -> None:
        seen.append(scope["type"])

    async def nothing(*_: Any) -> Any:
        return {}

    apart(Guard(app, HOSTS)({"type": "lifespan"}, nothing, nothing))
    assert seen == ["lifespan"]
