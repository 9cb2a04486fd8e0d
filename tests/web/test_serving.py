"""From an app to a server: its port, its names, and a stop that says goodbye."""

from __future__ import annotations

import asyncio
import signal
import socket
import subprocess
import sys
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from pathlib import Path
from typing import Any

import httpx
import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import ClientConnection, connect

from tankwright.web.access import Access
from tankwright.web.lan import Names, lan_addresses, why_not_a_lan_name
from tankwright.web.serving import DEFAULT_PORT, Bound, Farewell, PortError, bind, shielded, show_in_browser

from .apart import apart

SERVED = Path(__file__).parent / "served.py"
PAGES = 12

# --- the port ----------------------------------------------------------------------------------------------------


def test_any_free_port_is_taken_and_listens_at_once() -> None:
    with closing(bind(0)) as bound, socket.create_connection(("127.0.0.1", bound.port), timeout=5):
        assert bound.port > 0
        assert {one.getsockname()[0] for one in bound.sockets} <= {"127.0.0.1", "::1"}


def test_on_the_network_every_address_is_listened_at() -> None:
    with closing(bind(0, lan=True)) as bound:
        assert bound.lan
        assert {one.getsockname()[0] for one in bound.sockets} <= {"0.0.0.0", "::"}
        assert "0.0.0.0" in {one.getsockname()[0] for one in bound.sockets}


@pytest.mark.parametrize("lan", [False, True])
def test_a_port_asked_for_that_is_taken_is_said_plainly(lan: bool) -> None:
    with (
        closing(bind(0)) as first,
        pytest.raises(PortError, match=f"port {first.port} is taken. Give another"),
    ):
        bind(first.port, lan=lan)


def test_without_a_port_asked_for_the_next_free_one_is_taken() -> None:
    with ExitStack() as stack:
        taken: list[Bound] = []
        for _ in range(3):
            taken.append(bind())
            stack.callback(taken[-1].close)
        ports = [one.port for one in taken]
        assert ports == sorted(set(ports))
        assert all(DEFAULT_PORT <= port < DEFAULT_PORT + 20 for port in ports)


def test_when_all_ports_to_try_are_taken_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    with closing(bind(0)) as first:
        monkeypatch.setattr("tankwright.web.serving.DEFAULT_PORT", first.port)
        monkeypatch.setattr("tankwright.web.serving._TRIED", 1)
        with pytest.raises(PortError, match=f"ports {first.port} to {first.port} are all taken"):
            bind()


def test_a_port_can_be_taken_again_as_soon_as_it_was_let_go() -> None:
    first = bind(0)
    first.close()
    with closing(bind(first.port)) as second:
        assert second.port == first.port


# --- names -------------------------------------------------------------------------------------------------------


def test_alone_a_server_has_this_machine_s_own_names_only() -> None:
    names = Names(9400, lan_name=lambda: "fishroom.home", addresses=lambda: ("192.168.1.20",))
    assert names() == {"127.0.0.1:9400", "localhost:9400", "[::1]:9400"}
    assert names.urls() == ("http://127.0.0.1:9400/",)


