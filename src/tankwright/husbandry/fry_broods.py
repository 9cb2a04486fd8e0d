"""What one's own broods did: eggs, share hatched, survival, growth, each as one value a brood."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time
from typing import Final

from tankwright.catalogue.species import find_species
from tankwright.husbandry.brood_counts import hatch_share
from tankwright.husbandry.brood_course import DAY, Bounded, brood_course, survival
from tankwright.husbandry.fry_rates import (
    EARLY_DAYS,
    KINDS_OF_RATE,
    LATE_DAYS,
    FryRates,
    Rate,
    RateKey,
    certain,
    shrunk,
)
from tankwright.husbandry.growth import daily_gain, sizes_of
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import BreedingSet, Line, Stock
from tankwright.husbandry.spawning import set_of

HATCHES_WITHIN: Final = 35.0
"""Days from a spawn to its young at the most: peat-laying and annual fish apart. Common practice, no source."""
WHOLE: Final = 7.0
"""Days of age by which the first fish of a whole brood are counted. Own choice."""
YOUNG: Final = 60.0
"""Days of age in which growth counts as that of fry. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FryBook:
    """What the logbook says, as far as fry go. `events` are those that stand, in any order."""

    events: tuple[Event, ...]
    stocks: tuple[Stock, ...]
    lines: tuple[Line, ...] = ()
    sets: tuple[BreedingSet, ...] = ()

    def by_stock(self) -> Mapping[str, tuple[Event, ...]]:
        """The events of every stock."""
        found: dict[str, list[Event]] = defaultdict(list)
        for event in self.events:
            for name in {event.stock, *(flow.stock for flow in event.flows)} - {""}:
                found[name].append(event)
        return {name: tuple(some) for name, some in found.items()}

    def known_at(self, moment: datetime) -> FryBook:
        """The same as it was known at a moment: later events, and those recorded later, are left out."""
        return replace(
            self,
            events=tuple(one for one in self.events if one.happened <= moment and one.recorded <= moment),
            stocks=tuple(one for one in self.stocks if one.opened <= moment),
            sets=tuple(
                replace(one, ended=None) if one.ended is not None and one.ended > moment else one
                for one in self.sets
                if one.opened <= moment
            ),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnBrood:
    """What one brood did, as far as it was seen. Days; shares of one; growth in m a day."""

    stock: str
    values: Mapping[RateKey, float]
    young: float | None = None
    """How many there were at first: the middle of what was guessed."""


def origin_of(stock: Stock, events: Sequence[Event]) -> datetime | None:
    """The moment a brood's days are counted from: when it was born, else when its first fish came; None for neither."""
    first = min((one.happened for one in events if any(f.quantity > 0 for f in one.flows)), default=None)
    if stock.born is None:
        return first
    born = datetime.combine(stock.born, time(), UTC)
    # of the same day the hour is known
    return first if first is not None and first.date() == stock.born else born


def own_brood(stock: Stock, events: Sequence[Event], spawns: Sequence[Event]) -> OwnBrood | None:
    """What a brood did; None when no fish of it was seen. `events` are the brood's, `spawns` those of its sets."""
    origin = origin_of(stock, events)
    course = brood_course(events, stock.id, origin=origin) if origin is not None else None
    if origin is None or course is None:
        return None
    values: dict[RateKey, float] = {}
    spawn = spawn_of(origin, spawns)
    if spawn is not None:
        values["hatch_days"] = max((origin - spawn.happened).total_seconds() / DAY, 0.0)
        eggs = next((one.value for one in spawn.observed if one.quantity == "eggs" and one.value), None)
        born = next((one for one in events if one.kind == "born"), None)
        share = hatch_share(spawn, born) if born is not None else None
        if eggs is not None and share is not None:
            values["eggs"], values["hatch"] = eggs, share.share
    first = next((one.day for one in course.best if one.entered), 0.0)
    whole = first <= WHOLE  # what was split off later tells nothing of the young there were
    table = survival(course) if whole else ()
    early = _middle(table, EARLY_DAYS)
    if early is not None:
        values["early"] = early
        last = table[-1]
        if early > 0.0 and last.day >= 2 * EARLY_DAYS:
            lived = min((last.worst.share + last.best.share) / 2.0 / early, 1.0)
            values["late"] = lived ** (LATE_DAYS / (last.day - EARLY_DAYS))
    gain = daily_gain([one for one in sizes_of(events, stock.id, origin) if 0.0 <= one.day <= YOUNG])
    if gain is not None and gain > 0.0:
        values["gain"] = gain
    return OwnBrood(stock=stock.id, values=values, young=(sum(course.start) / 2.0 or None) if whole else None)


def spawn_of(origin: datetime, spawns: Sequence[Event]) -> Event | None:
    """The last of the spawns before a brood was there, no longer ago than eggs take; None for none."""
    before = [one for one in spawns if 0.0 <= (origin - one.happened).total_seconds() <= HATCHES_WITHIN * DAY]
    return max(before, key=lambda one: one.happened, default=None)


def _middle(table: Sequence[Bounded], day: float) -> float | None:
    """The share alive at a day, halfway between what is the worst and the best; None when it was not seen so long."""
    if not table or table[-1].day < day:
        return None
    at = next((one for one in reversed(table) if one.day <= day), None)
    return 1.0 if at is None else (at.worst.share + at.best.share) / 2.0


Memory = dict[tuple[str, int, str], OwnBrood | None]
"""What broods did, by their id, how many events they have and the last of them: for books that differ by little."""


def own_broods(book: FryBook, memory: Memory | None = None) -> Mapping[str, tuple[OwnBrood, ...]]:
    """What all broods did, by line. With a `memory` what was worked out before is not worked out again."""
    memory = Memory() if memory is None else memory
    by_stock = book.by_stock()
    spawns: dict[str, list[Event]] = defaultdict(list)
    for event in book.events:
        if event.kind == "spawned":
            spawns[set_of(event)].append(event)
    found: dict[str, list[OwnBrood]] = defaultdict(list)
    for stock in book.stocks:
        if stock.kind == "brood":
            events = by_stock.get(stock.id, ())
            key = (stock.id, len(events), events[-1].id if events else "")
            if key not in memory:
                of = [one for share in stock.origin for one in spawns.get(share.breeding_set, ())]
                memory[key] = own_brood(stock, events, of)
            own = memory[key]
            if own is not None:
                found[stock.line].append(own)
    return {line: tuple(some) for line, some in found.items()}


def rates_by_line(lines: Iterable[Line], broods: Mapping[str, Sequence[OwnBrood]]) -> Mapping[str, FryRates]:
    """The rates of every line, from the broods of all lines of its species, drawn towards the default."""
    lines = tuple(lines)
    of_species: dict[str, list[OwnBrood]] = defaultdict(list)
    for line in lines:
        of_species[line.species.casefold()].extend(broods.get(line.id, ()))
    made: dict[str, FryRates] = {}
    for line in lines:
        made[line.id] = rates_from(of_species[line.species.casefold()], line.species)
    return made


def rates_from(broods: Sequence[OwnBrood], species: str = "") -> FryRates:
    """Rates from own broods. Where eggs were never counted but young were, these stand for eggs that all hatch.

    >>> rates_from(()).of("eggs").told
    'default, wide'
    """
    rates: dict[RateKey, Rate] = {}
    for key in KINDS_OF_RATE:
        own = [one.values[key] for one in broods if key in one.values]
        rates[key] = shrunk(key, [max(value, 0.1) for value in own] if key == "hatch_days" else own)
    young = [one.young for one in broods if one.young is not None]
    if young and not rates["eggs"].own:
        rates["eggs"] = shrunk("eggs", young)
        rates["hatch"] = certain("hatch", 1.0)
    known = find_species(species) if species else None
    default = FryRates(rates=rates)
    if known is not None and known.length is not None:
        return replace(default, grown_length=max(float(known.length), 2 * default.hatched_length))
    return default
