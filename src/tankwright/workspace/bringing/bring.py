"""A table brought into a logbook: looked at first, then recorded in parts that may be sent again, then taken back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Final

from tankwright.finding import Finding
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By, Refused
from tankwright.workspace.bringing.columns import TableReading, changed_reading, guessed_reading
from tankwright.workspace.bringing.rows import Known, Understood, understood_rows
from tankwright.workspace.bringing.tables import Table, read_table
from tankwright.workspace.log import RoomLog

AT_ONCE: Final = 400  # rows recorded in one step


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """A table as it is understood. `mark` names it and the way it is read; `wrong` are the rows that are not."""

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
    """What was recorded: `events` new ones; of `repeated` parts, which had come before, none. `stopped` says why not
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
    mark = sha256(b"\n".join((content, sheet.encode(), repr(reading).encode()))).hexdigest()[:20]
    return Looked(mark=mark, table=table, reading=reading, understood=understood, wrong=wrong)


def bring_in(
    log: RoomLog, looked: Looked, *, who: str, progress: Callable[[int, int], None] | None = None
) -> Brought:
    """Record all that was understood, in parts: each stands whole or not at all, and brought in again it stays once.

    A row that contradicts the book, such as a death where no fish was, is recorded and listed as a conflict.
    """
    events = repeated = 0
    for start in range(0, len(looked.understood), AT_ONCE):
        if progress is not None:
            progress(start, len(looked.understood))
        drafts = [draft for one in looked.understood[start : start + AT_ONCE] for draft in one.drafts]
        if not drafts:
            continue
        key = f"brought/{looked.mark}/{start // AT_ONCE}"
        outcome = log.book.record(drafts, By(who=who, device="table", key=key), checked=False)
        if isinstance(outcome, Refused):
            return Brought(events=events, repeated=repeated, stopped=outcome.findings[0])
        if outcome.repeated:
            repeated += 1
        else:
            events += len(outcome.events)
    return Brought(events=events, repeated=repeated)


def take_back(log: RoomLog, mark: str, *, who: str, reason: str) -> int | Finding:
    """Void everything that was brought in under a mark, in one step; how many events that were."""
    standing = log.book.events_keyed(f"brought/{mark}/")
    now = log.now()
    drafts = [
        Draft(kind="voided", happened=now, voids=one.id, reason=reason, place=one.place, stock=one.stock, line=one.line)
        for one in reversed(standing)
    ]  # fmt: skip
    if not drafts:
        return 0
    outcome = log.book.record(drafts, By(who=who, key=f"unbrought/{mark}"), checked=False)
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
