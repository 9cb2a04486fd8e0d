"""What a logbook is asked: events, numbers held, things, readings, what is due."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, cast

from sqlalchemy import Engine, Text, func, or_, select
from sqlalchemy import cast as sql_cast

from tankwright.husbandry.balance_sheet import Moved
from tankwright.husbandry.records import Account, Event, Kind
from tankwright.husbandry.register import (
    BreedingSet,
    ConflictFound,
    DueTask,
    Holding,
    Line,
    Place,
    Quarantine,
    Stock,
    Task,
    Tool,
)
from tankwright.logbook.census import holdings_then
from tankwright.logbook.engine import reading
from tankwright.logbook.flowed import flowed, flowed_around
from tankwright.logbook.following import standing
from tankwright.logbook.ids import micros, moment
from tankwright.logbook.rows import events_of
from tankwright.logbook.schema import BALANCE, CONFLICT, DUE, EVENT, OBSERVED, THING
from tankwright.logbook.things import Sort, thing_said

_TEXT: Final = sql_cast(THING.c.data, Text).label("text")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One value that was read: of which place, when."""

    place: str
    quantity: str
    happened: datetime
    value: float | None
    low: float | None
    high: float | None
    unit: str
    method: str
    event: str
    stock: str = ""


class Queries:
    """The questions of a logbook; each is answered from one state of it."""

    engine: Engine

    # --- events --------------------------------------------------------------------------------------------

    def event(self, name: str) -> Event | None:
        """The event of that id."""
        with reading(self.engine) as connection:
            rows = connection.execute(select(EVENT).where(EVENT.c.id == name)).fetchall()
            return next(iter(events_of(connection, rows)), None)

    def by_key(self, key: str) -> Event | None:
        """The event that came with that key."""
        with reading(self.engine) as connection:
            rows = connection.execute(select(EVENT).where(EVENT.c.key == key)).fetchall() if key else []
            return next(iter(events_of(connection, rows)), None)

    def events(  # noqa: PLR0913 - each narrows what is found
        self, *, place: str | None = None, stock: str | None = None, line: str | None = None,
        kinds: Collection[Kind] = (), since: datetime | None = None, until: datetime | None = None,
        limit: int | None = None, only_standing: bool = True, newest_first: bool = False,
    ) -> tuple[Event, ...]:  # fmt: skip
        """Events in the order they happened, narrowed by whatever is given.

        `place` finds only events that are of it by themselves, not moves that led to it (`moves_into` has those).
        """
        query = select(EVENT)
        for column, wanted in ((EVENT.c.place, place), (EVENT.c.stock, stock), (EVENT.c.line, line)):
            if wanted is not None:
                query = query.where(column == wanted)
        if kinds:
            query = query.where(EVENT.c.kind.in_(tuple(kinds)))
        if since is not None:
            query = query.where(EVENT.c.happened >= micros(since))
        if until is not None:
            query = query.where(EVENT.c.happened <= micros(until))
        if only_standing:
            query = query.where(standing())
        order = (EVENT.c.happened, EVENT.c.recorded, EVENT.c.id)
        query = query.order_by(*(one.desc() for one in order)) if newest_first else query.order_by(*order)
        if limit is not None:
            query = query.limit(limit)
        with reading(self.engine) as connection:
            return events_of(connection, connection.execute(query).fetchall())

    def events_from(self, device: str) -> tuple[Event, ...]:
        """What stands of all that came from a device, in the order of the book."""
        with reading(self.engine) as connection:
            query = select(EVENT).where(EVENT.c.device == device, standing())
            return events_of(connection, connection.execute(query.order_by(EVENT.c.serial)).fetchall())

    def count_events(self) -> int:
        """How many events the book has."""
        with reading(self.engine) as connection:
            return int(connection.execute(select(func.count()).select_from(EVENT)).scalar_one())

    def newest_serial(self) -> int:
        """The serial of what was recorded last, 0 for an empty book: another one means that something was added."""
        with reading(self.engine) as connection:
            return int(connection.execute(select(func.coalesce(func.max(EVENT.c.serial), 0))).scalar_one())

    def moved(
        self, *, stock: str | None = None, place: str | None = None, accounts: Collection[Account] = (),
        since: datetime | None = None, until: datetime | None = None,
    ) -> tuple[Moved, ...]:  # fmt: skip
        """Everything that flowed, and what follows from counts, in the order it happened."""
        with reading(self.engine) as connection:
            return flowed(connection, stock=stock, place=place, accounts=accounts, since=since, until=until)

    def moved_around(
        self, *, stocks: Collection[str] = (), places: Collection[str] = ()
    ) -> tuple[Moved, ...]:
        """All flows of events that touch any of these, both ends, with what follows from their counts: what a balance
        sheet of them is made of. Without any, of the whole room."""
        with reading(self.engine) as connection:
            return flowed_around(connection, stocks, places)

    # --- fish ----------------------------------------------------------------------------------------------

    def holdings(self, *, place: str | None = None, stock: str | None = None) -> tuple[Holding, ...]:
        """How many of which stock are where, now."""
        some = or_(BALANCE.c.held != 0, BALANCE.c.high != 0)
        query = select(BALANCE).where(some).order_by(BALANCE.c.place, BALANCE.c.stock)
        if place is not None:
            query = query.where(BALANCE.c.place == place)
        if stock is not None:
            query = query.where(BALANCE.c.stock == stock)
        with reading(self.engine) as connection:
            return tuple(
                Holding(stock=row.stock, place=row.place, held=row.held, low=row.low, high=row.high,
                        estimated=row.low != row.high, since=None if row.since is None else moment(row.since))
                for row in connection.execute(query)
            )  # fmt: skip

    def holdings_at(self, at: datetime) -> tuple[Holding, ...]:
        """How many of which stock were where at that moment, as far as is known today."""
        with reading(self.engine) as connection:
            return holdings_then(connection, at)

    def conflicts(self) -> tuple[ConflictFound, ...]:
        """What cannot have been, oldest first."""
        with reading(self.engine) as connection:
            return tuple(
                ConflictFound(stock=row.stock, place=row.place, since=moment(row.since), least=row.least,
                              until=None if row.until is None else moment(row.until), event=row.event)
                for row in connection.execute(select(CONFLICT).order_by(CONFLICT.c.since))
            )  # fmt: skip

    # --- things --------------------------------------------------------------------------------------------

    def places(self, *, closed: bool = False) -> tuple[Place, ...]:
        """All places in walking order; those that are no more only when asked for."""
        places = cast("tuple[Place, ...]", self._things("place", closed=closed))
        return tuple(sorted(places, key=lambda one: (one.order, one.label)))

    def place(self, name: str) -> Place | None:
        """The place of that id."""
        return cast("Place | None", self._thing("place", name))

    def place_labelled(self, label: str) -> Place | None:
        """The place that is called so now."""
        return cast("Place | None", self._labelled("place", label))

    def lines(self) -> tuple[Line, ...]:
        """All lines by name."""
        return cast("tuple[Line, ...]", self._things("line"))

    def line(self, name: str) -> Line | None:
        """The line of that id."""
        return cast("Line | None", self._thing("line", name))

    def stocks(self, *, line: str | None = None, closed: bool = False) -> tuple[Stock, ...]:
        """Stocks by label; those at their end only when asked for."""
        return cast("tuple[Stock, ...]", self._things("stock", of=line, closed=closed))

    def stock(self, name: str) -> Stock | None:
        """The stock of that id."""
        return cast("Stock | None", self._thing("stock", name))

    def stock_labelled(self, label: str) -> Stock | None:
        """The stock that is called so now."""
        return cast("Stock | None", self._labelled("stock", label))

    def sets(self, *, closed: bool = True) -> tuple[BreedingSet, ...]:
        """All breeding sets, ended ones too: what was bred from them still comes from them."""
        return cast("tuple[BreedingSet, ...]", self._things("set", closed=closed))

    def tools(self) -> tuple[Tool, ...]:
        """All tools."""
        return cast("tuple[Tool, ...]", self._things("tool"))

    def quarantines(self, *, closed: bool = False) -> tuple[Quarantine, ...]:
        """Places that are shut off; those released only when asked for."""
        return cast("tuple[Quarantine, ...]", self._things("quarantine", closed=closed))

    def tasks(self, *, place: str | None = None, closed: bool = False) -> tuple[Task, ...]:
        """Work that comes again."""
        return cast("tuple[Task, ...]", self._things("task", of=place, closed=closed))

    def due(self, until: datetime) -> tuple[DueTask, ...]:
        """Work due until then, what waits longest first."""
        said = select(_TEXT).where(THING.c.sort == "task", THING.c.id == DUE.c.task).scalar_subquery()
        # the task is looked up of what is due: a join would look up what is due of every task
        query = (
            select(DUE.c.due, DUE.c.last, said)
            .where(DUE.c.due <= micros(until))
            .order_by(DUE.c.due, DUE.c.task)
        )
        with reading(self.engine) as connection:
            return tuple(
                DueTask(task=cast("Task", thing_said("task", text)), due=moment(due),
                        last=None if last is None else moment(last))
                for due, last, text in connection.execute(query) if text is not None
            )  # fmt: skip

    def _things(self, sort: Sort, *, of: str | None = None, closed: bool = False) -> tuple[Any, ...]:
        query = select(_TEXT, THING.c.label, THING.c.id).where(THING.c.sort == sort)
        if of is not None:
            query = query.where(THING.c.of == of)
        if not closed:
            query = query.where(THING.c.closed.is_(False))
        with reading(self.engine) as connection:
            # put in order here: asked of the database, it reads all things in order to find a few
            rows = sorted(connection.execute(query), key=lambda row: (row.label, row.id))
        return tuple(thing_said(sort, row.text) for row in rows)

    def _thing(self, sort: Sort, name: str) -> Any:
        query = select(_TEXT).where(THING.c.sort == sort, THING.c.id == name)
        with reading(self.engine) as connection:
            row = connection.execute(query).first()
        return None if row is None else thing_said(sort, row.text)

    def _labelled(self, sort: Sort, label: str) -> Any:
        query = select(_TEXT).where(THING.c.sort == sort, THING.c.label == label, THING.c.closed.is_(False))
        with reading(self.engine) as connection:
            row = connection.execute(query).first()
        return None if row is None else thing_said(sort, row.text)

    # --- readings ------------------------------------------------------------------------------------------

    def readings(
        self, *, place: str | None = None, quantities: Collection[str] = (), since: datetime | None = None,
        until: datetime | None = None,
    ) -> tuple[Reading, ...]:  # fmt: skip
        """What was read, in the order it happened."""
        query = select(OBSERVED).join(EVENT, EVENT.c.id == OBSERVED.c.event).where(standing())
        if place is not None:
            query = query.where(OBSERVED.c.place == place)
        if quantities:
            query = query.where(OBSERVED.c.quantity.in_(tuple(quantities)))
        if since is not None:
            query = query.where(OBSERVED.c.happened >= micros(since))
        if until is not None:
            query = query.where(OBSERVED.c.happened <= micros(until))
        query = query.order_by(OBSERVED.c.happened, OBSERVED.c.event, OBSERVED.c.number)
        with reading(self.engine) as connection:
            return tuple(
                Reading(place=row.place, quantity=row.quantity, happened=moment(row.happened), value=row.value,
                        low=row.low, high=row.high, unit=row.unit, method=row.method, event=row.event,
                        stock=row.stock)
                for row in connection.execute(query)
            )  # fmt: skip
