"""What comes over the line from a neighbour who means harm, or a phone that fell asleep: nobody else is kept out."""

from __future__ import annotations

import contextlib
import http.client
import json
import socket
import struct
import threading
import time
from typing import Final

import pytest

from tankwright.web import patience

from .conftest import OpenRoom
from .rooms import Room

FORM: Final = "Content-Type: application/x-www-form-urlencoded"
SOCKET: Final = (
    "Upgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n"
    "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ=="
)


@pytest.fixture
def served(room: OpenRoom) -> Room:
    return room()


def host_of(served: Room) -> str:
    return served.url.removeprefix("http://")


def connect(served: Room) -> socket.socket:
    address, port = host_of(served).split(":")
    return socket.create_connection((address, int(port)), timeout=20)


def said(served: Room, first: str, *headers: str, body: bytes = b"", host: str = "") -> bytes:
    """What is answered to a request written by hand, to its end."""
    with connect(served) as line:
        head = "\r\n".join((first, f"Host: {host or host_of(served)}", *headers, "Connection: close", "", ""))
        with contextlib.suppress(OSError):  # it may be cut off while it still sends
            line.sendall(head.encode() + body)
        return all_of(line)


def all_of(line: socket.socket) -> bytes:
    told = b""
    with contextlib.suppress(OSError):
        while piece := line.recv(65_536):
            told += piece
    return told


def begin_socket(served: Room, origin: str, path: str = "/live") -> socket.socket:
    line = connect(served)
    line.sendall(
        f"GET {path} HTTP/1.1\r\nHost: {host_of(served)}\r\nOrigin: {origin}\r\n{SOCKET}\r\n\r\n".encode()
    )
    return line


def status(told: bytes) -> int:
    return int(told.split(b" ", 2)[1]) if told else 0


def is_served(served: Room) -> bool:
    address, port = host_of(served).split(":")
    asked = http.client.HTTPConnection(address, int(port), timeout=20)
    try:
        asked.request("GET", "/")
        return asked.getresponse().status == 200
    finally:
        asked.close()


# --- too much, too slow, too many -------------------------------------------------------------------------------------


def test_a_body_without_an_end_is_cut_off(served: Room) -> None:
    sent = 0
    with connect(served) as line:
        head = f"POST /edit HTTP/1.1\r\nHost: {host_of(served)}\r\nOrigin: {served.url}\r\n{FORM}\r\n"
        line.sendall(f"{head}Transfer-Encoding: chunked\r\n\r\n".encode())
        with contextlib.suppress(OSError):  # broken pipe or reset, as the system likes
            while sent < 200_000_000:
                line.sendall(b"10000\r\n" + b"a" * 65_536 + b"\r\n")
                sent += 65_536
    assert sent < 60_000_000
    assert is_served(served)


def test_a_hundred_megabytes_announced_are_refused_before_they_come(served: Room) -> None:
    told = said(served, "POST /edit HTTP/1.1", f"Origin: {served.url}", FORM, "Content-Length: 100000000",
                "Expect: 100-continue")  # fmt: skip
    assert status(told) == 413
    assert b"At most 2.5 MB" in told
    assert served.live.snapshot.number == 1


