"""The room's life: what lives where, stocks, what happened, and a deed written down."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Query, Response

from tankwright.finding import Finding
from tankwright.husbandry.records import Event, Kind
from tankwright.web.api.asking import Enter, Looker
from tankwright.web.api.described import ENTERING, READING
from tankwright.web.api.problems import ProblemError, mistakes
from tankwright.web.api.shapes_life import (
    Census,
    DeedDone,
    DeedWanted,
    Events,
    EventTold,
    FlowTold,
    LivesHere,
    ReadTold,
    Stocks,
    StockTold,
)
from tankwright.web.api.shared import Here, Shared, announce
from tankwright.web.deeding import carry_out
from tankwright.web.entries_routes import NOT_NOW
from tankwright.workspace.census import census
from tankwright.workspace.disk import utc_from_text, utcnow
from tankwright.workspace.event_words import event_words

router = APIRouter(tags=["logbook"])
_DATE = {"format": "date-time"}


@router.get("/fish", response_model=Census, responses=READING)
def list_fish(
    here: Here,
    _: Looker,
    tank: Annotated[str, Query(max_length=40, description="only of this tank")] = "",
    at: Annotated[str | None, Query(json_schema_extra=_DATE, description="as it was then")] = None,
) -> object:
    """What lives where, now or at a moment of the past."""
    book, moment = here.log.kept, _in_time(at)
    rows = () if book is None else census(book, moment)
    return Census(at=moment, fish=[
        LivesHere(tank=one.place.label, stock=one.stock.label, stock_id=one.stock.id,
                  line=one.line.name if one.line else "", species=one.line.species if one.line else "", fish=one.held,
                  low=one.low, high=one.high, since=one.since)
        for one in rows if not tank or one.place.label == tank
    ])  # fmt: skip


@router.get("/stocks", response_model=Stocks, responses=READING)
def list_stocks(
    here: Here, _: Looker,
    closed: Annotated[bool, Query(description="those at their end too")] = False,
) -> object:  # fmt: skip
    """The stocks that are counted, by label."""
    book = here.log.kept
    if book is None:
        return Stocks(stocks=[])
    lines = {one.id: one.name for one in book.lines()}
    return Stocks(stocks=[
        StockTold(id=one.id, label=one.label, kind=one.kind, line=lines.get(one.line, ""), sex=one.sex, born=one.born,
                  came_from=one.came_from, opened=one.opened, closed=one.closed)
        for one in book.stocks(closed=closed)
    ])  # fmt: skip


@router.get("/events", response_model=Events, responses=READING)
def list_events(
    here: Here,
    _: Looker,
    tank: Annotated[str, Query(max_length=40, description="only of this tank, and what came into it")] = "",
    stock: Annotated[str, Query(max_length=60, description="only of the stock of that label or id")] = "",
    kind: Annotated[Kind | None, Query(description="only of this kind")] = None,
    since: Annotated[
        str | None, Query(json_schema_extra=_DATE, description="that happened then or later")
    ] = None,
    until: Annotated[str | None, Query(json_schema_extra=_DATE, description="that happened before")] = None,
    limit: Annotated[int, Query(ge=1, le=500, description="at most so many")] = 100,
    skip: Annotated[int, Query(ge=0, le=10_000_000, description="without the first so many")] = 0,
) -> object:
    """What happened, the newest first; voided events with the reason, and no voidings."""
    from tankwright.logbook.listing import happenings  # noqa: PLC0415 - brings the database along

    begin, end = _in_time(since), _in_time(until)
    book = here.log.kept
    place = book.place_labelled(tank) if book is not None and tank else None
    found = (
        [one.id for one in book.stocks(closed=True) if stock in {one.label, one.id}]
        if book and stock
        else None
    )
    if book is None or (tank and place is None) or found == []:
        return Events(events=[], next_skip=None)
    events = happenings(
        book, place=place.id if place is not None else "", stocks=found, kinds=() if kind is None else (kind,),
        since=begin, until=end, limit=limit + 1, skip=skip,
    )  # fmt: skip
    more = skip + limit if len(events) > limit else None
    return Events(events=_told(here, events[:limit]), next_skip=more)


_NEW = {
    **ENTERING,
    200: {"model": DeedDone, "description": "The key had come before: what was done then"},
    201: {"description": "Done"},
}


@router.post("/deeds", status_code=201, response_model=DeedDone, responses=_NEW)
def do_deed(here: Here, write: Enter, wanted: DeedWanted, response: Response) -> object:
    """Write down what was done with fish: they came, died, moved, were counted, were put together to breed. Recorded
    whole or refused with what there was. Sent again with its key it is not done again, whatever comes with it."""
    fields = {**wanted.fields(), "key": write.key}
    done = carry_out(here.log, fields, who=write.who, now=utcnow())
    if isinstance(done, Finding):
        if done.code in NOT_NOW:
            raise ProblemError("not-stored", mistakes=mistakes((done,), "metric"))
        raise ProblemError("refused", mistakes=mistakes((done,), "metric"))
    if not done.outcome.repeated:
        announce(here)
    response.status_code = 200 if done.outcome.repeated else 201
    return DeedDone(events=_told(here, done.outcome.events), repeated=done.outcome.repeated, said=done.said)


def _in_time(text: str | None) -> datetime | None:
    """A moment the book can be asked for; ProblemError for what is none, or lies beyond all calendars."""
    if text is None:
        return None
    try:
        moment = utc_from_text(text)
    except (ValueError, OverflowError):
        raise ProblemError("unreadable", "A moment is written as 2026-08-02T07:15:00Z.") from None
    if not 1970 <= moment.year < 2200:
        raise ProblemError("unreadable", "A moment lies before 1970 or after 2199.")
    return moment


def _told(here: Shared, events: Iterable[Event]) -> list[EventTold]:
    from tankwright.logbook.listing import labels_of, voided_by  # noqa: PLC0415 - brings the database along

    kept = list(events)
    book = here.log.book
    labels = labels_of(book, kept)
    gone = voided_by(book, (one.id for one in kept))
    return [
        EventTold(
            id=one.id, number=one.serial, kind=one.kind, says=event_words(one, labels), happened=one.happened,
            recorded=one.recorded, who=one.who, tank=labels.get(one.place, ""), stock=labels.get(one.stock, ""),
            note=one.note, voided=gone[one.id].reason if one.id in gone else None,
            flows=[FlowTold(stock=labels.get(flow.stock, ""), account=flow.account, quantity=flow.quantity,
                            tank=labels.get(flow.place, "")) for flow in one.flows],
            read=[ReadTold(quantity=seen.quantity, value=seen.value, low=seen.low, high=seen.high, unit=seen.unit,
                           method=seen.method) for seen in one.observed],
        )
        for one in kept
    ]  # fmt: skip
