"""HTTP for a network with anybody on it: whoever begins a request and does not finish it is let go.

Without that a few hundred half requests, kept alive by a byte now and then, would be all the connections there are,
and nobody else would get in.
"""

from __future__ import annotations

import asyncio
import logging
from typing import Any, Final

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_WITHIN: Final = 20.0  # s from the first byte, or from the connection, to the end of the headers
BODY_WITHIN: Final = 180.0  # s; the largest form at the speed of an old phone on a bad line takes less


class Patient(H11Protocol):
    """Uvicorn's HTTP, with an end to waiting. A socket, once it is one, may be silent as long as it likes."""

    def __init__(self, *args: Any, **how: Any) -> None:
        super().__init__(*args, **how)
        self._deadline: asyncio.TimerHandle | None = None
        self._waits_for = ""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override] # as uvicorn's own
        """Somebody connected: the first request is waited for."""
        super().connection_made(transport)
        self._wait("head")

    def data_received(self, data: bytes) -> None:
        """More of a request came."""
        super().data_received(data)
        self._see_what_is_missing()

    def connection_lost(self, exc: Exception | None) -> None:
        """They are gone."""
        self._wait("")
        super().connection_lost(exc)

    def handle_websocket_upgrade(self, event: h11.Request) -> None:
        """It becomes a socket: another one speaks with it from now on."""
        self._wait("nothing more")
        super().handle_websocket_upgrade(event)

    def _see_what_is_missing(self) -> None:
        if self._waits_for == "nothing more":
            return
        state = self.conn.their_state
        if state is h11.SEND_BODY:
            self._wait("body")
        elif state is h11.IDLE and self.conn.trailing_data[0]:
            self._wait("head")
        elif state is not h11.IDLE:
            self._wait("")

    def _wait(self, what: str) -> None:
        """Have a new deadline when another part is waited for than before; more of the same does not move it."""
        if what == self._waits_for:
            return
        self._waits_for = what
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None
        within = {"head": HEAD_WITHIN, "body": BODY_WITHIN}.get(what)
        if within is not None:
            self._deadline = self.loop.call_later(within, self._give_up)

    def _give_up(self) -> None:
        if not self.transport.is_closing():
            self.transport.abort()


class NoFaults(logging.Filter):
    """Keeps out of the log what is none: a socket refused with an answer in HTTP, as the standard has it, is told by
    uvicorn as a fault of the app."""

    def filter(self, record: logging.LogRecord) -> bool:
        """False for what is not to be logged."""
        return "returned without completing handshake" not in record.getMessage()