def test_half_requests_are_let_go_and_then_everybody_gets_in_again(
    served: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(patience, "HEAD_WITHIN", 2.0)
    with contextlib.ExitStack() as all_lines:
        lines = [all_lines.enter_context(connect(served)) for _ in range(520)]
        for line in lines:
            line.sendall(b"GET / HTTP/1.1\r\nX-a: b\r\n")
        assert not is_served(served), "so many there may be"
        end = time.monotonic() + 20
        while not is_served(served):
            for line in lines:
                with contextlib.suppress(OSError):
                    line.sendall(b"X-b: c\r\n")  # a byte now and then does not move the end
            time.sleep(0.2)
            assert time.monotonic() < end
        assert all_of(lines[0]) == b""


def test_a_body_that_does_not_come_to_an_end_is_let_go_too(
    served: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(patience, "BODY_WITHIN", 0.5)
    with connect(served) as line:
        line.sendall(
            f"POST /edit HTTP/1.1\r\nHost: {host_of(served)}\r\nOrigin: {served.url}\r\n{FORM}\r\n"
            "Content-Length: 1000\r\n\r\nchange=".encode()
        )
        began = time.monotonic()
        assert all_of(line) == b""
        assert 0.3 < time.monotonic() - began < 10
    assert is_served(served)


def test_a_reader_who_thinks_long_between_two_pages_is_not_let_go(
    served: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(patience, "HEAD_WITHIN", 0.6)
    address, port = host_of(served).split(":")
    asked = http.client.HTTPConnection(address, int(port), timeout=20)
    for _ in range(3):
        asked.request("GET", "/history")
        assert asked.getresponse().read()
        time.sleep(1.0)
    kept = asked.sock
    asked.request("GET", "/history")
    answer = asked.getresponse()
    assert (answer.status, asked.sock is kept) == (200, True), "on one connection"
    answer.read()
    asked.close()
    with begin_socket(served, served.url) as live:
        time.sleep(1.5)
        live.settimeout(20)
        assert b'{"number":1}' in live.recv(4096)
        live.sendall(b"\x88\x80\x00\x00\x00\x00")  # it still listens: a goodbye is answered
        assert b"\x88" in all_of(live)


def test_a_line_that_is_cut_in_the_middle_of_a_form_is_no_fault_of_the_program(served: Room) -> None:
    for path in ("/edit", "/enter", "/begin", "/settings/prices", "/api/v1/entries"):
        line = connect(served)
        line.sendall(
            f"POST {path} HTTP/1.1\r\nHost: {host_of(served)}\r\nOrigin: {served.url}\r\n{FORM}\r\n"
            "Idempotency-Key: a-key-of-mine\r\nContent-Length: 1000\r\n\r\nchange=".encode()
        )
        time.sleep(0.1)
        line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        line.close()  # with a reset
    assert is_served(served)
    time.sleep(0.2)
    assert served.errors == []


def test_two_hundred_open_sockets_all_hear_of_an_edit(served: Room) -> None:
    with contextlib.ExitStack() as lines:
        open_ones = [lines.enter_context(begin_socket(served, served.url)) for _ in range(200)]
        for line in open_ones:
            heard_number(line, 1)
        assert status(_edit(served, 1, "Heard by many")) == 200
        began = time.monotonic()
        for line in open_ones:
            heard_number(line, 2)
        assert time.monotonic() - began < 5
        assert is_served(served)


def heard_number(line: socket.socket, number: int) -> None:
    told = b""
    while f'"number":{number}}}'.encode() not in told:
        piece = line.recv(4096)
        assert piece, "the server hung up"
        told += piece


def _edit(served: Room, base: int, title: str) -> bytes:
    body = json.dumps({"values": [{"pointer": "/title", "typed": title}]}).encode()
    return said(
        served, "PATCH /api/v1/plan HTTP/1.1", f'If-Match: "{base}"', f"Idempotency-Key: key-of-{base}-{len(title)}",
        "Content-Type: application/json", f"Content-Length: {len(body)}", body=body,
    )  # fmt: skip


def test_thirty_one_pages_that_refresh_after_every_edit_all_see_the_last_one(served: Room) -> None:
    wrong: list[str] = []

    def page(number: int) -> None:
        address, port = host_of(served).split(":")
        asked = http.client.HTTPConnection(address, int(port), timeout=60)
        path = ("/", "/air", "/drain", "/feed", "/load", "/power", "/racks", "/text", "/history")[number % 9]
        for _ in range(4):
            asked.request("GET", path)
            answer = asked.getresponse()
            if answer.status != 200 or b"<h1" not in answer.read():
                wrong.append(f"{path} {answer.status}")
        asked.close()

    threads = [threading.Thread(target=page, args=(number,)) for number in range(31)]
    for thread in threads:
        thread.start()
    for number in range(1, 6):
        assert status(_edit(served, number, "x" * number)) == 200
    for thread in threads:
        thread.join(60)
    assert wrong == []
    assert served.live.snapshot.number == 6


# --- who asks, and by what name ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("host", ["evil.example", "evil.example:80", "127.0.0.1", "localhost", "[::1]"])
def test_another_name_for_this_machine_gets_nothing(host: str, served: Room) -> None:
    told = said(served, "GET / HTTP/1.1", host=host)
    assert status(told) == 400
    assert b"cellar" not in told.lower()


@pytest.mark.parametrize(
    "headers",
    [
        ("Origin: http://evil.example", "Content-Type: text/plain"),
        ("Origin: null", "Content-Type: text/plain"),
        ("Origin: http://evil.example", FORM),
        ("Sec-Fetch-Site: cross-site", FORM),
        ("Sec-Fetch-Site: same-site", FORM),
        ("Sec-Fetch-Site: whatever", FORM),
        ("Cookie: a=b", FORM),
        ("Origin: http://evil.example", "Origin: http://evil.example"),
    ],
)
def test_a_write_of_another_site_changes_nothing(headers: tuple[str, ...], served: Room) -> None:
    body = b"change=value&path=/title&typed=Theirs&base=1&key=k&back=/"
    for path in ("/edit", "/enter", "/begin", "/theme", "/work", "/settings/language", "/api/v1/plan/undo"):
        told = said(served, f"POST {path} HTTP/1.1", *headers, f"Content-Length: {len(body)}", body=body)
        assert status(told) == 403, path
    assert served.live.snapshot.number == 1
    assert not served.live.folder.exists()


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1", "https://127.0.0.1"])
def test_a_socket_of_another_site_hears_nothing_and_logs_no_fault(origin: str, served: Room) -> None:
    with begin_socket(served, origin) as line:
        told = all_of(line)
    assert status(told) == 403
    assert b"number" not in told.split(b"\r\n\r\n", 1)[1]
    assert served.errors == []


@pytest.mark.parametrize("path", ["/", "/edit", "/api/v1/plan", "/live/x"])
def test_a_socket_anywhere_else_is_refused(path: str, served: Room) -> None:
    with begin_socket(served, served.url, path) as line:
        assert status(all_of(line)) in (403, 404)


def test_a_socket_that_talks_nonsense_is_closed_and_no_other(served: Room) -> None:
    with begin_socket(served, served.url) as other, begin_socket(served, served.url) as line:
        heard_number(line, 1)
        heard_number(other, 1)
        line.sendall(b"\xff\xff\xff\xff" * 100)
        all_of(line)
        with begin_socket(served, served.url) as large:
            heard_number(large, 1)
            large.sendall(b"\x82\xff" + struct.pack(">Q", 10_000_000_000) + b"\0\0\0\0")
            all_of(large)
        assert status(_edit(served, 1, "Heard")) == 200
        heard_number(other, 2)


ODD: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("GET /../../../etc/passwd HTTP/1.1", ()),
    ("GET /static/%2e%2e/%2e%2e/app.py HTTP/1.1", ()),
    ("GET /static/..%2f..%2fapp.py HTTP/1.1", ()),
    ("GET http://evil.example/ HTTP/1.1", ()),
    ("GET /find?q=%0d%0aSet-Cookie:%20a=b HTTP/1.1", ()),
    ("OPTIONS * HTTP/1.1", ()),
    ("TRACE / HTTP/1.1", ()),
    ("GET /" + "a" * 70_000 + " HTTP/1.1", ()),
    ("GET / HTTP/1.1", ("X: " + "a" * 70_000,)),
    ("GET / HTTP/1.1", ("Content-Length: -5",)),
    ("GET / HTTP/9.9", ()),
    ("\x16\x03\x01\x02\x00 hello", ()),
    ("GET / HTTP/1.1", ("Accept-Encoding: " + "gzip, " * 900,)),
    ("GET / HTTP/1.1", ("Cookie: " + "theme=<b>; " * 900,)),
    ("GET / HTTP/1.1", ("Accept: text/html\0",)),
)


@pytest.mark.parametrize("asked", ODD, ids=lambda asked: asked[0][:30].encode("unicode_escape").decode())
def test_an_odd_request_is_answered_or_refused_without_a_word_of_our_insides(
    asked: tuple[str, tuple[str, ...]], served: Room
) -> None:
    told = said(served, asked[0], *asked[1])
    assert status(told) < 500
    assert b"Traceback" not in told
    assert b"root:" not in told
    assert b"import annotations" not in told
    assert b"\r\nset-cookie" not in told.split(b"\r\n\r\n", 1)[0].lower()
    assert is_served(served)
