"""The line between a browser and the server: it can be cut, held, slowed and counted.

A SOCKS 5 proxy, so that a page keeps its address: whatever a browser asks for goes to this machine, under any name.
Source: RFC 1928 (SOCKS 5), of which it speaks "no log-in" and CONNECT.
"""

from __future__ import annotations

import contextlib
import socket
import struct
import threading
import time
from typing import Final

ITS_MAKERS: Final = {"www.google.com"}
"""Chromium 150 itself asks its maker there, at its start and whatever it is told, whether it may search for its user
(/async/folae, seen in its own log of what it asks for). What pages ask for is held by `chrome.Watch`."""
_PIECE: Final = 4096  # bytes taken at once, so that a slow line is slow evenly


class Relay:
    """Starts at once; `stop` ends it. `received` counts the bytes the server sent, `asked` the names asked for
    but for the browser's own of its maker."""

    def __init__(self) -> None:
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._door.getsockname()[1]
        self.received = 0
        self.asked: set[str] = set()
        self._lock = threading.Lock()
        self._ends: set[socket.socket] = set()
        self._threads: list[threading.Thread] = []
        self._cut = False
        self._flowing = threading.Event()
        self._flowing.set()
        self._pace = 0.0  # s a byte
        self._delay = 0.0  # s for each way
        self._begin(self._listen)

    @property
    def proxy(self) -> str:
        """The address to give a browser."""
        return f"socks5://127.0.0.1:{self.port}"

    def cut(self) -> None:
        """Tear the line: what is open is closed, what comes is refused."""
        self._cut = True
        self._close_all()

    def hold(self) -> None:
        """Let nothing pass and say nothing about it, as a phone out of reach does."""
        self._flowing.clear()

    def restore(self) -> None:
        """The line is whole again."""
        self._cut = False
        self._flowing.set()

    def slow(self, *, bytes_per_second: float, delay: float = 0.0) -> None:
        """A thin line: so many bytes a second each way, each piece late by `delay` seconds; 0 B/s is unhindered."""
        self._pace = 1 / bytes_per_second if bytes_per_second else 0.0
        self._delay = delay

    def stop(self) -> None:
        """End it."""
        self.cut()
        self._flowing.set()
        self._door.close()
        for thread in self._threads:
            thread.join(5)

    def _begin(self, work: object, *arguments: object) -> None:
        thread = threading.Thread(target=work, args=arguments, daemon=True)  # type: ignore[arg-type] # a method
        self._threads.append(thread)
        thread.start()

    def _close_all(self) -> None:
        with self._lock:
            for end in self._ends:
                with contextlib.suppress(OSError):
                    end.shutdown(socket.SHUT_RDWR)

    def _listen(self) -> None:
        self._door.settimeout(0.2)
        while True:
            try:
                client, _ = self._door.accept()
            except TimeoutError:
                continue
            except OSError:
                return
            self._begin(self._serve, client)

    def _serve(self, client: socket.socket) -> None:
        with client:
            try:
                client.settimeout(30)
                name, port = _greeting(client)
                self.asked |= {name} - ITS_MAKERS
                if self._cut:
                    return
                server = socket.create_connection(("127.0.0.1", port), 5)
            except (OSError, ValueError, struct.error):
                return
            with server:
                self._join(client, server)

    def _join(self, client: socket.socket, server: socket.socket) -> None:
        client.sendall(b"\x05\x00\x00\x01\x7f\x00\x00\x01\x00\x00")
        client.settimeout(None)
        server.settimeout(None)
        with self._lock:
            self._ends |= {client, server}
        if self._cut:
            self._close_all()
        back = threading.Thread(target=self._pump, args=(server, client, True), daemon=True)
        back.start()
        self._pump(client, server, False)
        back.join()
        with self._lock:
            self._ends -= {client, server}

    def _pump(self, source: socket.socket, target: socket.socket, counted: bool) -> None:
        with contextlib.suppress(OSError):
            while piece := source.recv(_PIECE):
                self._flowing.wait()
                if self._delay or self._pace:
                    time.sleep(self._delay + self._pace * len(piece))
                target.sendall(piece)
                self.received += len(piece) if counted else 0
        for end in (source, target):
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)


def _greeting(client: socket.socket) -> tuple[str, int]:
    """The name and port a client asks for."""
    version, methods = _take(client, 2)
    _take(client, methods)
    if version != 5:
        raise ValueError("not SOCKS 5")
    client.sendall(b"\x05\x00")
    _, command, _, kind = _take(client, 4)
    if command != 1 or kind not in (1, 3):
        raise ValueError("only connections, by name or IPv4")
    name = socket.inet_ntoa(_take(client, 4)) if kind == 1 else _take(client, _take(client, 1)[0]).decode()
    (port,) = struct.unpack("!H", _take(client, 2))
    return name, port


def _take(client: socket.socket, count: int) -> bytes:
    taken = b""
    while len(taken) < count:
        piece = client.recv(count - len(taken))
        if not piece:
            raise ValueError("the client left")
        taken += piece
    return taken
