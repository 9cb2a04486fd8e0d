"""A PostgreSQL server of the tests' own: in a folder of its own, on a socket in it, gone with the tests."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
from psycopg import sql

KEEPER = "keeper"
_HOW = (
    "No PostgreSQL server for the tests. As root: apt-get install postgresql (make test does it), then again."
)


def programs() -> Path:
    """The folder of the newest server's programs."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda one: float(one.parent.name))
    if found and (found[-1] / "initdb").exists():
        return found[-1]
    on_path = shutil.which("initdb")
    assert on_path, _HOW
    return Path(on_path).parent


def _as_nobody(folder: Path) -> dict[str, Any]:
    """PostgreSQL does not run as root."""
    if os.geteuid() != 0:
        return {}
    nobody = pwd.getpwnam("nobody")
    os.chown(folder, nobody.pw_uid, nobody.pw_gid)
    return {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}


class Server:
    """A running server."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.made = 0

    def new_database(self) -> str:
        """The address of an empty database: a schema of its own, which is made in no time and goes with the server."""
        self.made += 1
        name = f"room{self.made}"
        with self.connected() as connection:
            connection.execute(sql.SQL("CREATE SCHEMA {}").format(sql.Identifier(name)))
        return f"postgresql://{KEEPER}@/postgres?host={self.folder}&options=-csearch_path%3D{name}"

    def connected(self) -> psycopg.Connection[Any]:
        """A connection to the server's own database."""
        return psycopg.connect(f"host={self.folder} user={KEEPER} dbname=postgres", autocommit=True)


@contextmanager
def running_server() -> Iterator[Server]:
    """Make a server, wait until it answers, and stop it at the end."""
    folder = Path(tempfile.mkdtemp(prefix="tankwright-pg-", dir="/tmp"))  # a socket's name may not be long
    someone = _as_nobody(folder)
    data = folder / "data"
    environment = {**os.environ, "LC_ALL": "C.UTF-8", "PGTZ": "UTC", "TZ": "UTC"}
    try:
        made = subprocess.run(
            [programs() / "initdb", "-D", data, "-U", KEEPER, "-A", "trust", "-E", "UTF8", "-N"],
            capture_output=True, text=True, check=False, cwd=folder, env=environment, **someone,
        )  # fmt: skip
        assert made.returncode == 0, made.stdout + made.stderr
        with (folder / "log").open("wb") as log:
            process = subprocess.Popen(
                [
                    programs() / "postgres",
                    "-D",
                    data,
                    "-k",
                    folder,
                    "-c",
                    "listen_addresses=",
                    "-c",
                    "fsync=off",
                ],
                stdout=log,
                stderr=log,
                cwd=folder,
                env=environment,
                **someone,
            )  # fmt: skip - fsync: what a power cut does to a server is the server's own affair
        try:
            server = Server(folder)
            _wait_for(server, process)
            yield server
        finally:
            process.send_signal(signal.SIGINT)  # at once, whoever is still connected
            process.wait(30)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _wait_for(server: Server, process: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + 60
    while True:
        try:
            server.connected().close()
            return
        except psycopg.OperationalError:
            assert process.poll() is None, (server.folder / "log").read_text("utf-8", "replace")
            assert time.monotonic() < until, "the server does not answer"
            time.sleep(0.05)
