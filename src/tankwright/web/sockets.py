"""The socket that says "plan 41 changed", and nothing else: pages then fetch themselves again."""

from __future__ import annotations

import asyncio
from contextlib import suppress

from starlette.websockets import WebSocket, WebSocketDisconnect


class Hub:
    """Every open page, waiting for the newest number. A slow page gets the newest only, never a queue."""

    def __init__(self) -> None:
        self._waiting: set[asyncio.Event] = set()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._number = 0
        self._closing = False

    def start(self, number: int) -> None:
        """Begin on the running loop, at that number of the plan."""
        self._loop = asyncio.get_running_loop()
        self._number = number

    def announce(self, number: int) -> None:
        """A new number, from any thread."""
        if self._loop is not None and not self._loop.is_closed():
            with suppress(RuntimeError):  # the loop may close between the question and the call
                self._loop.call_soon_threadsafe(self._wake, number)

    def stop(self) -> None:
        """Let every page go."""
        self._closing = True
        self._wake(self._number)

    @property
    def open_pages(self) -> int:
        """How many pages listen."""
        return len(self._waiting)

    def _wake(self, number: int) -> None:
        self._number = number
        for event in self._waiting:
            event.set()

    async def serve(self, socket: WebSocket) -> None:
        """Serve one page until it leaves or the server stops."""
        await socket.accept()
        news = asyncio.Event()
        news.set()  # the first message tells where the plan is now
        self._waiting.add(news)
        gone = asyncio.ensure_future(_until_gone(socket))
        try:
            while not gone.done() and not self._closing:
                waiting = asyncio.ensure_future(news.wait())
                await asyncio.wait({waiting, gone}, return_when=asyncio.FIRST_COMPLETED)
                waiting.cancel()
                if gone.done() or self._closing:
                    break
                news.clear()
                await socket.send_json({"number": self._number})
        except (WebSocketDisconnect, RuntimeError):
            pass
        finally:
            self._waiting.discard(news)
            gone.cancel()
            with suppress(RuntimeError, WebSocketDisconnect):  # it may be gone already
                await socket.close(1001)


async def _until_gone(socket: WebSocket) -> None:
    while (await socket.receive())["type"] != "websocket.disconnect":
        pass
