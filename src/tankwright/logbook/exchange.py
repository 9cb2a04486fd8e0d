"""The whole book as one file: a zip with every event in its order, the pictures, and a page that says what is in it.

    events.jsonl     one event a line, JSON, in the order they came to the book, each with its seal
    pictures/<name>  as they are kept beside the book
    manifest.json    what this is, its version, how many events, the newest seal, the SHA-256 of events.jsonl

The same book gives the same bytes. Everything else in a book follows from its events and is made anew from them.
"""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from itertools import islice
from pathlib import Path
from typing import IO, Any, Final
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from tankwright.husbandry.records import Event
from tankwright.logbook.chain import in_serial_order
from tankwright.logbook.codec import FIRST_SEAL, as_json, plain_of
from tankwright.logbook.engine import reading
from tankwright.logbook.outcome import NOT_KEPT, NoLogbookError, trouble
from tankwright.logbook.pictures import Pictures
from tankwright.logbook.queries import Queries
from tankwright.logbook.versions import HEAD

WHAT: Final = "logbook of a fish room, tankwright"
FORMAT: Final = 1
EVENTS: Final = "events.jsonl"
PICTURES: Final = "pictures/"
MANIFEST: Final = "manifest.json"
_AT_ONCE: Final = 1_000
_ANY_TIME: Final = (1980, 1, 1, 0, 0, 0)  # the first a zip knows: an export has no moment of its own


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What an export says of itself. `serial` and `seal` are those of its newest event."""

    version: str
    events: int
    seal: str
    sha256: str
    pictures: tuple[str, ...]


def export_book(book: Queries, pictures: Pictures, place: Path) -> Manifest:
    """Write the whole book into a file; what stood there stays until the new one is whole.

    Raises NoLogbookError when the book cannot be read or the file cannot be written.
    """
    try:
        handle, name = tempfile.mkstemp(prefix=f".{place.name[:40]}.", suffix=".unfinished", dir=place.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                manifest = _write(book, pictures, file)
                file.flush()
                os.fsync(file.fileno())
            Path(name).chmod(0o644)
            Path(name).replace(place)
        except BaseException:
            with suppress(OSError):
                Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise NoLogbookError(
            trouble(NOT_KEPT, "could not be written", subject=str(place), found=str(error.strerror or error),
                    wanted="a folder with room that may be written")
        ) from error  # fmt: skip
    return manifest


def line_of(event: Event) -> bytes:
    """An event as its line in an export."""
    return f"{as_json(plain_of(event) | {'hash': event.hash})}\n".encode()


def _write(book: Queries, pictures: Pictures, file: IO[bytes]) -> Manifest:
    with ZipFile(file, "w") as packed:
        with reading(book.engine) as connection, packed.open(_named(EVENTS), "w", force_zip64=True) as lines:
            events, seal, hashed = _write_events(in_serial_order(connection), lines)
        kept = []
        for name in pictures.names():
            content = pictures.get(name)
            if content is not None:
                packed.writestr(_named(PICTURES + name, packs=False), content)
                kept.append(name)
        manifest = Manifest(version=HEAD, events=events, seal=seal, sha256=hashed, pictures=tuple(kept))
        packed.writestr(_named(MANIFEST), json.dumps(_plain(manifest), indent=1) + "\n")
    return manifest


def _write_events(events: Iterable[Event], lines: IO[bytes]) -> tuple[int, str, str]:
    count, seal, hashed = 0, FIRST_SEAL, sha256()
    going = iter(events)
    while part := list(islice(going, _AT_ONCE)):
        piece = b"".join(line_of(event) for event in part)
        hashed.update(piece)
        lines.write(piece)
        count, seal = count + len(part), part[-1].hash
    return count, seal, hashed.hexdigest()


def _named(name: str, *, packs: bool = True) -> ZipInfo:
    info = ZipInfo(name, _ANY_TIME)
    info.compress_type = ZIP_DEFLATED if packs else ZIP_STORED
    info.create_system = 3
    info.external_attr = 0o644 << 16
    return info


def _plain(manifest: Manifest) -> dict[str, Any]:
    return {
        "what": WHAT, "format": FORMAT, "version": manifest.version, "events": manifest.events, "seal": manifest.seal,
        "events_sha256": manifest.sha256, "pictures": list(manifest.pictures),
    }  # fmt: skip
