"""A logbook is opened: what is there is looked at, made when there is nothing, brought up to date when it is older.

What is newer, of another program or no database is never touched.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Final

from sqlalchemy import Connection, Engine, inspect, text

from tankwright.finding import Finding
from tankwright.logbook.engine import PATIENCE, engine_for, may_write, reading, reading_engine, writing
from tankwright.logbook.outcome import NEWER, NO_LOGBOOK, ONLY_READ, NoLogbookError, trouble
from tankwright.logbook.schema import METADATA
from tankwright.logbook.versions import HEAD, KNOWN, is_older

SIGNATURE: Final = b"SQLite format 3\x00"
_VERSION: Final = "alembic_version"
_STEPS: Final = Path(__file__).with_name("migrations")
_ONE_AT_A_TIME = Lock()  # Alembic keeps what it works on in a place of its own that threads share


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBook:
    """A database that is of today. `path` is its file, None for a server; `findings` what its keeper should hear."""

    engine: Engine
    path: Path | None
    read_only: bool = False
    findings: tuple[Finding, ...] = ()


def open_book(
    where: Path | str,
    *,
    patience: float = PATIENCE,
    before_upgrade: Callable[[Path, str], object] | None = None,
) -> OpenBook:
    """Open a file or a server. `before_upgrade` is called with the file and the version it has, while nobody writes.

    Raises NoLogbookError, and then has changed nothing.
    """
    if isinstance(where, Path):
        return _open_file(where, patience, before_upgrade)
    engine = engine_for(where, patience=patience)
    try:
        _bring_up(engine, None, None)
    except BaseException:
        engine.dispose()
        raise
    return OpenBook(engine=engine, path=None)


def _open_file(path: Path, patience: float, before_upgrade: Callable[[Path, str], object] | None) -> OpenBook:
    there = _is_there(path)
    if not may_write(path):
        if not there:
            raise NoLogbookError(_only_read("cannot be made: its folder may only be read or is not there"))
        return _open_to_read(path)
    engine = engine_for(path, patience=patience)
    try:
        if not there:
            _made_ready(path, new=True)
        _bring_up(engine, path, before_upgrade)
        if there:  # a copy or a backup put back; only now is it known to be ours
            _made_ready(path, new=False)
    except BaseException:
        engine.dispose()
        raise
    return OpenBook(engine=engine, path=path)


def _is_there(path: Path) -> bool:
    """True when a database stands there, False for nothing. Raises NoLogbookError for anything else."""
    try:
        with path.open("rb") as file:
            head = file.read(len(SIGNATURE))
    except FileNotFoundError:
        return False
    except OSError as error:
        raise NoLogbookError(
            trouble(NO_LOGBOOK, "cannot be read", found=str(error.strerror), wanted="a file that may be read")
        ) from error
    if head and head != SIGNATURE:
        raise NoLogbookError(_no_logbook("is no database", found=f"a file that begins {head[:8]!r}"))
    return bool(head)


def _made_ready(path: Path, *, new: bool) -> None:
    """Have many read while one writes. What SQLite cannot do on that disk, or not just now, it does without."""
    connection = sqlite3.connect(path, timeout=PATIENCE if new else 0.0)
    try:
        connection.execute("PRAGMA journal_mode = WAL")
    except sqlite3.Error as error:
        if new:
            raise NoLogbookError(
                trouble(NO_LOGBOOK, "could not be made", found=str(error), wanted="a disk with room")
            ) from error
    finally:
        connection.close()


def _open_to_read(path: Path) -> OpenBook:
    engine = reading_engine(path)
    try:
        with reading(engine) as connection:
            version = version_of(connection)
    except BaseException:
        engine.dispose()
        raise
    if version != HEAD:
        engine.dispose()
        raise NoLogbookError(
            _newer(version) if version and not is_older(version)
            else _only_read(f"is of version {version or 'none'} and cannot be brought up to date")
        )  # fmt: skip
    return OpenBook(
        engine=engine, path=path, read_only=True,
        findings=(_only_read("can be looked at, but nothing can be recorded"),),
    )  # fmt: skip


def _bring_up(engine: Engine, path: Path | None, before: Callable[[Path, str], object] | None) -> None:
    with reading(engine) as connection:
        if version_of(connection) == HEAD:
            return
    with writing(engine) as connection:
        version = version_of(connection)  # again: another program may have been quicker
        if version == HEAD:
            return
        if version and not is_older(version):
            raise NoLogbookError(_newer(version))
        if version and path is not None and before is not None:
            before(path, version)
        migrate(connection, version)
        if version:
            from tankwright.logbook.rebuild import rebuild  # noqa: PLC0415 - needed once in years

            rebuild(connection)


def version_of(connection: Connection) -> str:
    """The version of the tables, "" for a database without any. Raises NoLogbookError for another program's."""
    look = inspect(connection)
    tables = set(look.get_table_names())
    if _VERSION in tables and {"event", "flow", "observed"} <= tables:
        return str(connection.execute(text(f"SELECT version_num FROM {_VERSION}")).scalar() or "")
    ours = tables if connection.dialect.name == "sqlite" else tables & {_VERSION, *METADATA.tables}
    if ours:
        raise NoLogbookError(
            _no_logbook("is the database of something else", found=", ".join(sorted(ours)[:5]))
        )
    return ""


def require_today(connection: Connection) -> None:
    """Raises NoLogbookError when another program has brought the open book to a newer version meanwhile."""
    version = str(connection.execute(text(f"SELECT version_num FROM {_VERSION}")).scalar())
    if version != HEAD:
        raise NoLogbookError(_newer(version))


def migrate(connection: Connection, version: str, *, to: str = HEAD) -> None:
    """Take a database of a version ("" for an empty one) to another, within the transaction that is open."""
    # loaded here: a book of today is opened without it
    from alembic.migration import MigrationContext  # noqa: PLC0415 - as above
    from alembic.operations import Operations  # noqa: PLC0415 - as above
    from alembic.script import ScriptDirectory  # noqa: PLC0415 - as above

    script = ScriptDirectory(str(_STEPS))
    context = MigrationContext.configure(connection)
    steps = list(script.iterate_revisions(to, version or "base"))
    with _ONE_AT_A_TIME, Operations.context(context):
        for step in reversed(steps):
            step.module.upgrade()
    context.stamp(script, to)


def _no_logbook(text: str, *, found: str) -> Finding:
    return trouble(
        NO_LOGBOOK, text, found=found, wanted="a logbook",
        remedy="it was left as it is; move it away, or put a backup in its place: tankwright restore",
    )  # fmt: skip


def _newer(version: str) -> Finding:
    return trouble(
        NEWER, f"is of version {version}, which this program does not know; it was left as it is",
        found=version, wanted=f"version {KNOWN[0]} to {HEAD}", remedy="open it with the newer program",
    )  # fmt: skip


def _only_read(text: str) -> Finding:
    return trouble(ONLY_READ, text, wanted="a folder and a file that may be written")
