"""An export is put into a book: an empty one becomes as the other was, one with events of its own is put together
with it. Nothing is lost on either side; where both say different things of one event, both are kept and it is said.

What comes out does not hang on which book was put into which: events keep their names and times, and all that follows
from events is made from them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import islice
from typing import Any, Final

from sqlalchemy import Connection, func, select

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Draft, Event
from tankwright.husbandry.register import ConflictFound
from tankwright.logbook.backups import back_up_before
from tankwright.logbook.codec import FIRST_SEAL, plain_of, seal_of
from tankwright.logbook.engine import reading, writing
from tankwright.logbook.exchange_reading import Export
from tankwright.logbook.following import follow
from tankwright.logbook.opening import require_today
from tankwright.logbook.outcome import By, NoLogbookError, Refused, trouble
from tankwright.logbook.pictures import Pictures
from tankwright.logbook.rebuild import rebuild
from tankwright.logbook.rows import events_of
from tankwright.logbook.schema import EVENT, FLOW, THING
from tankwright.logbook.store import Logbook, insert_events

DIFFERS: Final = "LOG-37"
TWINS: Final = "LOG-38"
_AT_ONCE: Final = 500
_FOLLOWED: Final = (
    1_000  # so many new events are followed one by one; with more all that follows is made anew
)
_IMPORT: Final = By(who="import")


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What an import did, or with `preview` would do. `known` events were there already. `findings` list where the two
    books differ, and what is called the same twice; `conflicts` what cannot have been since they are one."""

    events: int
    added: int
    known: int
    pictures: int = 0
    preview: bool = False
    findings: tuple[Finding, ...] = ()
    conflicts: tuple[ConflictFound, ...] = ()


class _PreviewError(Exception):
    """Raised to have a transaction taken back."""


@dataclass(slots=True)
class _Merge:
    serial: int
    seal: str
    known: int = 0
    other_names: dict[str, str] = field(default_factory=dict)
    added: list[Event] = field(default_factory=list)
    count: int = 0
    findings: list[Finding] = field(default_factory=list)


def import_export(book: Logbook, pictures: Pictures, export: Export, *, preview: bool = False) -> Imported:
    """Put an export, which was looked through when it was opened, into a book: all of it or nothing.

    A book that is a file is backed up first. Raises NoLogbookError when it cannot be written.
    """
    if book.read_only:
        raise NoLogbookError(*book.findings)
    before = book.newest_serial()
    if before and book.path is not None and not preview:
        back_up_before(book.path, "import", book.now())
    stood = set(book.conflicts())
    kept = sum(isinstance(pictures.keep(one), str) for one in export.pictures()) if not preview else 0
    done = _Merge(serial=0, seal=FIRST_SEAL)
    try:
        with writing(book.engine) as connection:
            require_today(connection)
            _merge(connection, export, done)
            if preview:
                raise _PreviewError
    except _PreviewError:
        pass
    findings = [*done.findings, *(() if preview else _twins(book))]
    return Imported(
        events=export.manifest.events, added=done.count, known=done.known, pictures=kept, preview=preview,
        findings=tuple(findings),
        conflicts=() if preview else tuple(one for one in book.conflicts() if one not in stood),
    )  # fmt: skip


def _merge(connection: Connection, export: Export, done: _Merge) -> None:
    newest = connection.execute(
        select(EVENT.c.serial, EVENT.c.hash).order_by(EVENT.c.serial.desc()).limit(1)
    ).first()
    if newest is not None:
        done.serial, done.seal = newest.serial, newest.hash
    for part in _parts(export.events()):
        new = part if newest is None else list(_new(connection, part, done))
        if new:
            insert_events(connection, new)
        done.count += len(new)
        done.added = [*done.added, *new] if done.count <= _FOLLOWED else []
    if done.count > _FOLLOWED:
        rebuild(connection)
    elif done.count:
        _follow(connection, done.added)


def _follow(connection: Connection, added: list[Event]) -> None:
    mine = {one.id for one in added}
    voids = {one.voids for one in added if one.voids}
    rows = connection.execute(select(EVENT).where(EVENT.c.id.in_(sorted(voids - mine)))).fetchall()
    follow(connection, [one for one in added if one.id not in voids], events_of(connection, rows))


