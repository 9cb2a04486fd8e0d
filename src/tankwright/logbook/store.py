"""The logbook of one room: opened, written to in whole submissions, asked.

What is recorded is never changed. A submission is recorded whole or not at all, and twice sent is once kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, insert, literal_column, select, update

from tankwright.finding import Finding
from tankwright.husbandry.kinds import shape_faults
from tankwright.husbandry.records import Draft, Event
from tankwright.logbook.backups import back_up_before, back_up_daily
from tankwright.logbook.chain import Verified, verified
from tankwright.logbook.codec import FIRST_SEAL, seal_of
from tankwright.logbook.engine import PATIENCE, reading, writing
from tankwright.logbook.entry import entry_faults
from tankwright.logbook.following import follow
from tankwright.logbook.ids import micros, moment, new_id, new_ids
from tankwright.logbook.keepable import as_kept, keepable_faults
from tankwright.logbook.opening import open_book, require_today
from tankwright.logbook.outcome import By, NoLogbookError, Recorded, Refused
from tankwright.logbook.queries import Queries
from tankwright.logbook.rebuild import Difference, Progress, audit, rebuild
from tankwright.logbook.rows import event_row, events_of, flow_rows, observed_rows
from tankwright.logbook.schema import EVENT, FLOW, OBSERVED, VOIDED

__all__ = ["By", "Logbook", "NoLogbookError", "Recorded", "Refused", "insert_events"]

BEHIND: Final = timedelta(days=1)
"""How far a clock may stand behind what was recorded last and be taken for slow; our choice, no source."""


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

    def __init__(
        self, where: Path | str, *, now: Callable[[], datetime] = _utcnow, patience: float = PATIENCE
    ) -> None:
        """Open a file or an address; what is older is brought up to date, after a backup.

        Raises NoLogbookError for what is no logbook, is newer, or cannot be had; nothing was touched then.
        """
        opened = open_book(
            where,
            patience=patience,
            before_upgrade=lambda path, version: back_up_before(path, version, now()),
        )
        self.engine: Engine = opened.engine
        self.path = opened.path
        self.read_only = opened.read_only
        self.findings: tuple[Finding, ...] = opened.findings
        self.now = now

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    def record(self, drafts: Sequence[Draft], by: By, *, checked: bool = True) -> Recorded | Refused:
        """Record what happened: all of it or nothing.

        `checked` False is for what was made elsewhere (an offline phone of long ago, another book): it is not held
        against what the book knows; what cannot have been is then a conflict.
        """
        if not drafts:
            return Recorded(events=())
        outcome = self.record_each([(drafts, by)], checked=checked)
        return outcome if isinstance(outcome, Refused) else outcome[0]

    def record_each(
        self, submissions: Sequence[tuple[Sequence[Draft], By]], *, checked: bool = True
    ) -> tuple[Recorded, ...] | Refused:
        """Record many submissions, each under a key of its own, in one step: all that is not in the book yet, or
        nothing. Far quicker than one step each; none of them may be without drafts."""
        if self.read_only:
            return Refused(findings=self.findings)
        unkeepable = tuple(
            fault
            for drafts, by in submissions
            for fault in (*keepable_faults(drafts, by), *_without_zone(drafts))
        )
        if unkeepable:
            return Refused(findings=unkeepable)
        try:
            with writing(self.engine) as connection:
                require_today(connection)
                return tuple(
                    self._once(connection, drafts, by, checked=checked) for drafts, by in submissions
                )
        except _RefusedError as refused:
            return Refused(findings=refused.findings)
        except NoLogbookError as error:
            return Refused(findings=error.findings)

    def _once(self, connection: Connection, drafts: Sequence[Draft], by: By, *, checked: bool) -> Recorded:
        before = _repeated(connection, by.key)
        if before:
            return Recorded(events=before, repeated=True)
        return self._record(connection, drafts, by, checked=checked)

    def void(self, event: str, by: By, *, reason: str, instead: Sequence[Draft] = ()) -> Recorded | Refused:
        """Say that an event does not hold, and what does `instead`, in one step."""
        voiding = self.event(event)
        of = voiding if voiding is not None else None
        draft = Draft(
            kind="voided", happened=self.now(), voids=event, reason=reason, place=of.place if of else "",
            stock=of.stock if of else "", line=of.line if of else "",
        )  # fmt: skip
        return self.record([draft, *instead], by)

    def rebuild(self, progress: Progress | None = None) -> None:
        """Throw away all that follows from what was recorded and make it anew, as one step.

        `progress` is told how many of how many flows are done. Raises NoLogbookError when it cannot be written.
        """
        with writing(self.engine) as connection:
            require_today(connection)
            rebuild(connection, progress)

    def audit(self, progress: Progress | None = None) -> tuple[Difference, ...]:
        """Where what stands is other than what follows from the events, some at most; nothing is written."""
        with reading(self.engine) as connection:
            return audit(connection, progress)

    def verify(self, *, serial: int = 0, seal: str = "") -> Verified:
        """Whether anything was changed behind the book's back: every seal is made anew, from the first event on.

        With `serial` and `seal`, as they were printed once, also whether that event still has that seal.
        Raises NoLogbookError when the book cannot be read.
        """
        with reading(self.engine) as connection:
            return verified(connection, serial=serial, seal=seal)

    def back_up(self) -> tuple[Finding, ...]:
        """Make today's backup when there is none of today and something was recorded since the last. Only of a file:
        a server has its own. What kept it from being made; nothing raises."""
        if self.path is None or self.read_only:
            return ()
        return back_up_daily(self.path, self.now(), self.newest_serial())

    def _record(self, connection: Connection, drafts: Sequence[Draft], by: By, *, checked: bool) -> Recorded:
        serial, seal, newest, last = _end(connection)
        now = self.now()
        if newest is not None and timedelta() < newest - now < BEHIND:
            now = newest  # a clock that was set back: what is recorded later is never recorded earlier
        batch = new_id(now) if len(drafts) > 1 else ""
        names = new_ids(now, len(drafts), after=last)
        bare = [
            _event(as_kept(draft), by, name=name, serial=serial + place, recorded=now, batch=batch,
                   key=(by.key if place == 1 else f"{by.key}/{place}") if by.key else "")
            for place, (draft, name) in enumerate(zip(drafts, names, strict=True), 1)
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
        return Recorded(events=tuple(events), conflicts=follow(connection, events, voided))

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
    ):
        if rows:
            connection.execute(insert(table), rows)
    for one in kept:
        if one.voids:
            _keep_voiding(connection, one)


def _keep_voiding(connection: Connection, event: Event) -> None:
    """Two books that are put together may both have voided an event; the one recorded first is named."""
    known = connection.execute(
        select(EVENT.c.recorded, EVENT.c.id)
        .join(VOIDED, VOIDED.c.by == EVENT.c.id)
        .where(VOIDED.c.event == event.voids)
    ).first()
    if known is None:
        connection.execute(insert(VOIDED), [{"event": event.voids, "by": event.id}])
    elif (micros(event.recorded), event.id) < (known.recorded, known.id):
        connection.execute(update(VOIDED).where(VOIDED.c.event == event.voids).values(by=event.id))


def _repeated(connection: Connection, key: str) -> tuple[Event, ...]:
    """What was recorded under a key."""
    if not key:
        return ()
    first = connection.execute(select(EVENT).where(EVENT.c.key == key)).fetchall()
    if first and first[0].batch:
        query = select(EVENT).where(EVENT.c.batch == first[0].batch, EVENT.c.batch != literal_column("''"))
        first = connection.execute(query.order_by(EVENT.c.serial)).fetchall()
    return events_of(connection, first)


def _end(connection: Connection) -> tuple[int, str, datetime | None, str]:
    """The newest serial, its seal, when it was recorded, and its id."""
    row = connection.execute(
        select(EVENT.c.serial, EVENT.c.hash, EVENT.c.recorded, EVENT.c.id)
        .order_by(EVENT.c.serial.desc())
        .limit(1)
    ).first()
    return (
        (row.serial, row.hash, moment(row.recorded), row.id) if row is not None else (0, FIRST_SEAL, None, "")
    )


def _without_zone(drafts: Sequence[Draft]) -> tuple[Finding, ...]:
    """What is wrong with the shape of drafts whose moment cannot be set against any other."""
    return tuple(fault for draft in drafts if draft.happened.tzinfo is None for fault in shape_faults(draft))


def _event(
    draft: Draft, by: By, *, name: str, serial: int, recorded: datetime, batch: str, key: str
) -> Event:  # fmt: skip
    return Event(
        kind=draft.kind, happened=draft.happened, place=draft.place, stock=draft.stock, line=draft.line,
        note=draft.note, reason=draft.reason, voids=draft.voids, flows=draft.flows, observed=draft.observed,
        details=draft.details, id=name, serial=serial, recorded=recorded, who=by.who,
        device=by.device, key=key, batch=batch, offset=by.offset, plan_revision=by.plan_revision,
    )  # fmt: skip


def _sealed(event: Event, seal: str) -> Event:
    fields = {name: getattr(event, name) for name in Event.__dataclass_fields__}
    return Event(**{**fields, "hash": seal})
