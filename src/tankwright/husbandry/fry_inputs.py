"""From the logbook to the ask of a forecast: broods that are there, spawns to come, tanks that are free for fry."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import stdev
from typing import Final

from tankwright.husbandry.brood_course import DAY, steps_of
from tankwright.husbandry.fry_broods import FryBook, Memory, origin_of, own_broods, rates_by_line, spawn_of
from tankwright.husbandry.fry_model import DRAWS, WEEKS, Coming, FryAsk, FryRules, FryTank, Standing
from tankwright.husbandry.fry_rates import FryRates
from tankwright.husbandry.growth import sizes_of
from tankwright.husbandry.ledger import fold
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import BreedingSet, Holding, Place, Stock
from tankwright.husbandry.spawning import MONTH, rhythm_of, set_of, spawns_of
from tankwright.units import convert

MOST_SPAWNS: Final = 12
"""Spawns of one set that are looked ahead to."""
_MOST_WORK: Final = 4_000_000
_FEWEST_DRAWS: Final = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Raised:
    """How often spawns of a set became broods: of so many that happened and had their time. `chance` is the share
    with one of each added."""

    spawns: int
    broods: int

    @property
    def chance(self) -> float:
        """Source: rule of succession (Laplace), from memory."""
        return (self.broods + 1.0) / (self.spawns + 2.0)


def fry_ask(
    book: FryBook, now: datetime, tanks: Iterable[FryTank], *, rules: FryRules | None = None,
    shut: Mapping[str, str] | None = None, left_out: Iterable[str] = (),
    weeks: int = WEEKS, memory: Memory | None = None,
) -> FryAsk:  # fmt: skip
    """The ask at a moment. `shut` gives the quarantine of a place; spawns of sets in `left_out` are not reckoned."""
    rules = rules or FryRules()
    broods = own_broods(book, memory)
    rates = rates_by_line(book.lines, broods)
    standing = standing_broods(book, now, rules, rates, shut or {})
    coming = spawns_to_come(book, now, rates, 7.0 * weeks, frozenset(left_out))
    cohorts = max(len(standing) + len(coming), 1)
    return FryAsk(
        start=now.date(), standing=standing, coming=coming, tanks=tuple(tanks), rules=rules, rates=rates, weeks=weeks,
        draws=max(_FEWEST_DRAWS, min(DRAWS, _MOST_WORK // ((weeks + 1) * cohorts))),
    )  # fmt: skip


def standing_broods(
    book: FryBook, now: datetime, rules: FryRules, rates: Mapping[str, FryRates], shut: Mapping[str, str]
) -> tuple[Standing, ...]:
    """Broods that are there and no older than fry are, with what is known of their number and length."""
    by_stock = book.by_stock()
    made = []
    for stock in book.stocks:
        events = by_stock.get(stock.id, ())
        origin = origin_of(stock, events) if stock.kind == "brood" else None
        if origin is None or not 0.0 <= (now - origin).total_seconds() / DAY <= rules.gone_days:
            continue
        folded = {place: fold(steps) for place, steps in steps_of(events, stock.id).items()}
        held = sum(max(one.held, 0) for one in folded.values())
        if not held:
            continue
        made.append(
            Standing(
                id=stock.id, label=stock.label, line=stock.line, age=(now - origin).total_seconds() / DAY, held=held,
                low=sum(max(one.low, 0) for one in folded.values()),
                high=max(sum(max(one.high, 0) for one in folded.values()), held),
                length=_length_now(stock, events, origin, now, rates.get(stock.line) or FryRates()),
                shut=next((shut[place] for place, one in folded.items() if one.held > 0 and place in shut), ""),
            )
        )  # fmt: skip
    return tuple(sorted(made, key=lambda one: (-one.age, one.id)))


def _length_now(
    stock: Stock, events: Sequence[Event], origin: datetime, now: datetime, rates: FryRates
) -> float | None:
    """The length when it was measured last, grown on since; None when it never was."""
    sizes = sizes_of(events, stock.id, origin)
    if not sizes:
        return None
    last = sizes[-1]
    since = max((now - origin).total_seconds() / DAY - last.day, 0.0)
    left = max(rates.grown_length - last.size, 0.0)
    gain = rates.of("gain").middle
    return last.size + left * (1.0 - math.exp(-gain * since / left)) if left > 0.0 else last.size


def spawns_to_come(
    book: FryBook,
    now: datetime,
    rates: Mapping[str, FryRates],
    days: float,
    left_out: frozenset[str] = frozenset(),
) -> tuple[Coming, ...]:
    """Spawns that happened and have no brood yet, and those every set that has a rhythm is expected to have.

    A set that has gone quiet, was parted or never spawned is expected to have none.
    """
    lines = {stock.id: stock.line for stock in book.stocks}
    born: dict[str, list[datetime]] = defaultdict(list)
    by_stock = book.by_stock()
    for stock in book.stocks:
        origin = origin_of(stock, by_stock.get(stock.id, ())) if stock.kind == "brood" else None
        for share in stock.origin if origin is not None else ():
            born[share.breeding_set].append(origin)  # type: ignore[arg-type] # it is none of the empty ones
    of_set: dict[str, list[Event]] = defaultdict(list)
    for event in book.events:
        if event.kind == "spawned":
            of_set[set_of(event)].append(event)
    made: list[Coming] = []
    for one in book.sets:
        if one.id in left_out or not one.members:
            continue
        line = next((lines[member.stock] for member in one.members if lines.get(member.stock)), "")
        seen = spawns_of(of_set[one.id], one.id)
        wait = (rates.get(line) or FryRates()).of("hatch_days").ends()[1]
        waiting, raised = _pending(seen, born[one.id], now, wait)
        made.extend(_spawned(event, one, line, now, raised) for event in waiting)
        made.extend(_expected(one, line, seen, now, raised, days))
    return tuple(made)


def _pending(
    seen: Sequence[Event], born: Sequence[datetime], now: datetime, wait: float
) -> tuple[list[Event], Raised]:
    """Spawns still to hatch, and how many of the others became a brood."""
    with_brood = {event.id for moment in born if (event := spawn_of(moment, seen)) is not None}
    waiting = [
        one for one in seen
        if one.id not in with_brood and (now - one.happened).total_seconds() / DAY <= wait
    ]  # fmt: skip
    done = [one for one in seen if one not in waiting]
    return waiting, Raised(spawns=len(done), broods=sum(one.id in with_brood for one in done))


def _spawned(event: Event, one: BreedingSet, line: str, now: datetime, raised: Raised) -> Coming:
    eggs = next((seen for seen in event.observed if seen.quantity == "eggs" and seen.value), None)
    ends = None
    if eggs is not None and eggs.value is not None:
        ends = (eggs.value if eggs.low is None else eggs.low, eggs.value if eggs.high is None else eggs.high)
    day = (event.happened - now).total_seconds() / DAY
    return Coming(
        id=event.id, label=_label(one), line=line, day=min(day, 0.0), chance=raised.chance, eggs=ends
    )


def _expected(
    one: BreedingSet, line: str, seen: Sequence[Event], now: datetime, raised: Raised, days: float
) -> Iterable[Coming]:
    rhythm = rhythm_of(one, seen, now)
    if rhythm.rhythm in {"quiet", "never", "ended"} or (rhythm.usual is None and rhythm.since > 2 * MONTH):
        return
    usual = rhythm.usual if rhythm.usual is not None else MONTH
    give = stdev(rhythm.intervals) if len(rhythm.intervals) > 1 else usual / 2.0
    for number in range(1, MOST_SPAWNS + 1):
        day = number * usual - rhythm.since
        if number == 1:
            day = max(day, 0.0)  # it is late, and may come any day
        if day > days:
            return
        if day < 0.0:
            continue
        yield Coming(
            id=f"{one.id} {number}", label=_label(one), line=line, day=day, give=give * math.sqrt(number),
            chance=raised.chance,
        )  # fmt: skip


def _label(one: BreedingSet) -> str:
    return one.label or one.id


def tanks_for_fry(
    places: Iterable[Place], holdings: Iterable[Holding], fry: Iterable[str]
) -> tuple[tuple[FryTank, ...], tuple[str, ...]]:
    """Tanks that hold nothing, or fry (ids of stocks) if beside others, with their water; and labels of those whose
    water nobody knows, which are left out."""
    young = set(fry)
    full = {one.place for one in holdings if one.held > 0}
    with_fry = {one.place for one in holdings if one.held > 0 and one.stock in young}
    made, unknown = [], []
    for place in places:
        if place.kind != "tank" or place.closed is not None or place.id in full - with_fry:
            continue
        if place.litres is None:
            unknown.append(place.label)
        else:
            made.append(FryTank(id=place.id, label=place.label, volume=_volume(place.litres)))
    return tuple(made), tuple(unknown)


def _volume(litres: float) -> float:
    return litres / convert(1.0, "m**3", "L")
