"""What events name must be there and open, and no two that are open bear one name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from sqlalchemy import Connection, select

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Event
from tankwright.logbook.ids import micros
from tankwright.logbook.refusing import problem
from tankwright.logbook.schema import THING
from tankwright.logbook.series import series_of
from tankwright.logbook.things import NAMING, OPENS, Sort, Thing, closed_at, is_closed, label_of, thing_of

UNKNOWN: Final = "LOG-04"
TAKEN: Final = "LOG-08"
CLOSED: Final = "LOG-15"

Named = tuple[Sort, str]

_BY_KEY: Final[dict[str, tuple[tuple[str, Sort], ...]]] = {
    "born": (("set", "set"),), "spawned": (("set", "set"),), "set_ended": (("set", "set"),),
    "task_done": (("task", "task"),), "task_stopped": (("task", "task"),), "tool_used": (("tool", "tool"),),
    "tool_cleaned": (("tool", "tool"),), "moved": (("tool", "tool"), ("to", "place")),
    "quarantine_opened": (("places", "place"),), "quarantine_released": (("quarantine", "quarantine"),),
    "stock_opened": (("line", "line"),), "stock_changed": (("line", "line"),),
    "line_opened": (("may_mix", "line"),), "line_changed": (("may_mix", "line"),),
}  # fmt: skip
"""Which details name a thing, or several."""

_LABELLED: Final[tuple[Sort, ...]] = ("place", "stock", "line")
_AT_ONCE: Final = 400


def named_in(event: Event) -> set[Named]:
    """All things an event names, itself what it opens."""
    places = {event.place, *(one.place for one in event.flows)}
    stocks = {event.stock, *(one.stock for one in event.flows)}
    named: set[Named] = {("place", one) for one in places} | {("stock", one) for one in stocks}
    named.add(("line", event.line))
    for key, sort in _BY_KEY.get(event.kind, ()):
        value = event.details.get(key)
        named |= {(sort, str(one)) for one in (value if isinstance(value, tuple | list) else (value or "",))}
    for part in _parts(event, "members"):
        named |= {("stock", str(part.get("stock") or "")), ("set", str(part.get("same_as") or ""))}
    for part in _parts(event, "origin"):
        named |= {
            ("set", str(part.get("breeding_set") or "")),
            ("stock", str(part.get("founders") or "")),
        }
    return {(sort, name) for sort, name in named if name}


def _parts(event: Event, key: str) -> list[Mapping[str, Any]]:
    value = event.details.get(key)
    return [one for one in value if isinstance(one, Mapping)] if isinstance(value, tuple | list) else []


def rows_named(connection: Connection, named: Sequence[Named]) -> dict[Named, Any]:
    """The rows of things by what they are."""
    found: dict[Named, Any] = {}
    names = sorted({name for _, name in named})
    for start in range(0, len(names), _AT_ONCE):
        query = select(THING).where(THING.c.id.in_(names[start : start + _AT_ONCE]))
        found |= {(row.sort, row.id): row for row in connection.execute(query)}
    return found


def name_faults(connection: Connection, events: Sequence[Event]) -> Iterator[Finding]:
    """Things that are named and not there, and fish said to be where nothing is any more."""
    made = {thing_of(event) for event in events if event.kind in OPENS}
    of_event = {event.id: sorted(named_in(event)) for event in events}
    rows = rows_named(connection, [one for named in of_event.values() for one in named])
    for event in events:
        own = thing_of(event) if event.kind in OPENS else None
        for sort, name in of_event[event.id]:
            if (sort, name) != own and (sort, name) not in made and (sort, name) not in rows:
                yield problem(UNKNOWN, event, f"names a {sort} the book does not have", found=name[:80])
        if event.kind not in NAMING:
            yield from _closed_faults(event, rows)


def _closed_faults(event: Event, rows: Mapping[Named, Any]) -> Iterator[Finding]:
    for stock, place in sorted(series_of(event)):
        of: tuple[Named, ...] = (("stock", stock), ("place", place))
        for sort, name in of:
            row = rows.get((sort, name))
            if row is None or not row.closed:
                continue
            end = closed_at(row.sort, row.data)
            if end is not None and micros(event.happened) > micros(end):
                yield problem(
                    CLOSED, event, f"is of {row.label}, which is closed", found=row.label,
                    wanted=f"a {sort} that is open",
                    remedy="void its closing first, or enter the moment at which it was still open",
                )  # fmt: skip


def label_faults(connection: Connection, things: Mapping[Named, Thing | None]) -> Iterator[Finding]:
    """No two places, stocks or lines that are open bear one name, once all of a submission stands."""
    for sort in _LABELLED:
        mine = {
            name: label_of(thing)
            for (of, name), thing in things.items()
            if of == sort and thing is not None and not is_closed(thing)
        }
        if not mine:
            continue
        bearers: dict[str, set[str]] = {label: set() for label in mine.values()}
        labels = sorted(bearers)
        for start in range(0, len(labels), _AT_ONCE):
            query = select(THING.c.id, THING.c.label).where(
                THING.c.sort == sort, THING.c.label.in_(labels[start : start + _AT_ONCE]), THING.c.closed.is_(False)
            )  # fmt: skip
            for row in connection.execute(query):
                if (sort, row.id) not in things:
                    bearers[row.label].add(row.id)
        for name, label in mine.items():
            bearers[label].add(name)
        for label, ids in sorted(bearers.items()):
            if len(ids) > 1:
                yield Finding(code=TAKEN, severity=Severity.PROBLEM, subject=f'{sort} "{label}"', found=label,
                              text=f"would be one of {len(ids)} of that name", wanted="another name")  # fmt: skip
