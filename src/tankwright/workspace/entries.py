"""What was measured, seen and done at the tanks: `entries.jsonl`, each entry once, nothing ever rubbed out.

An entry comes with a key of its sender's own, so that a phone may send it again after a dropped line. Taking one back
is an entry too. The time of the tap (`happened`) is kept beside the time it arrived (`recorded`), both UTC.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from typing import Any, Final, Literal, get_args

from tankwright.finding import Finding
from tankwright.plan.editing import plan_hash
from tankwright.units import clip
from tankwright.workspace.disk import (
    folder_of,
    settled,
    utc_from_text,
    utc_text,
    utcnow,
)
from tankwright.workspace.journal import Journal, not_kept, writing_in
from tankwright.workspace.outcomes import trouble

EntryKind = Literal[
    "ph", "gh", "kh", "no2", "no3", "nh4", "temperature", "fed", "looked", "spawn", "dead", "note"
]
NOT_KEPT: Final = "BOOK-01"
NO_ENTRY: Final = "BOOK-02"
BAD_VALUE: Final = "BOOK-03"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """What a kind of entry counts in: its units, the first the usual one; and what no keeper ever reads.

    Without units it has no number; with "" alone a bare one. `needed`: an entry without a number says nothing.
    """

    units: tuple[str, ...] = ()
    low: float = 0.0
    high: float = math.inf
    needed: bool = False
    whole: bool = False


# Ranges: what a test kit or thermometer of the trade can show at all; common practice, no source.
SCALES: Final[dict[EntryKind, Scale]] = {
    "ph": Scale(units=("",), low=0.0, high=14.0, needed=True),
    "gh": Scale(units=("°dH",), high=100.0, needed=True),
    "kh": Scale(units=("°dH",), high=100.0, needed=True),
    "no2": Scale(units=("mg/L",), high=1000.0, needed=True),
    "no3": Scale(units=("mg/L",), high=1000.0, needed=True),
    "nh4": Scale(units=("mg/L",), high=1000.0, needed=True),
    "temperature": Scale(units=("°C", "°F"), low=-5.0, high=120.0, needed=True),
    "fed": Scale(),
    "looked": Scale(),
    "spawn": Scale(units=("",), high=1e6, whole=True),
    "dead": Scale(units=("",), high=1e6, whole=True),
    "note": Scale(),
}
_KINDS: Final[dict[object, EntryKind]] = {kind: kind for kind in get_args(EntryKind)}
_LONGEST: Final = {"tank": 40, "note": 2000, "who": 80, "key": 200}


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry. `undoes` is the id of the entry it takes back, which then counts as if it had never been made."""

    id: int
    key: str
    tank: str
    kind: EntryKind
    value: float | None
    unit: str
    note: str
    happened: datetime
    recorded: datetime
    who: str
    undoes: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """The entry stands in the book. `repeated`: its key had come before, and this is what was stored then."""

    entry: Entry
    repeated: bool = False


def read_value(kind: EntryKind, typed: str) -> tuple[float | None, str] | Finding:
    """A value as a person types it, with or without its unit, and the unit; or what is wrong with it.

    Comma and point are both taken. Nothing typed is no value.

    >>> read_value("ph", "7,2"), read_value("temperature", "76 °F"), read_value("dead", "2")
    ((7.2, ''), (76.0, '°F'), (2.0, ''))
    >>> read_value("ph", "72").text
    'ph of 72 is beyond what can be read'
    """
    scale = SCALES[kind]
    text = typed.strip()
    unit = next((one for one in scale.units if one and text.casefold().endswith(one.casefold())), "")
    number = text[: len(text) - len(unit)].strip().replace(",", ".").replace("−", "-")
    if not number and not unit:
        return _checked(kind, None, "")
    try:
        value = float(number)
    except ValueError:
        wanted = " or ".join(f'"7.2 {one}"'.replace(' "', '"') for one in scale.units) or "no number here"
        return trouble(BAD_VALUE, kind, f'"{clip(text)}" is no number', wanted=wanted, found=clip(text))
    return _checked(kind, value, unit or (scale.units[0] if scale.units else ""))


