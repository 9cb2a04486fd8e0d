"""The book of entries as it was kept before there was a logbook: `entries.jsonl`, taken into the logbook once.

Keys, makers, notes and both times of each entry stay; the file is then called `entries.jsonl.taken-in` and left.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from tankwright.husbandry.records import Draft
from tankwright.logbook.ids import new_id
from tankwright.logbook.outcome import By, Refused
from tankwright.workspace.disk import utc_from_text
from tankwright.workspace.entry_events import TAKEN_BACK, draft_of
from tankwright.workspace.entry_values import KINDS_BY_NAME, Entry
from tankwright.workspace.journal import Journal, writing_in

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

NAME: Final = "entries.jsonl"


def take_in_entries(folder: Path, book: Logbook) -> int:
    """Record every entry of the file that is not in the book yet; how many. Raises OSError, then it is done again."""
    place = folder / NAME
    if not place.exists():
        return 0
    with writing_in(folder):
        entries = [
            entry for line in Journal(place).news().lines if (entry := _entry(line.record)) is not None
        ]
        keys: dict[int, str] = {}
        clock = book.now
        try:
            for entry in entries:
                book.now = _at(entry.recorded)  # an entry keeps when it was recorded
                _take(book, entry, keys)
        finally:
            book.now = clock
        place.rename(_free(folder))
    return len(entries)


def _free(folder: Path) -> Path:
    number = 1
    while (place := folder / f"{NAME}.taken-in{'' if number == 1 else f'-{number}'}").exists():
        number += 1
    return place


def _at(moment: datetime) -> Callable[[], datetime]:
    return lambda: moment


def _take(book: Logbook, entry: Entry, keys: dict[int, str]) -> None:
    key = entry.key or f"{NAME}/{entry.id}"  # so that a second try takes nothing twice
    keys[entry.id] = key
    by = By(who=entry.who or "unknown", key=key)
    if entry.undoes is not None:
        voided = book.by_key(keys.get(entry.undoes, ""))
        if voided is None:
            return
        draft = Draft(
            kind="voided", happened=entry.happened, voids=voided.id, reason=TAKEN_BACK, place=voided.place
        )
    else:
        draft = draft_of(entry.kind, place=place_of(book, entry.tank, entry.recorded), value=entry.value,
                         unit=entry.unit, note=entry.note, happened=min(entry.happened, entry.recorded))  # fmt: skip
    book.record([draft], by, checked=False)


def place_of(book: Logbook, tank: str, now: datetime) -> str:
    """The id of the place of that label, opened when the book has none: what was seen must not be lost because the
    plan has a mistake. Raises OSError when it cannot be."""
    for _ in range(3):  # another may open it in the same moment
        known = book.place_labelled(tank)
        if known is not None:
            return known.id
        opened = Draft(
            kind="place_opened", happened=now, place=new_id(now), details={"label": tank, "kind": "tank"}
        )
        outcome = book.record([opened], By(who="plan"))
        if not isinstance(outcome, Refused):
            return outcome.events[0].place
    raise OSError(0, f"the place {tank} could not be opened")


def _entry(record: dict[str, Any]) -> Entry | None:
    """The entry of a record; None when it is none."""
    number, told, value, undoes = (record.get(name) for name in ("id", "kind", "value", "undoes"))
    kind = KINDS_BY_NAME.get(told) if isinstance(told, str) else None
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
