"""From an app to a server: its port, its start and its stop."""

from __future__ import annotations

import asyncio
import contextlib
import errno
import logging
import os
import signal
import socket
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

import uvicorn
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tankwright.web.access import Access
from tankwright.web.guard import Guard, Hosts
from tankwright.web.login import Door
from tankwright.web.patience import NoFaults, Patient

DEFAULT_PORT: Final = 9400
_TRIED: Final = 20
_STOPS: Final = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK") if hasattr(signal, name)
)
STOPPED_WITHIN: Final = 1.75  # s from the signal, for a program that only serves
_NO_FAULTS: Final = NoFaults()


class PortError(Exception):
    """The port cannot be had; the message says why in plain words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """Sockets that listen already, so that a browser that comes early only waits."""

    sockets: tuple[socket.socket, ...]
    port: int
    lan: bool

    def close(self) -> None:
        """Let the port go."""
        for one in self.sockets:
            one.close()


def bind(port: int | None = None, *, lan: bool = False) -> Bound:
    """Take a port on this machine alone, or with `lan` on every network it is in.

    `port` None takes 9400 or the next free one of twenty; 0 takes any. Raises PortError.
    """
    wanted = range(DEFAULT_PORT, DEFAULT_PORT + _TRIED) if port is None else (port,)
    why = ""
    for one in wanted:
        try:
            first = _listen(socket.AF_INET, "0.0.0.0" if lan else "127.0.0.1", one)
        except OSError as error:
            why = _why_not(error, one)
            if error.errno != errno.EADDRINUSE:
                break
            continue
        taken = first.getsockname()[1]
        sockets = [first]
        with contextlib.suppress(
            OSError
        ):  # a machine without IPv6, or somebody else on that half of the port
            sockets.append(_listen(socket.AF_INET6, "::" if lan else "::1", taken))
        return Bound(sockets=tuple(sockets), port=taken, lan=lan)
    if port is None and why.endswith("taken"):
        why = f"ports {wanted[0]} to {wanted[-1]} are all taken"
    raise PortError(f"{why}. Give another with --port, or --port 0 for any free one.")


def _listen(family: socket.AddressFamily, address: str, port: int) -> socket.socket:
    # Only with its protocol named does asyncio switch Nagle's waiting off (TCP_NODELAY): else every second answer
    # on a kept connection comes 40 ms late, when the client's delayed acknowledgement does.
    made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if sys.platform == "win32":
            made.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            made.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        made.bind((address, port))
        made.listen(128)  # at once: two servers may both bind, but only one may listen
        made.setblocking(False)
    except OSError:
        made.close()
        raise
    return made


def _why_not(error: OSError, port: int) -> str:
    if error.errno == errno.EADDRINUSE:
        return f"port {port} is taken"
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"port {port} may not be used by you (those below 1024 seldom may)"
    return f"port {port} cannot be used: {error.strerror or error}"


def shielded(app: ASGIApp, access: Access, hosts: Hosts, *, lan: bool = False) -> ASGIApp:
    """The app with the guard and the door before it, in that order."""
    return Guard(Door(app, access), hosts, own_address=lan)


class Farewell:
    """Knows the open sockets of an app, to close each with 1001 (RFC 6455: going away) before the server stops.

    What the app still says to a socket after that is dropped.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._open: set[_Talk] = set()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "websocket":
            await self._app(scope, receive, send)
            return
        talk = _Talk(send)
        self._open.add(talk)
        try:
            await self._app(scope, receive, talk.say)
        finally:
            self._open.discard(talk)

    async def close_all(self) -> None:
        """Say goodbye to every open socket."""
        await asyncio.gather(*(talk.close() for talk in tuple(self._open)), return_exceptions=True)


class _Talk:
    def __init__(self, send: Send) -> None:
        self._send = send
        self._accepted = False
        self._closed = False
        self._dropped = False

    async def say(self, message: Message) -> None:
        if self._dropped:
            return
        self._accepted = self._accepted or message["type"] == "websocket.accept"
        self._closed = self._closed or message["type"] == "websocket.close"
        await self._send(message)

    async def close(self) -> None:
        if self._accepted and not self._closed:
            self._dropped = self._closed = True
            await self._send({"type": "websocket.close", "code": 1001, "reason": "stopped"})


class _Server(uvicorn.Server):
    """Stops on a signal without raising it again, and tells the sockets first."""

    def __init__(
        self,
        config: uvicorn.Config,
        farewell: Farewell,
        ready: Callable[[], None],
        exit_after: float | None,
    ) -> None:
        super().__init__(config)
        self._farewell = farewell
        self._ready = ready
        self._exit_after = exit_after

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            self._ready()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        if self._exit_after is not None:
            timer = threading.Timer(self._exit_after, _leave_now)
            timer.daemon = True  # it only rings when something else still holds the program up
            timer.start()
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(self._farewell.close_all(), 0.3)
        await super().shutdown(sockets)

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        before = {one: signal.signal(one, self.handle_exit) for one in _STOPS}
        try:
            yield
        finally:
            for one, handler in before.items():
                signal.signal(one, handler)


def _leave_now() -> None:
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(0)


def serve(
    app: ASGIApp, bound: Bound, *, ready: Callable[[], None] = lambda: None, exit_after: float | None = None
) -> None:
    """Serve until a signal asks to stop (SIGINT, SIGTERM, SIGHUP); returns when all is closed.

    `ready` is called once requests are answered. With `exit_after` the whole program ends that many seconds
    after the signal at the latest, whatever a thread of it still works out: for a program that only serves.
    """
    server_of(app, ready=ready, exit_after=exit_after).run(sockets=list(bound.sockets))


def server_of(
    app: ASGIApp, *, ready: Callable[[], None] = lambda: None, exit_after: float | None = None
) -> uvicorn.Server:
    """The server `serve` runs, for who runs it in a thread of a longer program and stops it by `should_exit`."""
    farewell = Farewell(app)
    logging.getLogger("uvicorn.error").addFilter(_NO_FAULTS)
    config = uvicorn.Config(
        farewell,
        loop="asyncio",
        http=Patient,
        ws="websockets-sansio",
        ws_max_size=65_536,
        ws_per_message_deflate=False,
        log_config=None,
        log_level="error",
        access_log=False,
        proxy_headers=False,  # or a header could claim another address and slip past the slowed attempts
        server_header=False,
        limit_concurrency=500,
        timeout_keep_alive=15,
        timeout_graceful_shutdown=1,
    )
    return _Server(config, farewell, ready, exit_after)


def show_in_browser(url: str) -> bool:
    """Open the address in a graphical browser, in the background; False when there is none to open."""
    import webbrowser  # noqa: PLC0415 - seldom needed, and slow to load on some machines

    if sys.platform not in ("win32", "darwin") and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    ):
        return False
    try:
        found = webbrowser.get()
    except webbrowser.Error:
        return False
    if type(found) is webbrowser.GenericBrowser:  # one that would take over this terminal
        return False
    threading.Thread(target=found.open, args=(url,), daemon=True).start()
    return True
