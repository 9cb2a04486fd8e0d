"""The folder beside a plan, and how anything gets into it: whole or not at all, one writer at a time."""

from __future__ import annotations

import json
import os
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

PATIENCE: Final = 5.0  # seconds to wait for another writer; one write takes some ten milliseconds
_RETRY: Final = 0.005


class BusyError(OSError):
    """Another process has held the folder for longer than anyone should."""


def utcnow() -> datetime:
    """The time now, UTC: the only place of the workspace that asks for it."""
    return datetime.now(UTC)


def utc_text(at: datetime) -> str:
    """A moment as records keep it: ISO, UTC, milliseconds, Z.

    >>> utc_text(datetime(2026, 8, 2, 7, 15, 0, 120_000, tzinfo=UTC))
    '2026-08-02T07:15:00.120Z'
    """
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def utc_from_text(text: str) -> datetime:
    """The moment a record keeps; ValueError for what is none, or has no zone.

    >>> utc_from_text("2026-08-02T07:15:00Z").hour
    7
    """
    at = datetime.fromisoformat(text.replace("Z", "+00:00"))
    if at.tzinfo is None:
        raise ValueError(f"{text} has no time zone")
    return at.astimezone(UTC)


def folder_of(plan: Path) -> Path:
    """The folder beside a plan where its history and its book stand.

    >>> folder_of(Path("rooms/cellar.toml")).name, folder_of(Path("cellar.txt")).name
    ('cellar.tankwright', 'cellar.txt.tankwright')
    """
    name = plan.stem if plan.suffix.lower() == ".toml" else plan.name
    return plan.with_name(f"{name}.tankwright")


def settled(path: Path) -> Path:
    """A path without links and dots, so that two ways to one plan meet in one folder."""
    try:
        return path.resolve()
    except (OSError, RuntimeError, ValueError):
        return path.absolute()


def why(error: OSError | ValueError) -> str:
    """What the disk said, in words."""
    told = getattr(error, "strerror", None) or "its name cannot be stored"
    return str(told)[:1].lower() + str(told)[1:]


@contextmanager
def held(folder: Path, patience: float = PATIENCE) -> Iterator[None]:
    """Hold the folder against every other process. The system lets go of it by itself when a process dies.

    Raises BusyError after `patience` seconds, OSError when the folder is not there or may not be written.
    """
    place = folder / "lock"
    try:
        handle = os.open(place, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError:
        handle = os.open(place, os.O_RDONLY)  # may be read but not written: enough to hold it
    try:
        _lock(handle, patience)
        yield
    finally:
        os.close(handle)


def _lock(handle: int, patience: float) -> None:
    until = time.monotonic() + patience
    while True:
        try:
            if sys.platform == "win32":
                msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
            else:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except OSError as error:
            if time.monotonic() >= until:
                raise BusyError(error.errno, "another program is writing there") from error
            time.sleep(_RETRY)


def sync_folder(folder: Path) -> None:
    """Have the names in a folder on the disk. Some systems cannot, and then keep their own order."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def write_whole(place: Path, content: bytes) -> None:
    """Put a file in its place: the old one or the new one stands there at any instant. Raises OSError."""
    handle, name = tempfile.mkstemp(prefix=f".{place.name[:40]}.", suffix=".new", dir=place.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(place)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    sync_folder(place.parent)


def write_json(place: Path, value: Any) -> None:
    """Put a value in its place as JSON a person can read. Raises OSError."""
    write_whole(place, (json.dumps(value, indent=2, ensure_ascii=False) + "\n").encode("utf-8"))
