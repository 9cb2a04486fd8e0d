"""Fry space of an open plan: what its logbook tells, its keeper's rules, the forecast made of both, and past weeks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from tankwright.finding import Finding
from tankwright.husbandry.changes_around import Change, changes_since
from tankwright.husbandry.fry_backtest import Backtest, backtest
from tankwright.husbandry.fry_broods import FryBook
from tankwright.husbandry.fry_findings import fry_findings, quiet_finding
from tankwright.husbandry.fry_forecast import fry_forecast
from tankwright.husbandry.fry_inputs import fry_ask, tanks_for_fry
from tankwright.husbandry.fry_model import FryForecast, FryTank
from tankwright.husbandry.records import Event, Kind
from tankwright.husbandry.register import BreedingSet, Line, Stock
from tankwright.husbandry.spawning import SetRhythm, rhythm_of, set_of
from tankwright.workspace.fry_rules import FryKept, read_rules
from tankwright.workspace.log import RoomLog

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

FRY_KINDS: Final[tuple[Kind, ...]] = (
    "born", "arrived", "found", "died", "culled", "left", "moved", "regrouped", "counted", "estimated", "spawned",
    "measured",
)  # fmt: skip
LOOK_BACK: Final = timedelta(days=600)
"""How far back broods and spawns are read: what pairs did years ago tells little of now. Own choice."""
MANY: Final = 60_000
"""Events of a book from which on only the newest broods are read, one by one."""
MOST_BROODS: Final = 400
BACK: Final = 12
"""Past weeks whose forecast is made again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FrySpace:
    """All there is to say of fry space at a moment. `free` are the tanks that could hold fry, `forecast.ask.tanks`
    those that were chosen of them; `left_unread` says that the book has more broods than were read."""

    now: datetime
    kept: FryKept
    forecast: FryForecast
    past: Backtest
    rhythms: tuple[tuple[BreedingSet, SetRhythm], ...]
    lines: tuple[Line, ...]
    free: tuple[FryTank, ...]
    findings: tuple[Finding, ...]
    changes: Mapping[str, tuple[Change, ...]]
    """What is otherwise since their last spawn, of sets that have gone quiet, by their id."""
    left_unread: bool = False

    def line_name(self, line: str) -> str:
        """The name of a line; "no line" for none."""
        return next((one.name for one in self.lines if one.id == line), "no line")


def fry_space(
    log: RoomLog, now: datetime, *, kept: FryKept | None = None, back: int = BACK
) -> FrySpace | None:
    """The forecast from what the logbook holds; None while nothing was ever kept. `kept` stands for the rules that are
    kept, to try others."""
    book = log.kept
    if book is None:
        return None
    read, wrong = read_rules(log.folder) if kept is None else (kept, None)
    told, unread = fry_book(book, now)
    holdings = book.holdings()
    fry = _fry_now(told, now, read.rules.gone_days)
    free, unknown = tanks_for_fry(book.places(), holdings, fry)
    tanks = free if read.tanks is None else tuple(one for one in free if one.label in read.tanks)
    shut = {place: one.id for one in book.quarantines() for place in one.places}
    ask = fry_ask(told, now, tanks, rules=read.rules, shut=shut, left_out=read.left_out)
    forecast = fry_forecast(ask)
    past = backtest(told, now, tanks, rules=read.rules, back=back)
    spawns: dict[str, list[Event]] = {}
    for event in told.events:
        if event.kind == "spawned":
            spawns.setdefault(set_of(event), []).append(event)
    rhythms = tuple(
        (one, rhythm_of(one, spawns.get(one.id, ()), now)) for one in told.sets if one.ended is None
    )
    quiet = (quiet_finding(rhythm, one.label or one.id) for one, rhythm in rhythms)
    findings = (
        *((wrong,) if wrong is not None else ()),
        *fry_findings(forecast, unknown=unknown, past=past, lines=((one.id, one.name) for one in told.lines)),
        *(one for one in quiet if one is not None),
    )
    return FrySpace(
        now=now, kept=read, forecast=forecast, past=past, rhythms=rhythms, lines=told.lines, free=free,
        findings=findings, left_unread=unread,
        changes={
            one.id: _changes(book, one, rhythm, spawns.get(one.id, ()), now)
            for one, rhythm in rhythms if rhythm.rhythm == "quiet"
        },
    )  # fmt: skip


def _changes(
    book: Logbook, one: BreedingSet, rhythm: SetRhythm, spawns: Sequence[Event], now: datetime
) -> tuple[Change, ...]:
    """What is otherwise around a set, in the places it spawned in and its fish are in."""
    if rhythm.last is None:
        return ()
    places = {event.place for event in spawns if event.place}
    for member in one.members:
        places |= {holding.place for holding in book.holdings(stock=member.stock) if holding.held > 0}
    since = rhythm.last - (now - rhythm.last)
    events = [event for place in sorted(places) for event in book.events(place=place, since=since, until=now)]
    return changes_since(one, events, rhythm.last, now, places)


def fry_book(book: Logbook, now: datetime) -> tuple[FryBook, bool]:
    """What a logbook says of fry, and whether it has more than was read."""
    since = now - LOOK_BACK
    stocks = tuple(one for one in book.stocks(closed=True) if one.kind != "brood" or one.opened >= since)
    if book.newest_serial() <= MANY:
        events = book.events(kinds=FRY_KINDS, since=since)
        return FryBook(events=events, stocks=stocks, lines=book.lines(), sets=book.sets()), False
    broods = sorted((one for one in stocks if one.kind == "brood"), key=lambda one: one.opened)[-MOST_BROODS:]
    events = (*book.events(kinds=("spawned", "regrouped"), since=since), *_of_stocks(book, broods))
    kept = {one.id for one in broods}
    few = tuple(one for one in stocks if one.kind != "brood" or one.id in kept)
    return FryBook(events=events, stocks=few, lines=book.lines(), sets=book.sets()), len(few) < len(stocks)


def _of_stocks(book: Logbook, stocks: Iterable[Stock]) -> tuple[Event, ...]:
    kinds = tuple(kind for kind in FRY_KINDS if kind not in {"spawned", "regrouped"})
    return tuple(event for one in stocks for event in book.events(stock=one.id, kinds=kinds))


def _fry_now(told: FryBook, now: datetime, gone_days: float) -> tuple[str, ...]:
    """Ids of broods that are still fry."""
    return tuple(
        one.id for one in told.stocks
        if one.kind == "brood" and (now - one.opened).total_seconds() <= gone_days * 86400.0
    )  # fmt: skip
