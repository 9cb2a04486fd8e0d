"""The database behind a logbook: a file beside the plan, or a server by its address."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, create_engine, event, text

_PATIENCE: Final = 10.0  # seconds a writer waits for another; one write takes some milliseconds
_ONE_WRITER: Final = 0x74616E6B  # a number of our own: who holds it in PostgreSQL writes


def engine_for(where: Path | str) -> Engine:
    """The engine of a file or an address such as "postgresql+psycopg://keeper@host/room". Nothing is opened yet."""
    if isinstance(where, Path):
        return _sqlite(where)
    return create_engine(where, pool_pre_ping=True)


def _sqlite(path: Path) -> Engine:
    engine = create_engine(
        f"sqlite:///{path}", connect_args={"timeout": _PATIENCE, "check_same_thread": False}
    )

    @event.listens_for(engine, "connect")
    def _connected(connection: Any, _record: Any) -> None:
        connection.isolation_level = (
            None  # transactions are begun below, where it is known whether they write
        )
        for pragma in (
            "journal_mode = WAL",
            "synchronous = NORMAL",
            "foreign_keys = ON",
            "cache_size = -64000",
        ):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """One state of the book, whatever others write meanwhile."""
    with engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """The book for one writer: all that is done within is kept, or nothing."""
    with engine.connect() as connection:
        connection.execution_options(writes=True)
        with connection.begin():
            if engine.dialect.name == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:number)"), {"number": _ONE_WRITER})
            yield connection
