"""The logbook of one room: opened, written to in whole submissions, asked.

What is recorded is never changed. A submission is recorded whole or not at all, and twice sent is once kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, insert, select
from sqlalchemy.exc import SQLAlchemyError

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Draft, Event
from tankwright.logbook.codec import FIRST_SEAL, seal_of
from tankwright.logbook.engine import engine_for, writing
from tankwright.logbook.entry import entry_faults
from tankwright.logbook.following import follow
from tankwright.logbook.ids import new_id
from tankwright.logbook.queries import Queries
from tankwright.logbook.rows import event_row, events_of, flow_rows, observed_rows
from tankwright.logbook.schema import EVENT, FLOW, METADATA, OBSERVED, VOIDED

NOT_KEPT: Final = "LOG-09"


@dataclass(frozen=True, slots=True, kw_only=True)
class By:
    """Who records: `key` is a text of the sender's own for one submission, so that it may be sent again."""

    who: str
    device: str = ""
    key: str = ""
    offset: int = 0
    plan_revision: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """The events stand. `repeated`: their key had come before, and these were recorded then."""

    events: tuple[Event, ...]
    repeated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """Nothing was recorded; why."""

    findings: tuple[Finding, ...]


class _RefusedError(Exception):
    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__(findings)
        self.findings = findings


def _utcnow() -> datetime:
    return datetime.now(UTC)


class Logbook(Queries):
    """One logbook. It may be shared by threads; other processes may write to the same one meanwhile.

    >>> import tempfile
    >>> from tankwright.husbandry.facts import Tally, came, counted
    >>> folder = tempfile.TemporaryDirectory()
    >>> book = Logbook(Path(folder.name) / "logbook.sqlite")
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> opened = book.record([
    ...     Draft(kind="place_opened", happened=at, place="a1", details={"label": "A1", "kind": "tank"}),
    ...     Draft(kind="stock_opened", happened=at, stock="s1", details={"label": "S1", "kind": "group"}),
    ...     came("arrived", "s1", "a1", Tally(number=12), at)], By(who="Ada"))
    >>> counting = book.record([counted("s1", "a1", 11, at.replace(day=9))], By(who="Ada"))
    >>> [(one.stock, one.place, one.held) for one in book.holdings()]
    [('s1', 'a1', 11)]
    >>> book.close(); folder.cleanup()
    """

    def __init__(self, where: Path | str, *, now: Callable[[], datetime] = _utcnow) -> None:
        self.engine: Engine = engine_for(where)
        self.now = now
        METADATA.create_all(self.engine)

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    def record(self, drafts: Sequence[Draft], by: By, *, checked: bool = True) -> Recorded | Refused:
        """Record what happened: all of it or nothing.

        `checked` False is for what was made elsewhere (an offline phone of long ago, another book): it is not held
        against what the book knows; what cannot have been is then a conflict.
        """
        try:
            with writing(self.engine) as connection:
                before = _repeated(connection, by.key)
                if before:
                    return Recorded(events=before, repeated=True)
                return Recorded(events=self._record(connection, drafts, by, checked=checked))
        except _RefusedError as refused:
            return Refused(findings=refused.findings)
        except SQLAlchemyError as error:
            return Refused(findings=(_not_kept(error),))

    def void(self, event: str, by: By, *, reason: str, instead: Sequence[Draft] = ()) -> Recorded | Refused:
        """Say that an event does not hold, and what does `instead`, in one step."""
        voiding = self.event(event)
        of = voiding if voiding is not None else None
        draft = Draft(
            kind="voided", happened=self.now(), voids=event, reason=reason, place=of.place if of else "",
            stock=of.stock if of else "", line=of.line if of else "",
        )  # fmt: skip
        return self.record([draft, *instead], by)

    def _record(
        self, connection: Connection, drafts: Sequence[Draft], by: By, *, checked: bool
    ) -> tuple[Event, ...]:
        now = self.now()
        serial, seal = _end(connection)
        batch = new_id(now) if len(drafts) > 1 else ""
        bare = [
            _event(draft, by, serial=serial + place, recorded=now, batch=batch,
                   key=(by.key if place == 1 else f"{by.key}/{place}") if by.key else "")
            for place, draft in enumerate(drafts, 1)
        ]  # fmt: skip
        faults = tuple(entry_faults(connection, bare, now, checked=checked))
        if faults:
            raise _RefusedError(faults)
        events = []
        for event in bare:
            seal = seal_of(event, seal)
            events.append(_sealed(event, seal))
        insert_events(connection, events)
        voided = self._voided_by(connection, events)
        follow(connection, events, voided)
        return tuple(events)

    @staticmethod
    def _voided_by(connection: Connection, events: Sequence[Event]) -> tuple[Event, ...]:
        ids = [event.voids for event in events if event.voids]
        if not ids:
            return ()
        return events_of(connection, connection.execute(select(EVENT).where(EVENT.c.id.in_(ids))).fetchall())


def insert_events(connection: Connection, events: Iterable[Event]) -> None:
    """Write events as they are, with their flows, readings and voidings; nothing that follows from them."""
    kept = list(events)
    connection.execute(insert(EVENT), [event_row(one) for one in kept])
    for table, rows in (
        (FLOW, [row for one in kept for row in flow_rows(one)]),
        (OBSERVED, [row for one in kept for row in observed_rows(one)]),
        (VOIDED, [{"event": one.voids, "by": one.id} for one in kept if one.voids]),
    ):
        if rows:
            connection.execute(insert(table), rows)


def _repeated(connection: Connection, key: str) -> tuple[Event, ...]:
    """What was recorded under a key."""
    if not key:
        return ()
    first = connection.execute(select(EVENT).where(EVENT.c.key == key)).fetchall()
    if first and first[0].batch:
        query = select(EVENT).where(EVENT.c.serial >= first[0].serial, EVENT.c.batch == first[0].batch)
        first = connection.execute(query.order_by(EVENT.c.serial)).fetchall()
    return events_of(connection, first)


def _end(connection: Connection) -> tuple[int, str]:
    """The newest serial and its seal."""
    row = connection.execute(
        select(EVENT.c.serial, EVENT.c.hash).order_by(EVENT.c.serial.desc()).limit(1)
    ).first()
    return (row.serial, row.hash) if row is not None else (0, FIRST_SEAL)


def _event(draft: Draft, by: By, *, serial: int, recorded: datetime, batch: str, key: str) -> Event:
    return Event(
        kind=draft.kind, happened=draft.happened, place=draft.place, stock=draft.stock, line=draft.line,
        note=draft.note, reason=draft.reason, voids=draft.voids, flows=draft.flows, observed=draft.observed,
        details=draft.details, id=new_id(recorded), serial=serial, recorded=recorded, who=by.who,
        device=by.device, key=key, batch=batch, offset=by.offset, plan_revision=by.plan_revision,
    )  # fmt: skip


def _sealed(event: Event, seal: str) -> Event:
    fields = {name: getattr(event, name) for name in Event.__dataclass_fields__}
    return Event(**{**fields, "hash": seal})


def _not_kept(error: SQLAlchemyError) -> Finding:
    cause = getattr(error, "orig", None) or error
    return Finding(
        code=NOT_KEPT, severity=Severity.PROBLEM, subject="logbook", text="could not be written; nothing was kept",
        found=str(cause).splitlines()[0][:200], wanted="a disk with room that may be written",
    )  # fmt: skip