def _checked(kind: EntryKind, value: float | None, unit: str) -> tuple[float | None, str] | Finding:
    scale = SCALES[kind]
    if value is None:
        if scale.needed:
            return trouble(BAD_VALUE, kind, "has no number", wanted="the number that was read")
        return None, ""
    if not scale.units:
        return trouble(BAD_VALUE, kind, "takes no number", wanted="the entry alone, or a note")
    if unit not in scale.units:
        units = " or ".join(one or "no unit" for one in scale.units)
        return trouble(BAD_VALUE, kind, f'cannot be in "{clip(unit)}"', wanted=units, found=clip(unit))
    if not scale.low <= value <= scale.high:  # false for what is not a number, too
        high = "" if math.isinf(scale.high) else f" to {scale.high:g}"
        return trouble(
            BAD_VALUE, kind, f"{kind} of {value:g} is beyond what can be read", found=f"{value:g}",
            wanted=f"{scale.low:g}{high} {unit}".strip(),
        )  # fmt: skip
    if scale.whole and value != int(value):
        return trouble(BAD_VALUE, kind, f"{value:g} is no count", wanted="a whole number", found=f"{value:g}")
    return value, unit


class EntryBook:
    """The entries of one plan, for many threads and processes."""

    def __init__(self, plan: Path, *, now: Callable[[], datetime] = utcnow) -> None:
        self.folder = folder_of(settled(plan))
        self._journal = Journal(self.folder / "entries.jsonl")
        self._now = now
        self._lock = Lock()
        self._entries: list[Entry] = []
        self._by_key: dict[str, Entry] = {}
        self._by_id: dict[int, Entry] = {}
        self._taken_back: set[int] = set()

    def add(
        self, *, key: str, tank: str, kind: str, who: str, happened: datetime, value: float | None = None,
        unit: str = "", note: str = "",
    ) -> Stored | Finding:  # fmt: skip
        """Store an entry; one with a key that was stored before is not stored again.

        `unit` "" is the usual one. The moment is kept as it comes, also from a phone whose clock is wrong;
        ValueError for one without a time zone, which is a fault of the caller.
        """
        if happened.tzinfo is None:
            raise ValueError("the moment has no time zone")
        known = _KINDS.get(kind)
        if known is None:
            return trouble(BAD_VALUE, "entry", f'there is no kind "{clip(kind)}"', wanted=", ".join(SCALES))
        if not tank.strip() or len(tank) > _LONGEST["tank"]:
            return trouble(BAD_VALUE, "entry", "is of no tank", wanted="the id of a tank", found=clip(tank))
        usual = SCALES[known].units[:1]
        checked = _checked(known, value, unit or (usual[0] if usual else ""))
        if isinstance(checked, Finding):
            return checked
        if known == "note" and not note.strip():
            return trouble(BAD_VALUE, "note", "says nothing", wanted="a few words")
        return self._store(
            lambda number: Entry(
                id=number, key=_key(key), tank=_clean(tank), kind=known, value=checked[0], unit=checked[1],
                note=_clean(note[: _LONGEST["note"]]), happened=happened.astimezone(UTC), recorded=self._now(),
                who=clip(who, _LONGEST["who"]),
            ),
            _key(key),
        )  # fmt: skip

    def undo(self, entry: int, *, key: str, who: str) -> Stored | Finding:
        """Take an entry back, by an entry that says so; taken back twice is once."""
        with self._lock:
            self._take_in()
            taken = self._by_id.get(entry)
            if taken is None or taken.undoes is not None:
                return trouble(NO_ENTRY, "entry", f"there is no entry {entry} to take back")
            before = next((one for one in self._entries if one.undoes == entry), None)
        if before is not None:
            return Stored(entry=before, repeated=True)
        now = self._now()
        return self._store(
            lambda number: Entry(
                id=number, key=_key(key), tank=taken.tank, kind=taken.kind, value=None, unit="", note="",
                happened=now, recorded=now, who=clip(who, _LONGEST["who"]), undoes=entry,
            ),
            _key(key),
        )  # fmt: skip

    def get(self, entry: int) -> Entry | None:
        """The entry of that id."""
        with self._lock:
            self._take_in()
            return self._by_id.get(entry)

    def by_key(self, key: str) -> Entry | None:
        """The entry that came with that key."""
        with self._lock:
            self._take_in()
            return self._by_key.get(_key(key)) if key else None

    def last(self, tank: str, n: int = 3) -> tuple[Entry, ...]:
        """The newest entries of a tank by when they happened, without those taken back."""
        with self._lock:
            self._take_in()
            standing = [
                one for one in self._entries
                if one.tank == tank and one.undoes is None and one.id not in self._taken_back
            ]  # fmt: skip
        return tuple(sorted(standing, key=lambda one: (one.happened, one.id), reverse=True)[: max(n, 0)])

    def all(self) -> tuple[Entry, ...]:
        """Every entry as it was stored, those taken back and those that take back among them."""
        with self._lock:
            self._take_in()
            return tuple(self._entries)

    def standing(self) -> tuple[Entry, ...]:
        """Every entry that counts, in the order they were stored."""
        with self._lock:
            self._take_in()
            return tuple(
                one for one in self._entries if one.undoes is None and one.id not in self._taken_back
            )

    def _take_in(self) -> None:
        try:
            news = self._journal.news()
        except OSError:
            return
        if news.afresh:
            self._entries, self._by_key, self._by_id, self._taken_back = [], {}, {}, set()
        for line in news.lines:
            entry = _entry(line.record)
            if entry is not None and entry.id not in self._by_id:
                self._take(entry)

    def _take(self, entry: Entry) -> None:
        self._entries.append(entry)
        self._by_id[entry.id] = entry
        if entry.key:
            self._by_key.setdefault(entry.key, entry)
        if entry.undoes is not None:
            self._taken_back.add(entry.undoes)

    def _store(self, make: Callable[[int], Entry], key: str) -> Stored | Finding:
        with self._lock, ExitStack() as stack:
            try:
                stack.enter_context(writing_in(self.folder))
                self._take_in()
                known = self._by_key.get(key) if key else None
                if known is not None:
                    return Stored(entry=known, repeated=True)
                entry = make(max(self._by_id, default=0) + 1)
                self._journal.append([_record(entry)])
            except OSError as error:
                return not_kept(NOT_KEPT, self.folder, error)
            self._take(entry)
            return Stored(entry=entry)


