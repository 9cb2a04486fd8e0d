"""An entry as a phone, a form or a program sends it: checked against room and clock, then stored in the book."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from tankwright.display import words
from tankwright.finding import Finding, Number
from tankwright.room.model import Room
from tankwright.units import clip
from tankwright.workspace.disk import utc_from_text, utcnow
from tankwright.workspace.entries import BAD_VALUE, SCALES, Entry, EntryBook, read_value
from tankwright.workspace.outcomes import trouble

UNDO: Final = "undo"
"""The kind of an entry that takes another back."""

NO_TANK: Final = "BOOK-04"
AHEAD: Final = timedelta(minutes=1)
"""How far ahead a phone's clock may be before its time is not believed; our choice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """One entry as it was sent. `typed` is the number as a person types it, with or without its unit; `happened`
    the time of the tap as ISO text with its zone, "" for now; `undoes` the key of the entry an "undo" takes back."""

    key: str
    tank: str
    kind: str
    typed: str = ""
    note: str = ""
    happened: str = ""
    undoes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The entry stands in the book. `repeated`: it stood there before under the same key. `said` is what its
    sender should be told beside, or ""."""

    entry: Entry
    repeated: bool
    said: str = ""


def enter(
    book: EntryBook, room: Room | None, sent: Sent, *, who: str, now: datetime | None = None
) -> Kept | Finding:
    """Store an entry, or say why not. A key that came before stores nothing and gives what it stored then.

    `room` is the last good one, whose tanks are the only ones taken; without one every name is, for what was seen
    must not be lost because the plan has a mistake. `who` makes the entry; `now` is the server's clock, UTC.
    """
    if not sent.key.strip():
        return trouble(
            BAD_VALUE, "entry", "has no key", wanted="a text of its sender's own, another for each entry"
        )
    before = book.by_key(sent.key)
    if before is not None:
        return Kept(entry=before, repeated=True)
    if sent.kind == UNDO:
        return _take_back(book, sent, who)
    if room is not None and all(tank.id != sent.tank for tank in room.tanks):
        return trouble(
            NO_TANK, "entry", f'there is no tank "{clip(sent.tank)}" in the plan', found=clip(sent.tank)
        )
    return _store(book, room, sent, who, now or utcnow())


def _take_back(book: EntryBook, sent: Sent, who: str) -> Kept | Finding:
    taken = book.by_key(sent.undoes)
    stored = book.undo(taken.id if taken is not None else -1, key=sent.key, who=who)
    if isinstance(stored, Finding):
        return stored
    return Kept(entry=stored.entry, repeated=stored.repeated)


def _store(book: EntryBook, room: Room | None, sent: Sent, who: str, now: datetime) -> Kept | Finding:
    moment = _moment(sent.happened, now)
    if moment is None:
        return trouble(
            BAD_VALUE, "entry", f'"{clip(sent.happened)}" is no moment', wanted="2026-08-02T07:15:00Z"
        )
    ahead = moment - now
    said = ""
    if ahead > AHEAD:
        by = words(Number(ahead.total_seconds(), "duration"), room.display if room is not None else "metric")
        said = f"The clock it was made by is {by} ahead, so it stands under the time it arrived."
        moment = now
    kind = next((one for one in SCALES if one == sent.kind), None)
    read = read_value(kind, sent.typed) if kind is not None else (None, "")
    if isinstance(read, Finding):
        return read
    value, unit = read
    stored = book.add(
        key=sent.key, tank=sent.tank, kind=sent.kind, who=who, happened=moment, value=value, unit=unit, note=sent.note
    )  # fmt: skip
    return (
        stored
        if isinstance(stored, Finding)
        else Kept(entry=stored.entry, repeated=stored.repeated, said=said)
    )


def _moment(text: str, now: datetime) -> datetime | None:
    """The moment a sender named; now when none is named, None when it is none."""
    if not text.strip():
        return now
    try:
        return utc_from_text(text.strip())
    except (ValueError, OverflowError):
        return None