def test_on_the_network_it_has_its_addresses_and_names_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: "Cellar-PC")
    names = Names(
        80, lan=True, lan_name=lambda: "FishRoom.home", addresses=lambda: ("192.168.1.20", "10.0.0.2")
    )
    own = {"127.0.0.1", "localhost", "[::1]"}
    assert names() == own | {"192.168.1.20", "10.0.0.2", "cellar-pc.local", "fishroom.home"}
    assert names.urls() == (
        "http://127.0.0.1/", "http://fishroom.home/", "http://cellar-pc.local/", "http://192.168.1.20/",
        "http://10.0.0.2/",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("hostname", "local"),
    [
        ("mac.local", {"mac.local:1"}),
        ("localhost", set()),
        ("", set()),
        ("my pc", set()),
        ("a_b", set()),
        ("x" * 64, set()),
    ],
)
def test_the_machine_s_own_name_counts_when_it_is_one(
    hostname: str, local: set[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: hostname)
    names = Names(1, lan=True, addresses=tuple)
    assert {name for name in names() if name.endswith(".local:1")} == local


def test_a_new_name_counts_at_once_and_a_new_address_soon() -> None:
    said, addresses, now = ["old"], ["10.0.0.1"], [0.0]
    names = Names(
        9400, lan=True, lan_name=lambda: said[0], addresses=lambda: tuple(addresses), clock=lambda: now[0]
    )
    assert {"old:9400", "10.0.0.1:9400"} <= names()
    said[0], addresses[0] = "new", "10.0.0.2"
    assert "new:9400" in names()
    assert "old:9400" not in names()
    now[0] = 15.0
    assert "10.0.0.2:9400" in names()
    assert "10.0.0.1:9400" not in names()


@pytest.mark.parametrize(
    "name",
    [
        "fish room",
        "-a",
        "a-",
        "a..b",
        ".",
        "",
        "a/b",
        "a:80",
        "<b>",
        "ä",
        "a" * 64,
        "a." * 130 + "a",
        "http://a",
        "a\n",
    ],
)
def test_a_name_that_is_none_is_refused(name: str) -> None:
    assert why_not_a_lan_name(name)
    plain = Names(1, lan=True, addresses=tuple)()
    assert Names(1, lan=True, lan_name=lambda: name, addresses=tuple)() == plain


def test_addresses_of_this_machine_are_found_without_loopback() -> None:
    assert all(not address.startswith("127.") for address in lan_addresses())


# --- the goodbye ---------------------------------------------------------------------------------------------------


def test_every_open_socket_is_closed_once_and_what_is_said_after_is_dropped() -> None:
    sent: list[tuple[str, dict[str, Any]]] = []

    async def scene() -> None:
        stop = asyncio.Event()

        async def app(scope: Any, receive: Any, send: Any) -> None:
            if scope["path"] != "/early":
                await send({"type": "websocket.accept"})
            if scope["path"] == "/closed":
                await send({"type": "websocket.close", "code": 1000})
            await stop.wait()
            await send({"type": "websocket.send", "text": "late"})

        async def nothing() -> Any:
            return {}

        def to(path: str) -> Callable[[Any], Any]:
            async def send(message: Any) -> None:
                sent.append((path, dict(message)))

            return send

        farewell = Farewell(app)
        paths = ("/live", "/closed", "/early")
        talks = [
            asyncio.ensure_future(farewell({"type": "websocket", "path": path}, nothing, to(path)))
            for path in paths
        ]
        await asyncio.sleep(0)
        await farewell.close_all()
        await farewell.close_all()
        stop.set()
        await asyncio.gather(*talks)

    apart(scene())
    assert [(path, one.get("code")) for path, one in sent if one["type"] == "websocket.close"] == [
        ("/closed", 1000), ("/live", 1001),
    ]  # fmt: skip
    assert [path for path, one in sent if one["type"] == "websocket.send"] == ["/closed", "/early"]


# --- a process of its own ------------------------------------------------------------------------------------------


class Served:
    def __init__(self, *words: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, str(SERVED), *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        assert self.process.stdout is not None
        said = self.process.stdout.readline()
        assert said.strip().isdigit(), self.process.communicate(timeout=10)
        self.port = int(said)
        self.url = f"http://127.0.0.1:{self.port}"

    def listen(self, path: str = "/live", **more: Any) -> ClientConnection:
        return connect(f"ws://127.0.0.1:{self.port}{path}", origin=self.url, proxy=None, **more)

    def stop(self, sign: signal.Signals) -> tuple[int, str, str]:
        self.process.send_signal(sign)
        out, err = self.process.communicate(timeout=20)
        return self.process.returncode, out, err


@pytest.fixture
def served() -> Iterator[Callable[..., Served]]:
    started: list[Served] = []

    def start(*words: str) -> Served:
        started.append(Served(*words))
        return started[-1]

    yield start
    for one in started:
        if one.process.poll() is None:
            one.process.kill()
            one.process.communicate(timeout=20)


def how_it_was_closed(page: ClientConnection) -> int | None:
    assert page.recv(timeout=10) == '{"number": 1}'
    with pytest.raises(ConnectionClosed) as closed:
        page.recv(timeout=10)
    return closed.value.rcvd.code if closed.value.rcvd is not None else None


@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP], ids=lambda sign: sign.name)
def test_a_signal_stops_it_with_a_goodbye_to_every_open_page(sign: signal.Signals, served) -> None:
    server = served()
    with ExitStack() as stack:
        pages = [stack.enter_context(server.listen()) for _ in range(PAGES)]
        code, out, err = server.stop(sign)
        assert (code, out, err) == (0, "closed\nreturned\n", "")
        assert [how_it_was_closed(page) for page in pages] == [1001] * PAGES


