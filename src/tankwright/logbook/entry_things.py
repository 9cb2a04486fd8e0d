"""What a submission makes of places, lines, stocks and sets: details of the right sort, young no older than parents,
no stock its own forebear, nothing taken away under what stands on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from pydantic import ValidationError
from sqlalchemy import Connection, Select, literal_column, select

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import BreedingSet, Stock
from tankwright.logbook.entry_names import Named, rows_named
from tankwright.logbook.following import naming, naming_events, standing
from tankwright.logbook.refusing import problem
from tankwright.logbook.schema import EVENT, FLOW, THING
from tankwright.logbook.things import ADAPTERS, OPENS, Sort, Thing, label_of, thing_from, thing_of

OTHER_SORT: Final = "LOG-16"
OLDER_THAN_PARENTS: Final = "LOG-17"
OWN_FOREBEAR: Final = "LOG-18"
STOOD_ON: Final = "LOG-19"
NO_LABEL: Final = "LOG-20"


def things_after(
    connection: Connection, events: Sequence[Event], voided: Sequence[Event]
) -> tuple[dict[Named, Thing | None], tuple[Finding, ...]]:
    """What the things that a submission touches would be, None for those that would be no more; and what is wrong with
    their details."""
    gone = {event.id for event in voided}
    touched: dict[Named, list[Event]] = {}
    for event in [*events, *voided]:
        named = thing_of(event)
        if named is not None:
            mine = touched.setdefault(named, [])
            if event.id not in gone:
                mine.append(event)
    standing_now = naming_events(connection, touched)
    things: dict[Named, Thing | None] = {}
    faults: list[Finding] = []
    for (sort, name), mine in sorted(touched.items(), key=lambda one: one[0]):
        if not name:
            continue
        before = [one for one in standing_now[sort, name] if one.id not in gone]
        try:
            things[sort, name] = thing_from([*before, *mine])
        except ValidationError as error:
            faults += _detail_faults(mine or before, error)
        except (TypeError, ValueError) as error:
            first = (mine or before)[0]
            faults.append(problem(OTHER_SORT, first, "has details of another sort", found=str(error)[:120]))
    return things, tuple(faults)


def _detail_faults(events: Sequence[Event], error: ValidationError) -> Iterator[Finding]:
    for one in error.errors(include_url=False):
        path = [str(part) for part in one["loc"]]
        event = next((it for it in events if path and path[0] in it.details), events[0])
        yield problem(
            OTHER_SORT, event, f'has a "{".".join(path)}" that is of another sort', found=str(one["input"])[:80],
            wanted=_wanted(one["msg"]),
        )  # fmt: skip


def _wanted(message: str) -> str:
    return message.removeprefix("Input should be ").removeprefix("a valid ")[:120]


def thing_faults(
    connection: Connection, events: Sequence[Event], things: Mapping[Named, Thing | None]
) -> Iterator[Finding]:
    """Young that would be older than their parents, and stocks that would come from themselves."""
    known = _Known(connection, things)
    for event in events:
        named = thing_of(event)
        if named is None:
            continue
        thing = things.get(named)
        if (
            event.kind in {"stock_opened", "place_opened", "line_opened"}
            and thing is not None
            and not label_of(thing).strip()
        ):
            yield problem(NO_LABEL, event, "is called nothing", wanted="a name")
        if isinstance(thing, Stock) and (thing.origin or thing.born is not None):
            yield from _older(event, thing, known)
            if thing.origin and _own_forebear(thing.id, known):
                yield problem(OWN_FOREBEAR, event, f"would make {thing.label} its own forebear", subject=thing.label,
                              wanted="parents that do not come from it")  # fmt: skip
        elif isinstance(thing, BreedingSet):
            for child in known.young_of(thing.id):
                yield from _older(event, child, known)
                if _own_forebear(child.id, known):
                    yield problem(OWN_FOREBEAR, event, f"would make {child.label} its own forebear",
                                  subject=child.label, wanted="parents that do not come from it")  # fmt: skip


class _Known:
    """Things as they would stand, read when they are asked for."""

    def __init__(self, connection: Connection, things: Mapping[Named, Thing | None]) -> None:
        self.connection = connection
        self.things: dict[Named, Any] = dict(things)

    def many(self, named: Sequence[Named]) -> list[Any]:
        missing = [one for one in named if one not in self.things]
        rows = rows_named(self.connection, missing) if missing else {}
        for one in missing:
            row = rows.get(one)
            self.things[one] = None if row is None else ADAPTERS[one[0]].validate_python(row.data)
        return [thing for one in named if (thing := self.things[one]) is not None]

    def young_of(self, name: str) -> list[Stock]:
        """Stocks of this submission that come from a set."""
        return [
            thing for thing in self.things.values()
            if isinstance(thing, Stock) and any(share.breeding_set == name for share in thing.origin)
        ]  # fmt: skip

    def parents(self, stock: Stock) -> list[Stock]:
        """The stocks a stock comes from by the sets that had it."""
        sets: list[BreedingSet] = self.many(
            [("set", one.breeding_set) for one in stock.origin if one.breeding_set]
        )
        return self.many(
            list(dict.fromkeys(("stock", member.stock) for one in sets for member in one.members))
        )

    def forebears(self, stocks: Sequence[Stock]) -> list[Stock]:
        """The stocks one step back from these: parents, and founders they were split from."""
        named: list[Named] = [
            ("set", share.breeding_set) for one in stocks for share in one.origin if share.breeding_set
        ]
        sets: list[BreedingSet] = self.many(list(dict.fromkeys(named)))
        back: list[Named] = [("stock", member.stock) for one in sets for member in one.members]
        back += [("stock", share.founders) for one in stocks for share in one.origin if share.founders]
        return self.many(list(dict.fromkeys(back)))


def _older(event: Event, stock: Stock, known: _Known) -> Iterator[Finding]:
    if stock.born is None:
        return
    for parent in known.parents(stock):
        if parent.born is not None and parent.id != stock.id and stock.born <= parent.born:
            yield problem(
                OLDER_THAN_PARENTS, event, f"would be no younger than {parent.label}, from which it comes",
                subject=stock.label, found=stock.born.isoformat(), wanted=f"a day after {parent.born.isoformat()}",
            )  # fmt: skip


def _own_forebear(name: str, known: _Known) -> bool:
    stocks = known.many([("stock", name)])
    seen: set[str] = set()
    while stocks:
        stocks = [one for one in known.forebears(stocks) if one.id not in seen]
        seen |= {one.id for one in stocks}
        if name in seen:
            return True
    return False


def unopened_faults(
    connection: Connection, voided: Sequence[Event], things: Mapping[Named, Thing | None]
) -> Iterator[Finding]:
    """Openings that would be voided while other events stand on what they opened."""
    gone = [event.id for event in voided]
    left = [name for (sort, name), thing in things.items() if sort == "stock" and thing is None]
    for event in voided:
        named = thing_of(event) if event.kind in OPENS else None
        if named is None or things.get(named) is not None:
            continue
        sort, name = named
        if any(
            connection.execute(query.limit(1)).first() is not None
            for query in _standing_on(sort, name, gone, left)
        ):
            called = event.details.get("label") or event.details.get("name") or name
            yield Finding(
                code=STOOD_ON, severity=Severity.PROBLEM, subject=f"{sort} {called}", found=str(called),
                text="cannot be taken back: other events are of it",
                wanted="those events voided first, or one that closes it",
            )  # fmt: skip


def _standing_on(sort: Sort, name: str, gone: Sequence[str], left: Sequence[str]) -> Iterator[Select[Any]]:
    """Where other events that stand on a thing would be found; each asked by itself, so that each uses its index.
    `left` are stocks that would be no more, and so stand on no line."""
    others = (EVENT.c.id.not_in(gone), standing())
    yield select(EVENT.c.id).where(naming(name), *others)
    if sort == "place":
        yield select(EVENT.c.id).where(EVENT.c.place == name, *others)
    elif sort == "stock":
        yield select(EVENT.c.id).where(EVENT.c.stock == name, *others)
    elif sort == "line":
        yield select(THING.c.id).where(THING.c.sort == "stock", THING.c.of == name, THING.c.id.not_in(left))
    if sort in {"place", "stock"}:
        flows = select(FLOW.c.event).join(EVENT, EVENT.c.id == FLOW.c.event)
        yield flows.where(FLOW.c[sort] == name, FLOW.c[sort] != literal_column("''"), *others)