def _new(connection: Connection, part: list[Event], done: _Merge) -> Iterator[Event]:
    """Of some events of the other book those this one lacks, numbered and sealed as its next."""
    by_id = _stored(connection, EVENT.c.id, [one.id for one in part])
    by_key = _stored(connection, EVENT.c.key, [one.key for one in part if one.key])
    keys = {one.key: one for one in by_key.values()}
    for one in part:
        event = replace(one, voids=done.other_names.get(one.voids, one.voids))
        there = by_id.get(event.id)
        if there is not None:
            done.known += 1
            if _said(there, without=("key",)) != _said(event, without=("key",)):
                done.findings.append(_differs(there, event, "the first book's stands"))
            continue
        same = keys.get(event.key) if event.key else None
        if same is not None:
            if _said(same, without=_OWN) == _said(event, without=_OWN):
                done.other_names[event.id] = same.id  # one submission, sent to both books
                done.known += 1
                continue
            done.findings.append(_differs(same, event, "both were kept"))
            event = replace(event, key="")
        event = replace(event, serial=done.serial + 1)
        done.seal = seal_of(event, done.seal)
        done.serial += 1
        event = replace(event, hash=done.seal)
        by_id[event.id] = event
        if event.key:
            keys[event.key] = event
        yield event


_OWN: Final = ("id", "key", "batch", "recorded", "plan_revision")
"""What each book gives an event by itself, when one submission was sent to both."""


def _said(event: Event, *, without: Iterable[str]) -> dict[str, Any]:
    return {key: one for key, one in plain_of(event).items() if key != "serial" and key not in without}


def _stored(connection: Connection, column: Any, names: list[str]) -> dict[str, Event]:
    rows = connection.execute(select(EVENT).where(column.in_(names))).fetchall() if names else []
    return {one.id: one for one in events_of(connection, rows)}


def _parts(events: Iterator[Event]) -> Iterator[list[Event]]:
    while part := list(islice(events, _AT_ONCE)):
        yield part


def _twins(book: Logbook) -> list[Finding]:
    """What is called the same twice. Of two places of one name one that was never lived in is closed."""
    findings = []
    closing = []
    with reading(book.engine) as connection:
        twice = connection.execute(
            select(THING.c.sort, THING.c.label)
            .where(THING.c.closed.is_(False), THING.c.label != "", THING.c.sort.in_(("place", "stock", "line")))
            .group_by(THING.c.sort, THING.c.label).having(func.count() > 1).order_by(THING.c.sort, THING.c.label)
        ).fetchall()  # fmt: skip
        for sort, label in twice:
            ids = list(connection.execute(
                select(THING.c.id)
                .where(THING.c.sort == sort, THING.c.label == label, THING.c.closed.is_(False)).order_by(THING.c.id)
            ).scalars())  # fmt: skip
            unused = [one for one in ids if sort == "place" and not _lived_in(connection, one)]
            unused = unused[1:] if len(unused) == len(ids) else unused
            closing += unused
            if len(ids) - len(unused) > 1:
                findings.append(trouble(
                    TWINS, f"is the name of {len(ids) - len(unused)} {sort}s that are kept", subject=label,
                    severity=Severity.WARNING, wanted=f"one {sort} of a name",
                    remedy="rename one, or move all from one to the other and close it",
                ))  # fmt: skip
    if closing:
        now = book.now()
        outcome = book.record(
            [Draft(kind="place_closed", happened=now, place=one, reason="stood for another of its name")
             for one in closing], _IMPORT,
        )  # fmt: skip
        if isinstance(outcome, Refused):
            findings += outcome.findings
    return findings


def _lived_in(connection: Connection, place: str) -> bool:
    """True when anything ever happened there."""
    for query in (
        select(EVENT.c.id).where(EVENT.c.place == place, EVENT.c.kind.not_in(("place_opened", "place_changed"))),
        select(FLOW.c.event).where(FLOW.c.place == place),
    ):  # fmt: skip
        if connection.execute(query.limit(1)).first() is not None:
            return True
    return False


def _differs(there: Event, event: Event, then: str) -> Finding:
    return trouble(
        DIFFERS, f"is told in two ways by the two books; {then}", severity=Severity.WARNING,
        subject=f"{there.kind} of {there.happened:%Y-%m-%d}", found=f"number {event.serial} of the export",
        wanted=f"as number {there.serial} here", remedy="look at both; void the one that does not hold",
    )  # fmt: skip
