"""A tiny app served in a process of its own, to be asked over real sockets and stopped with real signals."""

from __future__ import annotations

import asyncio
import sys
import threading
import time
from typing import Any

from tankwright.web.access import Access
from tankwright.web.lan import Names
from tankwright.web.serving import STOPPED_WITHIN, bind, serve, shielded


async def app(scope: Any, receive: Any, send: Any) -> None:
    """Answers "fine"; /slow never does; /live listens, and /deaf does not even notice that it is closed."""
    if scope["type"] == "lifespan":
        await _lives(receive, send)
    elif scope["type"] == "websocket":
        await send({"type": "websocket.accept"})
        await send({"type": "websocket.send", "text": '{"number": 1}'})
        while scope["path"] == "/deaf":
            await asyncio.sleep(60)
        while (await receive())["type"] != "websocket.disconnect":
            pass
    else:
        size, more = 0, True
        while more:
            message = await receive()
            size += len(message.get("body", b""))
            more = message.get("more_body", False)
        if scope["path"] == "/slow":
            await asyncio.sleep(60)
        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"4")]})
        await send({"type": "http.response.body", "body": b"fine"})


async def _lives(receive: Any, send: Any) -> None:
    while True:
        message = await receive()
        await send({"type": message["type"] + ".complete"})
        if message["type"] == "lifespan.shutdown":
            _say("closed")
            return


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def main() -> None:
    """Serve on a free port and print it; "busy" keeps a thread at work that nobody stops."""
    bound = bind(0)
    names = Names(bound.port)
    exit_after = None
    if "busy" in sys.argv:
        threading.Thread(target=time.sleep, args=(60,)).start()
        exit_after = STOPPED_WITHIN
    serve(
        shielded(app, Access(), names),
        bound,
        ready=lambda: _say(str(bound.port)),
        exit_after=exit_after,
    )
    _say("returned")


if __name__ == "__main__":
    main()
