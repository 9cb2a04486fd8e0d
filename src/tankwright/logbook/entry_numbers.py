"""Fish taken from where there are not so many, and things closed while fish are in them.

Refused when entered as it happens. What is typed in later, and the correction of what is not the last that was said,
stands and is listed as a conflict.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from sqlalchemy import Connection, select

from tankwright.finding import Finding
from tankwright.husbandry.ledger import Folded, Step, fold, held_after, in_order
from tankwright.husbandry.records import Event
from tankwright.logbook.ids import micros
from tankwright.logbook.refusing import problem
from tankwright.logbook.schema import BALANCE, THING
from tankwright.logbook.series import Key, Series, by_series, known_of, steps_of_event, steps_of_series

NOT_SO_MANY: Final = "LEDGER-01"
STILL_HELD: Final = "LEDGER-04"


def number_faults(
    connection: Connection, events: Sequence[Event], voided: Sequence[Event]
) -> Iterator[Finding]:
    """What takes more than there is, each series as a submission with its voidings would leave it."""
    gone = by_series(voided)
    for series, mine in sorted(by_series(events).items()):
        there, last = _before(connection, series, gone.get(series, []))
        if last is not None and any(micros(event.happened) < last[0] for event in mine):
            continue
        steps = in_order(step for event in mine for step in steps_of_event(event, series))
        after = fold(steps, there)
        known = there.short
        stood = known_of(connection, series)[0].short if series in gone else None
        for short in after.shortages:
            if known is not None and short.since == known.since and short.least == known.least:
                continue  # it was so before
            if stood is not None and short.least >= stood.least:
                continue  # what is put right stands no worse than what it takes the place of
            yield _fault(connection, series, mine, steps, there)
            break


def _before(connection: Connection, series: Series, voided: Sequence[Event]) -> tuple[Folded, Key | None]:
    if not voided:
        return known_of(connection, series)
    steps = steps_of_series(connection, series, {event.id for event in voided})
    last = (steps[-1].at, steps[-1].recorded, steps[-1].event) if steps else None
    return fold(steps), last


def _fault(
    connection: Connection, series: Series, events: Sequence[Event], steps: Sequence[Step], there: Folded
) -> Finding:
    held, taken, cause = there, 0, events[0].id
    before = there
    for step, after in held_after(steps, there):
        if after.held < 0 and step.quantity < 0:
            held, taken, cause = before, -step.quantity, step.event
            break
        before = after
    event = next(one for one in events if one.id == cause)
    stock, place = _labels(connection, series, events)
    return problem(
        NOT_SO_MANY, event, f"has {has(held)} and cannot give {taken}", subject=f"{stock} in {place}", found=str(taken),
        wanted=f"at most {max(held.high, 0)}", places=(series[1],),
        remedy="count what is there and enter the count first; or enter when it was, if it was earlier",
    )  # fmt: skip


def has(folded: Folded) -> str:
    """How many there are, in words.

    >>> has(Folded(held=5, low=5, high=5)), has(Folded(held=200, low=150, high=260)), has(Folded())
    ('5', 'about 200, at most 260,', 'none')
    """
    if folded.estimated:
        return f"about {folded.held}, at most {folded.high},"
    return str(folded.held) if folded.held > 0 else "none"


def _labels(connection: Connection, series: Series, events: Sequence[Event]) -> tuple[str, str]:
    rows = connection.execute(
        select(THING.c.sort, THING.c.id, THING.c.label).where(THING.c.id.in_(series))
    ).fetchall()
    known = {(row.sort, row.id): row.label for row in rows}
    for event in events:
        if event.kind in {"stock_opened", "place_opened"}:
            sort = event.kind.partition("_")[0]
            known[sort, event.stock if sort == "stock" else event.place] = str(event.details.get("label"))
    return known.get(("stock", series[0]), series[0]), known.get(("place", series[1]), series[1])


def closing_faults(
    connection: Connection, events: Sequence[Event], voided: Sequence[Event]
) -> Iterator[Finding]:
    """Stocks and places that are closed while the book has fish of them or in them."""
    new, gone = by_series(events), {one.id for one in voided}
    touched = new.keys() | by_series(voided).keys()
    for event in events:
        if event.kind == "stock_closed":
            column, name, sort = BALANCE.c.stock, event.stock, "stock"
        elif event.kind == "place_closed":
            column, name, sort = BALANCE.c.place, event.place, "place"
        else:
            continue
        held = {
            (row.stock, row.place): row.held
            for row in connection.execute(select(BALANCE).where(column == name, BALANCE.c.held != 0))
        }
        for series in touched:
            if series[0 if sort == "stock" else 1] == name:
                steps = [step for it in new.get(series, []) for step in steps_of_event(it, series)]
                held[series] = fold([*steps_of_series(connection, series, gone), *steps]).held
        for series, number in sorted(held.items()):
            if number:
                yield _still_held(connection, event, series, number, sort)


def _still_held(connection: Connection, event: Event, series: Series, number: int, sort: str) -> Finding:
    stock, place = _labels(connection, series, (event,))
    subject, rest = (stock, f"in {place}") if sort == "stock" else (place, f"of {stock}")
    return problem(
        STILL_HELD, event, f"still has {number} {rest}", subject=subject, found=str(number), wanted="none",
        places=(series[1],),
        remedy="say where they went; or count none there, and what nobody knows of counts as lost",
    )  # fmt: skip
