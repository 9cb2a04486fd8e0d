"""How a line stands: who lives, how inbred they are, what they hold of founders, who breeds, how long it lasts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import median

from tankwright.husbandry.ancestry import completeness
from tankwright.husbandry.closed_line import (
    MOST_INBREEDING,
    EffectiveSize,
    LineState,
    effective_size,
    generations_left,
)
from tankwright.husbandry.kinship import SHOP_SIBLINGS, Kinships, kinships
from tankwright.husbandry.mating import Diversity, diversity
from tankwright.husbandry.pedigree import Pedigree
from tankwright.husbandry.register import BreedingSet, Holding, Line, Stock
from tankwright.husbandry.shares import sides_of

MOST_STOCKS = 600
"""Living stocks of one line up to which their kinship is worked out; beyond, the table takes too long for a page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """How many of a stock live, in all places: as counted, or between bounds."""

    stock: str
    fish: int
    low: int
    high: int
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LineStanding:
    """How a line stands. None is what cannot be told.

    `inbreeding` is the mean of all living fish; `related` the same when founders of whom nobody knows how they are
    related are taken for `unknown` to each other. `sets` are those that breed now, or the newest when none does;
    `males` and `females` the fish in them. `left` is how many generations they can go on for until inbreeding passes
    `limit`; None with `lasting` when that takes very many. `ancestors` is how many generations of ancestors are known,
    the mean of all living fish. `too_many` is True when there are more stocks than kinship is worked out for.
    `newest` is when the youngest were born, `regenerate_by` when the next must stand.
    """

    line: Line
    held: tuple[Held, ...]
    fish: int
    limit: float
    unknown: float = SHOP_SIBLINGS
    inbreeding: float | None = None
    related: float | None = None
    diversity: Diversity | None = None
    not_computed: tuple[str, ...] = ()
    too_many: bool = False
    sets: tuple[str, ...] = ()
    running: bool = False
    males: int = 0
    females: int = 0
    effective: EffectiveSize | None = None
    left: int | None = None
    lasting: bool = False
    ancestors: float | None = None
    generation_days: float | None = None
    newest: date | None = None
    regenerate_by: date | None = None


def held_of(holdings: Iterable[Holding]) -> dict[str, Held]:
    """How many of each stock live, over all places.

    >>> found = held_of([Holding(stock="s", place="p", held=4, low=4, high=4), Holding(stock="s", place="q", held=2,
    ...     low=1, high=3)])["s"]
    >>> found.fish, found.low, found.high, found.places
    (6, 5, 7, ('p', 'q'))
    """
    made: dict[str, Held] = {}
    for one in holdings:
        if one.held <= 0 and one.high <= 0:
            continue
        before = made.get(one.stock, Held(stock=one.stock, fish=0, low=0, high=0))
        made[one.stock] = Held(
            stock=one.stock,
            fish=before.fish + one.held,
            low=before.low + one.low,
            high=before.high + one.high,
            places=(*before.places, one.place),
        )
    return made


def line_standing(
    line: Line, pedigree: Pedigree, held: Mapping[str, Held], *, limit: float = MOST_INBREEDING
) -> LineStanding:
    """How a line stands, from the whole pedigree and what lives.

    >>> from datetime import UTC, datetime
    >>> then = datetime(2026, 1, 1, tzinfo=UTC)
    >>> line = Line(id="l", name="Blue", species="x", opened=then)
    >>> line_standing(line, Pedigree(stocks={}, sets={}, order=()), {}).fish
    0
    """
    own = {key: one for key, one in pedigree.stocks.items() if one.line == line.id}
    living = tuple(held[key] for key in own if key in held and held[key].fish > 0)
    fish = sum(one.fish for one in living)
    sets = sets_of(line, pedigree)
    now = tuple(one for one in sets if one.ended is None)
    breeding = now or sets[-1:]
    males, females = breeders(breeding)
    newest = max((day for one in own.values() if one.origin and (day := _day(one)) is not None), default=None)
    standing = LineStanding(
        line=line,
        held=living,
        fish=fish,
        limit=limit,
        sets=tuple(one.id for one in breeding),
        running=bool(now),
        males=males,
        females=females,
        effective=effective_size(males, females) if males and females else None,
        generation_days=_generation_days(pedigree, own.values()),
        newest=newest,
        regenerate_by=None
        if newest is None or line.regenerate_days is None
        else newest + timedelta(days=line.regenerate_days),
    )
    if not living or len(living) > MOST_STOCKS:
        return replace(standing, too_many=bool(living))
    return _with_kinship(standing, pedigree)


