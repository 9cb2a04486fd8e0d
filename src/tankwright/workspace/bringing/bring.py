"""A table brought into a logbook: looked at first, then recorded row by row, each once, and taken back whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256
from typing import Final

from tankwright.finding import Finding
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By, Recorded, Refused
from tankwright.workspace.bringing.columns import TableReading, changed_reading, guessed_reading
from tankwright.workspace.bringing.rows import Known, Understood, understood_rows
from tankwright.workspace.bringing.tables import Table, read_table
from tankwright.workspace.log import RoomLog

AT_ONCE: Final = 200  # rows recorded in one step


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """A table as it is understood. `mark` names the file and its sheet; `wrong` are the rows that are not."""

    mark: str
    table: Table
    reading: TableReading
    understood: tuple[Understood, ...]
    wrong: tuple[Finding, ...]

    @property
    def events(self) -> int:
        """How many events would be recorded."""
        return sum(len(one.drafts) for one in self.understood)


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """What was recorded: `events` new ones; of `repeated` rows, which had come before, none. `stopped` says why not
    all was."""

    events: int
    repeated: int
    stopped: Finding | None = None


def look(
    log: RoomLog, name: str, content: bytes, said: Mapping[str, str], *, sheet: str = "",
    progress: Callable[[int, int], None] | None = None,
) -> Looked | Finding:  # fmt: skip
    """A file as it would be brought in; nothing is recorded. `said` is what its owner says of the columns."""
    table = read_table(name, content, sheet=sheet)
    if isinstance(table, Finding):
        return table
    known = _known(log)
    reading = changed_reading(guessed_reading(table, frozenset(known.places)), said)
    understood, wrong = understood_rows(table, reading, known, progress)
    mark = sha256(content + sheet.encode("utf-8", "replace")).hexdigest()[:20]
    return Looked(mark=mark, table=table, reading=reading, understood=understood, wrong=wrong)


def bring_in(
    log: RoomLog, looked: Looked, *, who: str, progress: Callable[[int, int], None] | None = None
) -> Brought:
    """Record all that was understood, many rows in one step; what was recorded when it is stopped stands.

    A row is known by what it says: in a mended file, or in the same one again, what stands already stays once. A row
    that contradicts the book, such as a death where no fish was, is recorded and listed as a conflict.
    """
    events = repeated = 0
    keyed = _keyed(looked, who)
    for start in range(0, len(keyed), AT_ONCE):
        if progress is not None:
            progress(start, len(keyed))
        part: list[tuple[tuple[Draft, ...], By]] = keyed[start : start + AT_ONCE]
        while part:
            outcome = log.book.record_each(part, checked=False)
            if isinstance(outcome, Refused):
                return Brought(events=events, repeated=repeated, stopped=outcome.findings[0])
            events += sum(len(one.events) for one in outcome if not one.repeated)
            before = [(one, sent) for one, sent in zip(outcome, part, strict=True) if one.repeated]
            part = _taken_back_before(log, before)
            repeated += len(before) - len(part)
    return Brought(events=events, repeated=repeated)


def _taken_back_before(
    log: RoomLog, before: Sequence[tuple[Recorded, tuple[tuple[Draft, ...], By]]]
) -> list[tuple[tuple[Draft, ...], By]]:
    """Of the rows that were in the book before, those that were taken back meanwhile, under another key."""
    from tankwright.logbook.listing import voided_by  # noqa: PLC0415 - its database is loaded when a book is opened

    voided = voided_by(log.book, [event.id for one, _ in before for event in one.events])
    return [
        (drafts, replace(by, key=f"{by.key}+"))
        for one, (drafts, by) in before if all(event.id in voided for event in one.events)
    ]  # fmt: skip


def _keyed(looked: Looked, who: str) -> list[tuple[tuple[Draft, ...], By]]:
    """Each row with a key made of its cells, its columns, and how many rows above it say the same."""
    rows = dict(looked.table.rows)
    seen: Counter[str] = Counter()
    found = []
    for one in sorted(looked.understood, key=lambda row: row.row):
        if not one.drafts:
            continue
        cells = [(role, cell) for role, cell in zip(looked.reading.roles, rows[one.row], strict=True) if role]
        said = sha256(repr((looked.reading.sort, cells)).encode("utf-8", "replace")).hexdigest()[:32]
        seen[said] += 1
        key = f"row/{said}/{seen[said]}"
        found.append((one.row, (one.drafts, By(who=who, device=f"table {looked.mark}", key=key))))
    order = {one.row: place for place, one in enumerate(looked.understood)}
    return [submission for _, submission in sorted(found, key=lambda row: order[row[0]])]


def take_back(log: RoomLog, mark: str, *, who: str, reason: str) -> int | Finding:
    """Void everything that was brought in from a table, in one step; how many events that were."""
    standing = log.book.events_from(f"table {mark}")
    now = log.now()
    drafts = [
        Draft(kind="voided", happened=now, voids=one.id, reason=reason, place=one.place, stock=one.stock, line=one.line)
        for one in reversed(standing)
    ]  # fmt: skip
    if not drafts:
        return 0
    outcome = log.book.record(drafts, By(who=who), checked=False)
    return outcome.findings[0] if isinstance(outcome, Refused) else len(drafts)


def _known(log: RoomLog) -> Known:
    living: dict[str, list[str]] = {}
    for one in log.book.holdings():
        if one.held > 0:
            living.setdefault(one.place, []).append(one.stock)
    now = log.now()
    zone = datetime.now().astimezone().tzinfo
    assert zone is not None
    return Known(
        places={one.label: one.id for one in log.book.places()}, lines={one.name: one.id for one in log.book.lines()},
        stocks={one.label: one.id for one in log.book.stocks()},
        living={place: tuple(stocks) for place, stocks in living.items()}, now=now, zone=zone, new_id=log.new_id,
    )  # fmt: skip
