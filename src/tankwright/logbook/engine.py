"""The database behind a logbook: a file beside the plan, or a server by its address."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event, make_url, text
from sqlalchemy.exc import OperationalError, SQLAlchemyError

from tankwright.finding import Finding
from tankwright.logbook.outcome import HELD, NO_LOGBOOK, NOT_KEPT, NoLogbookError, trouble

PATIENCE: Final = 10.0
"""Seconds a writer waits for another; one write takes some milliseconds."""

_ONE_WRITER: Final = 0x74616E6B  # a number of our own: who holds it in PostgreSQL writes
_BUSY: Final = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_NOT_AVAILABLE: Final = "55P03"  # PostgreSQL's lock_not_available


def engine_for(where: Path | str, *, patience: float = PATIENCE) -> Engine:
    """The engine of a file or an address such as "postgresql://keeper@host/room". Nothing is opened yet.

    Raises NoLogbookError for an address that is none, or of a database that is not known here.
    """
    if isinstance(where, Path):
        return _sqlite(where, patience)
    try:
        address = make_url(where)
        if address.drivername not in {"postgresql", "postgresql+psycopg"}:
            raise NoLogbookError(_no_address(address.drivername))
        engine = create_engine(address.set(drivername="postgresql+psycopg"), pool_pre_ping=True)
    except ImportError as error:
        raise NoLogbookError(
            trouble(NO_LOGBOOK, "is on a server, and what speaks to it is not installed", found=str(error)[:200],
                    wanted="psycopg", remedy='install it: pip install "tankwright[postgresql]"')
        ) from error  # fmt: skip
    except (SQLAlchemyError, ValueError) as error:
        raise NoLogbookError(_no_address("no address that can be read")) from error
    _with_patience(engine, patience)
    return engine


def _no_address(found: str) -> Finding:  # never the address itself, which may hold a password
    return trouble(
        NO_LOGBOOK, "has an address that is not that of a server", found=found[:60],
        wanted="an address such as postgresql://keeper@host/room",
    )  # fmt: skip


def may_write(path: Path) -> bool:
    """True when a file and its folder can be written: SQLite needs both."""
    effective = os.access in os.supports_effective_ids
    folder = os.access(path.parent, os.W_OK | os.X_OK, effective_ids=effective)
    return folder and (not path.exists() or os.access(path, os.W_OK, effective_ids=effective))


def reading_engine(path: Path) -> Engine:
    """The engine of a file that may only be read. Raises nothing; nothing is opened yet."""

    def opened() -> sqlite3.Connection:
        log = path.with_name(f"{path.name}-wal")
        # without a log nobody writes, and SQLite is told so: it would want to make one beside the file
        mode = "mode=ro" if log.exists() and log.stat().st_size else "immutable=1"
        return sqlite3.connect(f"file:{quote(str(path))}?{mode}", uri=True, check_same_thread=False)

    engine = create_engine("sqlite://", creator=opened, poolclass=NullPool)
    _transactions(engine)
    return engine


def _sqlite(path: Path, patience: float) -> Engine:
    engine = create_engine(
        URL.create("sqlite", database=str(path)),
        connect_args={"timeout": patience, "check_same_thread": False},
    )

    @event.listens_for(engine, "connect")
    def _connected(connection: Any, _record: Any) -> None:
        for pragma in (
            "synchronous = FULL",  # what was confirmed outlives a power cut; docs/decisions/0035 has its price
            "foreign_keys = ON",
            "recursive_triggers = ON",
            "cache_size = -64000",
        ):
            connection.execute(f"PRAGMA {pragma}")

    _transactions(engine)
    return engine


def _transactions(engine: Engine) -> None:
    """Transactions are begun here, where it is known whether they write."""

    @event.listens_for(engine, "connect")
    def _connected(connection: Any, _record: Any) -> None:
        connection.isolation_level = None

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _with_patience(engine: Engine, patience: float) -> None:
    @event.listens_for(engine, "connect")
    def _connected(connection: Any, _record: Any) -> None:
        with connection.cursor() as cursor:
            cursor.execute(f"SET lock_timeout = {round(patience * 1000)}")
        connection.commit()


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """One state of the book, whatever others write meanwhile. Raises NoLogbookError when it cannot be read."""
    try:
        with engine.connect() as connection:
            if engine.dialect.name == "postgresql":
                connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection
    except SQLAlchemyError as error:
        raise NoLogbookError(what_went_wrong(error, writing=False)) from error


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """The book for one writer: all that is done within is kept, or nothing. Raises NoLogbookError when it is not."""
    try:
        with engine.connect() as connection:
            connection.execution_options(writes=True)
            with connection.begin():
                if engine.dialect.name == "postgresql":
                    connection.execute(text("SELECT pg_advisory_xact_lock(:number)"), {"number": _ONE_WRITER})
                yield connection
    except (SQLAlchemyError, OverflowError, UnicodeError) as error:
        raise NoLogbookError(what_went_wrong(error, writing=True)) from error


def what_went_wrong(error: Exception, *, writing: bool) -> Finding:
    """What a database said, as a finding."""
    cause = getattr(error, "orig", None) or error
    found = (str(cause).splitlines() or [""])[0][:200]
    if isinstance(error, OperationalError) and _is_busy(cause):
        return trouble(
            HELD, "is held by another program, which has been writing for longer than it should; nothing was kept"
            if writing else "is held by another program", found=found, remedy="try again; close the other program",
        )  # fmt: skip
    if writing:
        return trouble(
            NOT_KEPT, "could not be written; nothing was kept", found=found,
            wanted="a disk with room that may be written", remedy="make room on the disk, then send it again",
        )  # fmt: skip
    return trouble(
        NO_LOGBOOK, "cannot be read", found=found, wanted="a logbook",
        remedy="put a backup in its place: tankwright restore",
    )  # fmt: skip


def _is_busy(cause: object) -> bool:
    code = getattr(cause, "sqlite_errorcode", 0) or 0
    return (code & 0xFF) in _BUSY or getattr(cause, "sqlstate", "") == _NOT_AVAILABLE
