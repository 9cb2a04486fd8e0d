"""Servers for the tests: in a thread of the test, or as the program a keeper starts."""

from __future__ import annotations

import http.client
import logging
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import uvicorn

from tankwright.web.access import Access
from tankwright.web.app import create_app
from tankwright.web.lan import Names
from tankwright.web.serving import bind, server_of, shielded
from tankwright.workspace.live import LivePlan

EXAMPLES: Final = Path(__file__).parent.parent.parent / "examples"
EXAMPLE: Final = "cellar_mended"
_PATIENCE: Final = 60.0  # s; nothing waits that long on a machine at rest


def plan_in(folder: Path, plan_text: str | None, example: str = EXAMPLE) -> Path:
    """A plan in a folder of its own: a text, or a copy of an example; with the text "" no file at all."""
    path = folder / "plan.toml"
    text = (EXAMPLES / f"{example}.toml").read_text("utf-8") if plan_text is None else plan_text
    if text:
        path.write_text(text, "utf-8")
    return path


@dataclass(slots=True, kw_only=True)
class Room:
    """A server in a thread, with the live plan at hand."""

    url: str
    live: LivePlan
    plan_path: Path
    server: uvicorn.Server
    thread: threading.Thread
    errors: list[str]

    def stop(self) -> None:
        """Stop serving; once is enough. Fails when the server had to log an error meanwhile."""
        self.server.should_exit = True
        self.thread.join(_PATIENCE)
        assert not self.thread.is_alive(), "the server did not stop"
        assert self.errors == []


class _Errors(logging.Handler):
    """Keeps what the server of one thread logs as errors: every exception of the app is one."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.texts: list[str] = []
        self.thread: threading.Thread | None = None

    def emit(self, record: logging.LogRecord) -> None:
        if self.thread is not None and record.thread == self.thread.ident:
            self.texts.append(logging.Formatter().format(record))


def start_room(
    plan_path: Path, access: Access | None = None, *, lan: bool = False, lan_name: str = ""
) -> Room:
    """Serve a plan on a free port as `tankwright open` does, guard and door before it."""
    live = LivePlan(plan_path)
    bound = bind(0)
    names = Names(bound.port, lan=lan, lan_name=lambda: lan_name, addresses=tuple)
    ready = threading.Event()
    server = server_of(shielded(create_app(live), access or Access(), names, lan=lan), ready=ready.set)
    thread = threading.Thread(target=server.run, kwargs={"sockets": list(bound.sockets)}, daemon=True)
    errors = _Errors()
    errors.thread = thread
    logging.getLogger("uvicorn.error").addHandler(errors)
    thread.start()
    assert ready.wait(_PATIENCE), "the server did not start"
    return Room(
        url=f"http://127.0.0.1:{bound.port}", live=live, plan_path=plan_path, server=server, thread=thread,
        errors=errors.texts,
    )  # fmt: skip


class Process:
    """The program itself, which can be killed in the middle of anything and started again on the same port."""

    def __init__(self, plan_path: Path, *words: str) -> None:
        self.plan_path = plan_path
        self.port = _free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self.said = plan_path.with_suffix(".said")
        self._words = words
        self._running: subprocess.Popen[bytes] | None = None
        self.start()

    def start(self) -> None:
        """Start it and wait until it answers."""
        command = [sys.executable, "-m", "tankwright", "open", str(self.plan_path), "--no-browser"]
        with self.said.open("ab") as said:
            self._running = subprocess.Popen(
                [*command, "--port", str(self.port), *self._words], stdout=said, stderr=said,
                stdin=subprocess.DEVNULL, env={**os.environ, "PYTHONUNBUFFERED": "1"},
            )  # fmt: skip
        end = time.monotonic() + _PATIENCE
        while not self._answers():
            if self._running.poll() is not None or time.monotonic() > end:
                self.kill()
                raise AssertionError(f"it does not answer: {self.said.read_text('utf-8')}")
            time.sleep(0.05)

    def _answers(self) -> bool:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=_PATIENCE)
        try:
            connection.request("GET", "/")
            return connection.getresponse().status < 500
        except OSError:
            return False
        finally:
            connection.close()

    @property
    def pid(self) -> int:
        """Its process id."""
        assert self._running is not None
        return self._running.pid

    def kill(self) -> None:
        """End it at once, as a power cut would: nothing is finished, nothing tidied."""
        assert self._running is not None
        self._running.kill()
        self._running.wait(_PATIENCE)

    def restart(self) -> None:
        """Start it again on the same port."""
        assert self._running is None or self._running.poll() is not None, "it still runs"
        self.start()

    def stop(self) -> float:
        """Ask it to stop, as Ctrl+C does; the seconds it took."""
        if self._running is None or self._running.poll() is not None:
            return 0.0
        began = time.monotonic()
        self._running.send_signal(signal.SIGINT)
        self._running.wait(_PATIENCE)
        return time.monotonic() - began


def _free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as one:
        port: int = one.getsockname()[1]
        return port