def test_pages_that_do_not_listen_and_answers_that_never_come_do_not_hold_it_up(served) -> None:
    server = served()
    with ExitStack() as stack:
        pages = [stack.enter_context(server.listen("/deaf")) for _ in range(PAGES)]
        waiting = stack.enter_context(
            closing(socket.create_connection(("127.0.0.1", server.port), timeout=20))
        )
        waiting.sendall(f"GET /slow HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n\r\n".encode())
        assert httpx.get(server.url, trust_env=False).text == "fine"  # so the one before has arrived
        code, out, _ = server.stop(signal.SIGTERM)
        assert code == 0
        assert out.splitlines()[-1] == "returned"
        assert [how_it_was_closed(page) for page in pages] == [1001] * PAGES


def test_a_thread_still_at_work_does_not_hold_it_up(served) -> None:
    code, out, err = served("busy").stop(signal.SIGINT)
    assert (code, err) == (0, "")
    assert out.startswith("closed\n")


def test_over_a_real_connection_too_the_guard_stands(served) -> None:
    server = served()
    with httpx.Client(base_url=server.url, trust_env=False) as client:
        assert client.get("/").text == "fine"
        assert "server" not in client.get("/").headers
        assert client.get("/", headers={"host": "evil.example"}).status_code == 400
        assert client.post("/edit", headers={"origin": "http://evil.example"}).status_code == 403
        assert client.post("/edit", content=b"x" * 2_500_000).status_code == 200
        for body in (b"x" * 6_000_000, (b"x" * 100_000 for _ in range(60))):
            answer = client.post("/edit", content=body)
            assert answer.status_code == 413
            assert "At most 2.5 MB" in answer.text
    with pytest.raises(InvalidStatus) as refused:
        connect(f"ws://127.0.0.1:{server.port}/live", origin="http://evil.example", proxy=None)
    assert refused.value.response.status_code == 403
    assert server.stop(signal.SIGTERM)[0] == 0


# --- the browser ---------------------------------------------------------------------------------------------------


def test_no_browser_is_opened_where_there_is_no_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    monkeypatch.setattr(webbrowser, "get", lambda: pytest.fail("asked for a browser"))
    assert not show_in_browser("http://127.0.0.1:9400/")


def test_a_browser_is_opened_in_the_background_and_one_of_the_terminal_is_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    opened: list[str] = []

    class Screen(webbrowser.BackgroundBrowser):
        def open(self, url: str, *_: object) -> bool:  # type: ignore[override] # the rest does not matter
            opened.append(url)
            return True

    def none() -> webbrowser.BaseBrowser:
        raise webbrowser.Error("there is none")

    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr(webbrowser, "get", lambda: webbrowser.GenericBrowser("lynx"))
    assert not show_in_browser("http://127.0.0.1:9400/")
    monkeypatch.setattr(webbrowser, "get", none)
    assert not show_in_browser("http://127.0.0.1:9400/")
    monkeypatch.setattr(webbrowser, "get", lambda: Screen("screen"))
    monkeypatch.setattr("tankwright.web.serving.threading.Thread", _AtOnce)
    assert show_in_browser("http://127.0.0.1:9400/")
    assert opened == ["http://127.0.0.1:9400/"]


class _AtOnce:
    def __init__(self, *, target: Callable[..., object], args: tuple[object, ...], daemon: bool) -> None:
        assert daemon
        self._call = lambda: target(*args)

    def start(self) -> None:
        self._call()


def test_the_guard_stands_before_the_door() -> None:
    sent: list[Any] = []

    async def nothing(*_: Any) -> Any:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {
        "type": "http", "method": "GET", "path": "/login", "headers": [(b"host", b"evil.example")], "scheme": "http",
        "query_string": b"",
    }  # fmt: skip
    apart(shielded(nothing, Access(), frozenset({"localhost:9400"}))(scope, nothing, send))
    assert sent[0]["status"] == 400


def test_no_answer_waits_for_the_acknowledgement_of_its_headers() -> None:
    """asyncio sets TCP_NODELAY only on a socket that names its protocol; without it answers came 40 ms late."""
    bound = bind(0)
    assert [one.proto for one in bound.sockets] == [socket.IPPROTO_TCP] * len(bound.sockets)
    bound.close()
