"""What was measured, seen and done at the tanks with a tap: the part of the logbook that phones and programs write.

An entry comes with a key of its sender's own, so that a phone may send it again after a dropped line. Taking one back
is an event too. The time of the tap (`happened`) is kept beside the time it arrived (`recorded`), both UTC.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Final

from tankwright.finding import Finding
from tankwright.husbandry.records import Draft, Event
from tankwright.husbandry.register import Holding
from tankwright.husbandry.rounds import met_by
from tankwright.logbook import outcome as book_outcome
from tankwright.logbook.outcome import By, NoLogbookError, Refused
from tankwright.plan.editing import plan_hash
from tankwright.units import clip
from tankwright.workspace.disk import utcnow
from tankwright.workspace.entries_before import place_of
from tankwright.workspace.entry_events import ENTRY_KINDS, TAKEN_BACK, draft_of, entry_of
from tankwright.workspace.entry_values import (
    BAD_VALUE,
    KINDS_BY_NAME,
    LONGEST,
    SCALES,
    Entry,
    EntryKind,
    Scale,
    Stored,
    checked_value,
    read_value,
)
from tankwright.workspace.journal import not_kept
from tankwright.workspace.keeping import LATE, is_only_short
from tankwright.workspace.log import RoomLog
from tankwright.workspace.outcomes import trouble

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

__all__ = ["BAD_VALUE", "NOT_KEPT", "NO_ENTRY", "SCALES", "Entry", "EntryBook", "EntryKind", "Scale", "Stored",
           "read_value"]  # fmt: skip

NOT_KEPT: Final = "BOOK-01"
NO_ENTRY: Final = "BOOK-02"
_NO_BOOK: Final = frozenset(
    {
        book_outcome.NOT_KEPT,
        book_outcome.NO_LOGBOOK,
        book_outcome.NEWER,
        book_outcome.ONLY_READ,
        book_outcome.HELD,
    }
)
"""What the logbook says when it could not be written, which another try may cure."""

_A_DAY: Final = timedelta(days=1)
_TESTS_BACK: Final = 120
"""Tests of a tank among which the newest of each kind are looked for; a year of weekly ones of two kinds."""


class EntryBook:
    """The entries of one plan, for many threads and processes; they stand in its logbook."""

    def __init__(
        self, plan: Path, *, now: Callable[[], datetime] = utcnow, log: RoomLog | None = None
    ) -> None:
        self.log = log if log is not None else RoomLog(plan, now=now)
        self.folder = self.log.folder

    def add(
        self, *, key: str, tank: str, kind: str, who: str, happened: datetime, value: float | None = None,
        unit: str = "", note: str = "",
    ) -> Stored | Finding:  # fmt: skip
        """Store an entry; one with a key that was stored before is not stored again.

        `unit` "" is the usual one. The moment is kept as it comes, unless it lies ahead of now, which is refused;
        ValueError for one without a time zone, which is a fault of the caller.
        """
        if happened.tzinfo is None:
            raise ValueError("the moment has no time zone")
        known = KINDS_BY_NAME.get(kind)
        if known is None:
            return trouble(BAD_VALUE, "entry", f'there is no kind "{clip(kind)}"', wanted=", ".join(SCALES))
        if not tank.strip() or len(tank) > LONGEST["tank"]:
            return trouble(BAD_VALUE, "entry", "is of no tank", wanted="the id of a tank", found=clip(tank))
        usual = SCALES[known].units[:1]
        checked = checked_value(known, value, unit or (usual[0] if usual else ""))
        if isinstance(checked, Finding):
            return checked
        if known == "note" and not note.strip():
            return trouble(BAD_VALUE, "note", "says nothing", wanted="a few words")
        label, words = _clean(tank), _clean(note[: LONGEST["note"]])

        def drafts(book: Logbook) -> list[Draft]:
            place = place_of(book, label, self.log.now())
            made = draft_of(
                known, place=place, value=checked[0], unit=checked[1], note=words, happened=happened.astimezone(UTC),
                here=_lived(book, place, happened if late else None) if known in {"dead", "spawn"} else (),
                sets=book.sets(closed=False) if known == "spawn" else (),
            )  # fmt: skip
            # a look or a feeding is the work of that tank too, when it is due
            due = book.due(happened + _A_DAY) if known in {"looked", "fed"} else ()
            return [made, *met_by(made, due, lambda at: at.astimezone().date())]

        late = self.log.now() - happened > LATE
        return self._store(drafts, _by(who, key), late=late)

    def undo(self, entry: int, *, key: str, who: str) -> Stored | Finding:
        """Take an entry back, by an event that says so; taken back twice is once."""
        book = self._book()
        taken = _listing().event_numbered(book, entry) if book is not None else None
        if book is None or taken is None or taken.kind == "voided" or self._shown(book, [taken]) == ():
            return trouble(NO_ENTRY, "entry", f"there is no entry {entry} to take back")
        before = self._voiding(book, taken)
        if before is not None:
            return before
        now = self.log.now()
        together = _listing().in_batch(book, taken.batch) or (taken,)
        voidings = [
            Draft(kind="voided", happened=now, voids=one.id, reason=TAKEN_BACK, place=one.place, stock=one.stock)
            for one in (taken, *(other for other in together if other.id != taken.id))
        ]  # fmt: skip
        stored = self._store(lambda _: voidings, _by(who, key))
        meanwhile = self._voiding(book, taken) if isinstance(stored, Finding) else None
        return stored if meanwhile is None else meanwhile

    def get(self, entry: int) -> Entry | None:
        """The entry of that id."""
        book = self._book()
        event = _listing().event_numbered(book, entry) if book is not None else None
        return None if book is None or event is None else next(iter(self._shown(book, [event])), None)

    def by_key(self, key: str) -> Entry | None:
        """The entry that came with that key."""
        book = self._book() if key else None
        event = book.by_key(_key(key)) if book is not None else None
        return None if book is None or event is None else next(iter(self._shown(book, [event])), None)

    def last(self, tank: str, n: int = 3) -> tuple[Entry, ...]:
        """The newest entries of a tank by when they happened, without those taken back."""
        book = self._book()
        place = book.place_labelled(tank) if book is not None else None
        if book is None or place is None or n <= 0:
            return ()
        events = book.events(place=place.id, kinds=ENTRY_KINDS, newest_first=True, limit=n)
        return tuple(one for event in events if (one := entry_of(event, tank)) is not None)

    def page(
        self, *, tank: str | None = None, kind: EntryKind | None = None, before: int | None = None, limit: int
    ) -> tuple[Entry, ...]:
        """At most `limit` entries, the last stored first, with ids below `before`; those taken back among them."""
        book = self._book()
        place = book.place_labelled(tank) if book is not None and tank is not None else None
        if book is None or (tank is not None and place is None):
            return ()
        found: list[Entry] = []
        while len(found) < limit:
            some = _listing().newest_recorded(
                book, kinds=(*ENTRY_KINDS, "voided"), before=before, limit=max(4 * limit, 100),
                place=None if place is None else place.id,
            )  # fmt: skip
            found += [one for one in self._shown(book, some) if kind is None or one.kind == kind]
            if not some:
                break
            before = some[-1].serial
        return tuple(found[:limit])

    def taken_back(self, entries: Iterable[Entry]) -> frozenset[int]:
        """Of some entries the ids of those that were taken back."""
        book = self._book()
        if book is None:
            return frozenset()
        found: frozenset[int] = _listing().voided_numbers(
            book, (one.id for one in entries if one.undoes is None)
        )
        return found

    def newest_values(self, tank: str) -> dict[EntryKind, Entry]:
        """The newest number of each kind among the last tests of a tank."""
        book = self._book()
        place = book.place_labelled(tank) if book is not None else None
        if book is None or place is None:
            return {}
        found: dict[EntryKind, Entry] = {}
        for event in book.events(place=place.id, kinds=["tested"], newest_first=True, limit=_TESTS_BACK):
            entry = entry_of(event, tank)
            if entry is not None and entry.value is not None:
                found.setdefault(entry.kind, entry)
        return found

    def all(self) -> tuple[Entry, ...]:
        """Every entry as it was stored, those taken back and those that take back among them."""
        book = self._book()
        if book is None:
            return ()
        return tuple(
            reversed(self._shown(book, _listing().newest_recorded(book, kinds=(*ENTRY_KINDS, "voided"))))
        )

    def standing(self) -> tuple[Entry, ...]:
        """Every entry that counts, in the order they were stored."""
        everything = self.all()
        gone = {one.undoes for one in everything}
        return tuple(one for one in everything if one.undoes is None and one.id not in gone)

    def _book(self) -> Logbook | None:
        """The logbook; None while nothing was ever kept, or while the disk cannot be read."""
        try:
            return self.log.kept
        except (OSError, NoLogbookError):
            return None

    def _shown(self, book: Logbook, events: Iterable[Event]) -> tuple[Entry, ...]:
        """Events as entries, those of another kind left out."""
        kept = list(events)
        voided = _listing().events_named(book, (one.voids for one in kept if one.voids))
        labels = self._labels(book, {one.place for one in kept} - {""})
        entries = (entry_of(one, labels.get(one.place, ""), voided.get(one.voids)) for one in kept)
        return tuple(one for one in entries if one is not None)

    @staticmethod
    def _labels(book: Logbook, ids: set[str]) -> dict[str, str]:
        if len(ids) > 20:
            return {one.id: one.label for one in book.places(closed=True)}
        places = (book.place(one) for one in ids)
        return {one.id: one.label for one in places if one is not None}

    def _voiding(self, book: Logbook, taken: Event) -> Stored | None:
        """What took an event back before."""
        voiding = _listing().voided_by(book, [taken.id]).get(taken.id)
        entries = () if voiding is None else self._shown(book, [voiding])
        return Stored(entry=entries[0], repeated=True) if entries else None

    def _store(
        self, drafts: Callable[[Logbook], list[Draft]], by: By, *, late: bool = False
    ) -> Stored | Finding:
        try:
            book = self.log.book
            known = book.by_key(by.key) if by.key else None
            made = [] if known is not None else drafts(book)
            outcome = None if known is not None else book.record(made, by)
            if (
                late and outcome is not None and is_only_short(outcome)
            ):  # what others did since is no slip of this hand
                outcome = book.record(made, by, checked=False)
        except OSError as error:
            return not_kept(NOT_KEPT, self.folder, error)
        except NoLogbookError as error:
            outcome = Refused(findings=error.findings)
        if isinstance(outcome, Refused):
            first = outcome.findings[0]
            if first.code in _NO_BOOK:
                return trouble(
                    NOT_KEPT, clip(self.folder.name), first.text, wanted=first.wanted, found=first.found
                )
            return first
        event = known if outcome is None else outcome.events[0]
        entry = None if event is None else next(iter(self._shown(book, [event])), None)
        if entry is None:
            return trouble(
                BAD_VALUE, "entry", "has a key that something else came with", wanted="a key of its own"
            )
        return Stored(entry=entry, repeated=outcome is None or outcome.repeated)


def _lived(book: Logbook, place: str, at: datetime | None) -> tuple[Holding, ...]:
    """What lives in a place, or lived there at a moment."""
    if at is None:
        return book.holdings(place=place)
    return tuple(one for one in book.holdings_at(at) if one.place == place)


def _listing() -> ModuleType:
    """The questions asked of the database, which is loaded when the first one is asked."""
    return importlib.import_module("tankwright.logbook.listing")


def _by(who: str, key: str) -> By:
    return By(who=clip(who, LONGEST["who"]), key=_key(key))


def _clean(text: str) -> str:
    """A text without half letters, which no file can keep."""
    return text.strip().encode("utf-8", "replace").decode("utf-8")


def _key(key: str) -> str:
    return key if len(key) <= LONGEST["key"] else plan_hash(key)
