"""What was read at the test points of the built room: `readings.jsonl` beside the plan, nothing ever rubbed out.

A reading comes with a key of its sender's own, so that a phone may send it again after a dropped line. Taking one back
is a record too. The newest that stands counts for its point; what was typed is kept beside its SI value.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from threading import Lock
from typing import Any, Final

from tankwright.building.point import Reading
from tankwright.finding import Finding
from tankwright.workspace.disk import (
    folder_of,
    settled,
    utc_from_text,
    utc_text,
    utcnow,
)
from tankwright.workspace.journal import Journal, not_kept, writing_in
from tankwright.workspace.outcomes import trouble

NOT_KEPT: Final = "PROOF-11"
NO_READING: Final = "PROOF-12"
_LONGEST: Final = {"key": 200, "point": 200, "typed": 80, "unit": 40, "note": 200, "who": 80}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A reading to be stored: what was typed, its SI value and the unit it is told in; `happened` in UTC."""

    key: str
    point: str
    typed: str
    value: float
    unit: str
    happened: datetime
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredReading:
    """One record. `undoes` is the id of the reading it takes back, which then counts as if it had never been made."""

    id: int
    key: str
    point: str
    typed: str
    value: float | None
    unit: str
    note: str
    happened: datetime
    recorded: datetime
    who: str
    undoes: int | None = None

    def reading(self) -> Reading:
        """It as the comparison takes it, on the day it was here."""
        assert self.value is not None
        day = self.happened.astimezone().date()
        return Reading(
            point=self.point, value=self.value, unit=self.unit, line=self.id, on=day, who=self.who, note=self.note
        )  # fmt: skip


class ReadingsBook:
    """The readings of one plan's room, for many threads and processes."""

    def __init__(self, plan: Path, *, now: Callable[[], datetime] = utcnow) -> None:
        self.folder = folder_of(settled(plan))
        self._journal = Journal(self.folder / "readings.jsonl")
        self._now = now
        self._lock = Lock()
        self._records: list[StoredReading] = []
        self._by_key: dict[str, StoredReading] = {}

    def all(self) -> tuple[StoredReading, ...]:
        """Every record as it was stored, oldest first."""
        with self._lock:
            self._take_in()
            return tuple(self._records)

    def by_key(self, key: str) -> StoredReading | None:
        """The record that came with that key."""
        with self._lock:
            self._take_in()
            return self._by_key.get(key) if key else None

    def standing(self) -> dict[str, StoredReading]:
        """The reading that counts at each point: the newest by when it happened that was not taken back."""
        records = self.all()
        gone = {one.undoes for one in records if one.undoes is not None}
        newest: dict[str, StoredReading] = {}
        for one in records:
            if one.undoes is not None or one.id in gone:
                continue
            before = newest.get(one.point)
            if before is None or (before.happened, before.id) < (one.happened, one.id):
                newest[one.point] = one
        return newest

    def add(self, told: Iterable[Told], *, who: str) -> tuple[StoredReading, ...] | Finding:
        """Store readings, each key once; the records of those keys. All of them or, with a finding, none."""
        asked = tuple(told)
        return self._store(asked, lambda one, number, now: StoredReading(
            id=number, key=_cut("key", one.key), point=_cut("point", one.point), typed=_cut("typed", one.typed),
            value=one.value, unit=_cut("unit", one.unit), note=_cut("note", one.note),
            happened=min(one.happened, now), recorded=now, who=_cut("who", who),
        ))  # fmt: skip

    def take_back(self, readings: Sequence[StoredReading], *, key: str, who: str) -> Finding | None:
        """Take readings back, by records that say so; taken back twice is once."""
        gone = {one.undoes for one in self.all()}
        left = [one for one in readings if one.undoes is None and one.id not in gone]
        if not readings:
            return trouble(NO_READING, "reading", "there is none to take back")
        asked = tuple(
            Told(key=f"{key}.{one.id}" if len(readings) > 1 else key, point=one.point, typed="", value=float(one.id),
                 unit="", happened=one.happened)
            for one in left
        )  # fmt: skip
        stored = self._store(asked, lambda one, number, now: StoredReading(
            id=number, key=_cut("key", one.key), point=one.point, typed="", value=None, unit="", note="", happened=now,
            recorded=now, who=_cut("who", who), undoes=int(one.value),
        ))  # fmt: skip
        return stored if isinstance(stored, Finding) else None

    def _store(
        self, asked: Sequence[Told], make: Callable[[Told, int, datetime], StoredReading]
    ) -> tuple[StoredReading, ...] | Finding:
        with self._lock, ExitStack() as stack:
            try:
                stack.enter_context(writing_in(self.folder))
                self._take_in()
                now, number = self._now(), max((one.id for one in self._records), default=0)
                answer: list[StoredReading] = []
                new: list[StoredReading] = []
                for one in asked:
                    known = self._by_key.get(_cut("key", one.key))
                    if known is None:
                        known = make(one, number + len(new) + 1, now)
                        new.append(known)
                    answer.append(known)
                if new:
                    self._journal.append([_record(one) for one in new])
            except OSError as error:
                return not_kept(NOT_KEPT, self.folder, error)
            for record in new:
                self._take(record)
            return tuple(answer)

    def _take_in(self) -> None:
        try:
            news = self._journal.news()
        except OSError:
            return
        if news.afresh:
            self._records, self._by_key = [], {}
        for line in news.lines:
            record = _stored(line.record)
            if record is not None:
                self._take(record)

    def _take(self, record: StoredReading) -> None:
        self._records.append(record)
        if record.key:
            self._by_key.setdefault(record.key, record)


def _record(one: StoredReading) -> dict[str, Any]:
    return {
        "id": one.id, "key": one.key, "point": one.point, "typed": one.typed, "value": one.value, "unit": one.unit,
        "note": one.note, "happened": utc_text(one.happened), "recorded": utc_text(one.recorded), "who": one.who,
        "undoes": one.undoes,
    }  # fmt: skip


def _stored(record: dict[str, Any]) -> StoredReading | None:
    """The reading of a record; None when it is none."""
    number, value, undoes = (record.get(name) for name in ("id", "value", "undoes"))
    read = float(value) if isinstance(value, int | float) else None
    taken = undoes if isinstance(undoes, int) else None
    if not isinstance(number, int) or (read is None) == (taken is None):
        return None
    try:
        happened = utc_from_text(str(record.get("happened")))
        recorded = utc_from_text(str(record.get("recorded")))
    except ValueError:
        return None
    key, point, typed, unit, note, who = (
        str(record.get(name) or "") for name in ("key", "point", "typed", "unit", "note", "who")
    )
    return StoredReading(
        id=number, key=key, point=point, typed=typed, value=read, unit=unit, note=note,
        happened=happened, recorded=recorded, who=who, undoes=taken,
    )  # fmt: skip


def _cut(name: str, text: str) -> str:
    """A text as short as its kind may be, without half letters, which no file can keep."""
    return text.strip().encode("utf-8", "replace").decode("utf-8")[: _LONGEST[name]]