def _with_kinship(standing: LineStanding, pedigree: Pedigree) -> LineStanding:
    """The standing with what needs the table of kinships."""
    counts = {one.stock: one.fish for one in standing.held}
    known = kinships(pedigree, counts)
    other = kinships(pedigree, counts, unknown=standing.unknown)
    missing = tuple(key for key in counts if known.inbreeding(key) is None)
    hold = diversity(known, counts)
    inbred, related = mean_inbreeding(known, counts), mean_inbreeding(other, counts)
    left, lasting = None, False
    if hold is not None and inbred is not None and standing.males and standing.females:
        state = LineState(inbreeding=inbred, kinship=_between_fish(hold, inbred))
        left = generations_left(state, standing.males, standing.females, limit=standing.limit)
        lasting = left is None
    whole = completeness(pedigree, counts)
    fish = sum(counts[key] for key in whole)
    return replace(
        standing,
        inbreeding=inbred,
        related=related,
        diversity=hold,
        not_computed=missing,
        left=left,
        lasting=lasting,
        ancestors=sum(counts[key] * one.equivalent for key, one in whole.items()) / fish if fish else None,
    )


def _between_fish(hold: Diversity, inbred: float) -> float:
    """The mean kinship of two different living fish, from that of all with themselves counted in."""
    if hold.fish < 2:
        return hold.mean
    return max(hold.mean * hold.fish - (1 + inbred) / 2, 0.0) / (hold.fish - 1)


def mean_inbreeding(known: Kinships, living: Mapping[str, int]) -> float | None:
    """The mean inbreeding of living fish, those in loops left out; None for nobody.

    >>> mean_inbreeding(kinships(Pedigree(stocks={}, sets={}, order=())), {}) is None
    True
    """
    seen = [(count, own.value) for key, count in living.items() if (own := known.inbreeding(key)) is not None]
    fish = sum(count for count, _ in seen)
    return sum(count * value for count, value in seen) / fish if fish else None


def sets_of(line: Line, pedigree: Pedigree) -> tuple[BreedingSet, ...]:
    """The sets that have fish of a line in them, in the order they were made.

    >>> from datetime import UTC, datetime
    >>> line = Line(id="l", name="Blue", species="x", opened=datetime(2026, 1, 1, tzinfo=UTC))
    >>> sets_of(line, Pedigree(stocks={}, sets={}, order=()))
    ()
    """
    found = (
        one
        for one in pedigree.sets.values()
        if any(
            member.stock in pedigree.stocks and pedigree.stocks[member.stock].line == line.id
            for member in one.members
        )
    )
    return tuple(sorted(found, key=lambda one: (one.opened, one.id)))


def breeders(sets: Sequence[BreedingSet]) -> tuple[int, int]:
    """How many males and females sets have together; fish of unknown sex are halved between both sides.

    >>> breeders(())
    (0, 0)
    """
    males = females = 0.0
    for one in sets:
        sides = sides_of(one)
        twice = {part.member for part in sides.fathers} & {part.member for part in sides.mothers}
        males += sum(part.fish / (2 if part.member in twice else 1) for part in sides.fathers)
        females += sum(part.fish / (2 if part.member in twice else 1) for part in sides.mothers)
    return round(males), round(females)


def _day(stock: Stock) -> date | None:
    """When the fish of a stock were born, as far as it is told; else when they were first counted together."""
    return stock.born or stock.opened.date()


def _generation_days(pedigree: Pedigree, stocks: Iterable[Stock]) -> float | None:
    """The usual time from the birth of parents to the birth of their young, over all of which both are known."""
    spans: list[int] = []
    for one in stocks:
        for share in one.origin:
            known = pedigree.sets.get(share.breeding_set)
            for member in known.members if known is not None else ():
                parent = pedigree.stocks.get(member.stock)
                if one.born is not None and parent is not None and parent.born is not None:
                    span = (one.born - parent.born).days
                    if span > 0:
                        spans.append(span)
    return float(median(spans)) if spans else None