def _record(entry: Entry) -> dict[str, Any]:
    return {
        "id": entry.id, "key": entry.key, "tank": entry.tank, "kind": entry.kind, "value": entry.value,
        "unit": entry.unit, "note": entry.note, "happened": utc_text(entry.happened),
        "recorded": utc_text(entry.recorded), "who": entry.who, "undoes": entry.undoes,
    }  # fmt: skip


def _entry(record: dict[str, Any]) -> Entry | None:
    """The entry of a record; None when it is none."""
    number, told, value, undoes = (record.get(name) for name in ("id", "kind", "value", "undoes"))
    kind = _KINDS.get(told) if isinstance(told, str) else None
    if not isinstance(number, int) or kind is None:
        return None
    try:
        recorded = utc_from_text(str(record.get("recorded")))
        happened = utc_from_text(str(record.get("happened")))
    except ValueError:
        return None
    return Entry(
        id=number, key=str(record.get("key") or ""), tank=str(record.get("tank") or ""), kind=kind,
        value=float(value) if isinstance(value, int | float) else None, unit=str(record.get("unit") or ""),
        note=str(record.get("note") or ""), happened=happened, recorded=recorded, who=str(record.get("who") or ""),
        undoes=undoes if isinstance(undoes, int) else None,
    )  # fmt: skip


def _clean(text: str) -> str:
    """A text without half letters, which no file can keep."""
    return text.strip().encode("utf-8", "replace").decode("utf-8")


def _key(key: str) -> str:
    return key if len(key) <= _LONGEST["key"] else plan_hash(key)
