"""A file of JSON lines that only grows: how history and book stay whole through a power cut.

A record is one line, written at once and synced. A line without its end was being written when the power
went: it was never confirmed, is not read, and makes room for the next one.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from tankwright.finding import Finding
from tankwright.units import clip
from tankwright.workspace.disk import BusyError, held, sync_folder, why
from tankwright.workspace.outcomes import trouble

_CHUNK: Final = 1 << 20


@contextmanager
def writing_in(folder: Path) -> Iterator[None]:
    """Hold the folder of a journal, made when it is not there yet. Raises OSError."""
    if not folder.is_dir():
        folder.mkdir(exist_ok=True)
    with held(folder):
        yield


def not_kept(code: str, folder: Path, error: OSError) -> Finding:
    """What the disk said when a record could not be written."""
    said = (
        "is held by another program" if isinstance(error, BusyError) else f"cannot be written: {why(error)}"
    )
    return trouble(code, clip(folder.name), said, wanted="a folder you may write")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One record and where its line stands: `length` counts its end."""

    offset: int
    length: int
    record: dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class News:
    """What came since the last look. `afresh` means that another file stands there: all of it is here."""

    lines: tuple[Line, ...] = ()
    afresh: bool = False


class Journal:
    """One such file. Whoever writes holds the folder (`disk.held`) and has just asked for the news."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._end = 0
        self._file: tuple[int, int] | None = None

    def news(self) -> News:
        """The records that were added since the last call, by whoever. A missing file has none."""
        try:
            with self.path.open("rb") as file:
                about = os.fstat(file.fileno())
                identity = (about.st_dev, about.st_ino)
                known = self._file
                afresh = known is not None and (known != identity or about.st_size < self._end)
                if known != identity or afresh:
                    self._end = 0
                self._file = identity
                file.seek(self._end)
                raw = file.read()
        except FileNotFoundError:
            gone = self._file is not None
            self._file, self._end = None, 0
            return News(afresh=gone)
        except (OSError, ValueError):
            return News()  # not ours to read now; nor can it be written, then
        start = self._end
        self._end += raw.rfind(b"\n") + 1
        return News(lines=tuple(_lines(raw, start)), afresh=afresh)

    def append(self, records: Iterable[dict[str, Any]], *, sync: bool = True) -> tuple[tuple[int, int], ...]:
        """Add records behind the last whole line; (offset, length) of each. Raises OSError, then nothing stands."""
        lines = [
            json.dumps(one, ensure_ascii=True, separators=(",", ":")).encode() + b"\n" for one in records
        ]
        new = self._file is None
        handle = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            if os.fstat(handle).st_size > self._end:
                os.ftruncate(handle, self._end)
            try:
                _write(handle, self._end, b"".join(lines))
                if sync:
                    os.fsync(handle)
            except OSError:
                os.ftruncate(handle, self._end)
                raise
            about = os.fstat(handle)
        finally:
            os.close(handle)
        if new:
            sync_folder(self.path.parent)
            sync_folder(self.path.parent.parent)
        self._file = (about.st_dev, about.st_ino)
        places = []
        for line in lines:
            places.append((self._end, len(line)))
            self._end += len(line)
        return tuple(places)

    def take_back(self, offset: int) -> None:
        """Drop what was added from there on, which nobody was told of. Raises OSError."""
        handle = os.open(self.path, os.O_RDWR)
        try:
            os.ftruncate(handle, offset)
            os.fsync(handle)
        finally:
            os.close(handle)
        self._end = offset

    def record_at(self, offset: int, length: int) -> dict[str, Any] | None:
        """The record of a line; None when it cannot be read any more."""
        try:
            with self.path.open("rb") as file:
                file.seek(offset)
                return _record(file.read(length))
        except OSError:
            return None


def _write(handle: int, offset: int, content: bytes) -> None:
    os.lseek(handle, offset, os.SEEK_SET)
    view = memoryview(content)
    while view:
        view = view[os.write(handle, view[:_CHUNK]) :]


def _lines(raw: bytes, start: int) -> Iterable[Line]:
    """The records of the whole lines; a line that is no record is passed over."""
    place = 0
    while (end := raw.find(b"\n", place)) >= 0:
        record = _record(raw[place : end + 1])
        if record is not None:
            yield Line(offset=start + place, length=end + 1 - place, record=record)
        place = end + 1


def _record(line: bytes) -> dict[str, Any] | None:
    try:
        record = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return record if isinstance(record, dict) else None
