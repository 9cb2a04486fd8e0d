"""Backups of a book that is a file: made while it is open, looked at before they count, fourteen of each sort kept."""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.logbook.opening import SIGNATURE
from tankwright.logbook.outcome import HELD, NoLogbookError, trouble
from tankwright.logbook.versions import KNOWN

KEPT: Final = 14
NOT_BACKED_UP: Final = "LOG-31"
NO_BACKUP: Final = "LOG-34"

_NAME: Final = re.compile(
    r"logbook-(?P<day>\d{4}-\d\d-\d\d)(-(?P<why>before-[\w-]+-\d{6}))?-(?P<serial>\d+)\.sqlite"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """A backup: its file, the day it was made, how many events it has; `why` is "" for a daily one."""

    path: Path
    day: str
    events: int
    why: str = ""


def folder_of_backups(path: Path) -> Path:
    """Where the backups of a book stand."""
    return path.parent / "backups"


def backups_of(path: Path) -> tuple[Backup, ...]:
    """All backups of a book, the newest first."""
    found = []
    with suppress(OSError):
        for one in folder_of_backups(path).iterdir():
            named = _NAME.fullmatch(one.name)
            if named:
                found.append(
                    Backup(path=one, day=named["day"], events=int(named["serial"]), why=named["why"] or "")
                )
    return tuple(sorted(found, key=lambda one: (one.day, one.events, one.why), reverse=True))


def back_up_daily(path: Path, now: datetime, serial: int) -> tuple[Finding, ...]:
    """Today's backup, when there is none yet and something was recorded since the newest. Gives why it was not made."""
    daily = [one for one in backups_of(path) if not one.why]
    day = now.strftime("%Y-%m-%d")
    if not serial or any(one.day == day or one.events == serial for one in daily):
        return ()
    try:
        _make(path, f"logbook-{day}")
    except NoLogbookError as error:
        return error.findings
    _thin_out(path)
    return ()


def back_up_before(path: Path, what: str, now: datetime) -> Path:
    """A backup before something is done to the book, such as bringing it up to date from version "0001".

    Raises NoLogbookError when it cannot be made; whatever was to be done is then not done.
    """
    made = _make(path, f"logbook-{now:%Y-%m-%d}-before-{what}-{now:%H%M%S}")
    _thin_out(path)
    return made


def look_at(path: Path) -> tuple[str, int]:
    """The version of a file that should be a logbook, and how many events it has.

    Raises NoLogbookError for what is none, or is damaged.
    """
    try:
        with path.open("rb") as file:
            head = file.read(len(SIGNATURE))
    except OSError as error:
        raise NoLogbookError(_no_backup(path, "cannot be read", str(error.strerror))) from error
    if head != SIGNATURE:
        raise NoLogbookError(_no_backup(path, "is no database", f"a file that begins {head[:8]!r}"))
    try:
        with _connected(path, read_only=True) as connection:
            said = [row[0] for row in connection.execute("PRAGMA integrity_check(3)")]
            if said != ["ok"]:
                raise NoLogbookError(_no_backup(path, "is damaged", str(said[0])[:200]))
            version = str(connection.execute("SELECT version_num FROM alembic_version").fetchone()[0])
            events = int(connection.execute("SELECT coalesce(max(serial), 0) FROM event").fetchone()[0])
    except (sqlite3.Error, TypeError, ValueError) as error:
        raise NoLogbookError(_no_backup(path, "is damaged, or no logbook", str(error)[:200])) from error
    return version, events


def restore(backup: Path, path: Path, now: datetime) -> tuple[int, Path | None]:
    """Put a backup in the place of a book. How many events it has, and where what stood there before is kept.

    A book that is in order is backed up first and overwritten as one write; one that is damaged is moved aside.
    Raises NoLogbookError; then the book is as it was.
    """
    version, events = look_at(backup)
    if version not in KNOWN:
        raise NoLogbookError(
            _no_backup(backup, f"is of version {version}, which this program does not know", version)
        )
    path.parent.mkdir(parents=True, exist_ok=True)
    before: Path | None = None
    if path.exists():
        try:
            look_at(path)
        except NoLogbookError:
            before = _moved_aside(path, now)
        else:
            before = back_up_before(path, "restore", now)
    try:
        with _connected(backup, read_only=True) as source, _connected(path) as book:
            source.backup(book)
    except sqlite3.Error as error:
        raise NoLogbookError(_not_made("could not be restored", error)) from error
    return events, before


def _moved_aside(path: Path, now: datetime) -> Path:
    """A damaged book with what SQLite keeps beside it, under another name: nothing is thrown away."""
    aside = path.with_name(f"{path.stem}-damaged-{now:%Y-%m-%d-%H%M%S}{path.suffix}")
    try:
        for end in ("-wal", "-shm", ""):
            beside = path.with_name(path.name + end)
            if beside.exists():
                beside.replace(aside.with_name(aside.name + end))
    except OSError as error:
        raise NoLogbookError(_not_made("could not be moved aside", error)) from error
    return aside


def _make(path: Path, name: str) -> Path:
    """Copy the book, look the copy over, and only then give it its name."""
    folder = folder_of_backups(path)
    unfinished = folder / f".{name}.{os.getpid()}.unfinished"
    try:
        folder.mkdir(exist_ok=True)
        with _connected(path) as book, _connected(unfinished) as copy:
            book.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, with nothing beside it
        _, events = look_at(unfinished)
        with unfinished.open("rb") as file:
            os.fsync(file.fileno())
        made = folder / f"{name}-{events}.sqlite"
        unfinished.replace(made)
    except (sqlite3.Error, OSError) as error:
        raise NoLogbookError(_not_made("could not be backed up", error)) from error
    finally:
        with suppress(OSError):
            for left in (unfinished, unfinished.with_name(unfinished.name + "-journal")):
                left.unlink(missing_ok=True)
    return made


def _thin_out(path: Path) -> None:
    """Keep the newest of each sort. One that cannot be taken away stays."""
    found = backups_of(path)
    for sort in (False, True):
        for one in [one for one in found if bool(one.why) is sort][KEPT:]:
            with suppress(OSError):
                one.path.unlink()


@contextmanager
def _connected(path: Path, *, read_only: bool = False) -> Iterator[sqlite3.Connection]:
    address = f"{path.resolve().as_uri()}?mode={'ro' if read_only else 'rwc'}"
    with closing(sqlite3.connect(address, uri=True, timeout=10.0, isolation_level=None)) as connection:
        yield connection


def _no_backup(path: Path, text: str, found: str) -> Finding:
    return trouble(
        NO_BACKUP, text, subject=path.name, found=found, wanted="a backup of a logbook",
        remedy="take another one; the book was left as it is",
    )  # fmt: skip


def _not_made(text: str, error: Exception) -> Finding:
    held = getattr(error, "sqlite_errorcode", 0) == sqlite3.SQLITE_BUSY
    return trouble(
        HELD if held else NOT_BACKED_UP, text, found=str(error)[:200], severity=Severity.WARNING,
        wanted="a disk with room that may be written", remedy="make room on the disk, or take old backups away",
    )  # fmt: skip
