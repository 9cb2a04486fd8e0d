"""Before fish are set together: what their young would be, who fits whom, what the living hold of their founders."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tankwright.husbandry.closed_line import LineState, generations_left
from tankwright.husbandry.kinship import SHOP_SIBLINGS, Expected, Kinships, kinships, mates
from tankwright.husbandry.pedigree import Pedigree, pedigree_of
from tankwright.husbandry.register import BreedingSet, Sex, Stock

MOST_KINSHIP = 0.125
"""The kinship above which no mates are proposed when nobody says another: that of half brother and sister. A choice."""

_TRIED = "(tried)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """What would come of a set that is not made yet.

    `young` is the inbreeding of its young, `within` the kinship of two of them; `related` the same inbreeding when
    founders of whom nobody knows how they are related are taken for `unknown` to each other. `left` is how many further
    generations could be bred from them by as many fish before the limit; None when that takes very many.
    """

    young: Expected
    within: Expected
    related: Expected
    unknown: float
    left: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mate:
    """Two stocks proposed for each other, with the inbreeding their young would have."""

    male: str
    female: str
    kinship: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """Who is proposed for whom, nearest strangers first; who has no mate that is allowed; and the whole table.

    `table` has a row a male, a column a female, None where nothing can be worked out.
    """

    mates: tuple[Mate, ...]
    alone: tuple[str, ...]
    limit: float
    males: tuple[str, ...]
    females: tuple[str, ...]
    table: tuple[tuple[float | None, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Diversity:
    """What living fish still hold of their founders' genes.

    `mean` is the mean kinship of all of them, each with itself too; `of` that of each stock, lowest first: those that
    are most worth breeding from. `kept` is the gene diversity, 1 - mean; `equivalents` how many unrelated founders
    would hold as much, 1 / (2 mean). `fish` is how many were counted.
    """

    mean: float
    of: tuple[tuple[str, float], ...]
    kept: float
    equivalents: float
    fish: int


def planned(
    pedigree: Pedigree, breeding_set: BreedingSet, *, unknown: float = SHOP_SIBLINGS, limit: float = 0.25
) -> Planned | None:
    """What would come of a set that is only thought of; the pedigree stays as it is. None when a member is in a loop.

    >>> from tankwright.husbandry.register import Member
    >>> from datetime import UTC, datetime
    >>> then = datetime(2026, 1, 1, tzinfo=UTC)
    >>> he, she = (Stock(id=key, label=key, kind="individual", line="l", opened=then) for key in "ab")
    >>> thought = BreedingSet(id="", opened=then, members=(
    ...     Member(stock="a", count=1, sex="male"), Member(stock="b", count=1, sex="female")))
    >>> found = planned(pedigree_of((he, she), ()), thought)
    >>> found.young.value, found.related.value, found.within.value
    (0.0, 0.125, 0.25)
    """
    tried = replace(breeding_set, id=_TRIED)
    whole = pedigree_of(pedigree.stocks.values(), (*pedigree.sets.values(), tried))
    found, related = (kinships(whole, (), sets=(_TRIED,), unknown=taken) for taken in (0.0, unknown))
    young, within, other = found.young_of(_TRIED), found.within_young_of(_TRIED), related.young_of(_TRIED)
    if young is None or within is None or other is None:
        return None
    males = sum(one.count for one in breeding_set.members if one.sex == "male")
    females = sum(one.count for one in breeding_set.members if one.sex == "female")
    state = LineState(inbreeding=young.value, kinship=within.value)
    left = generations_left(state, max(males, 1), max(females, 1), limit=limit)
    return Planned(young=young, within=within, related=other, unknown=unknown, left=left)


def propose(
    pedigree: Pedigree,
    males: Sequence[str],
    females: Sequence[str],
    *,
    limit: float = MOST_KINSHIP,
    unknown: float = 0.0,
) -> Proposal:
    """A mate for as many as can have one, with the least kinship in all; none is above the limit.

    Each is proposed once. Among equals the order of the lists decides.

    Source: the assignment problem, as `scipy.optimize.linear_sum_assignment` solves it.

    >>> propose(pedigree_of((), ()), (), ()).mates
    ()
    """
    male: tuple[tuple[str, Sex], ...] = tuple((one, "male") for one in males)
    female: tuple[tuple[str, Sex], ...] = tuple((one, "female") for one in females)
    table = mates(pedigree, male, female, unknown=unknown)
    pairs = assigned(table, limit)
    chosen = sorted(
        (Mate(male=males[i], female=females[k], kinship=float(table[i, k])) for i, k in pairs),
        key=lambda one: one.kinship,
    )
    matched = {one.male for one in chosen} | {one.female for one in chosen}
    alone = tuple(dict.fromkeys(one for one in (*males, *females) if one not in matched))
    rows = tuple(tuple(None if np.isnan(one) else float(one) for one in row) for row in table)
    return Proposal(
        mates=tuple(chosen),
        alone=alone,
        limit=limit,
        males=tuple(males),
        females=tuple(females),
        table=rows,
    )


def assigned(table: NDArray[np.float64], limit: float) -> tuple[tuple[int, int], ...]:
    """Pairs of a row and a column, as many as may be with no kinship above the limit, the least sum of those.

    >>> assigned(np.array([[0.0, 0.25], [0.0, 0.5]]), 0.3)
    ((0, 1), (1, 0))
    """
    from scipy.optimize import linear_sum_assignment  # noqa: PLC0415 - a heavy library, only when asked

    allowed = ~np.isnan(table) & (np.nan_to_num(table, nan=2.0) <= limit + 1e-12)
    if not allowed.any():
        return ()
    # one that is not allowed costs more than all that are: as few of them as can be, then the least kinship
    costs = np.where(allowed, np.nan_to_num(table), float(min(table.shape)) + 1.0)
    rows, columns = linear_sum_assignment(costs)
    return tuple((int(i), int(k)) for i, k in zip(rows, columns, strict=True) if allowed[i, k])


def diversity(known: Kinships, living: Mapping[str, int]) -> Diversity | None:
    """What the living hold of the founders' genes: `living` has how many of each stock there are. None for nobody.

    Stocks in a loop are left out.

    Source: mean kinship, J. D. Ballou and R. C. Lacy (1995), Population Management for Survival and Recovery (from
    memory).

    >>> from datetime import UTC, datetime
    >>> then = datetime(2026, 1, 1, tzinfo=UTC)
    >>> a, b = (Stock(id=key, label=key, kind="group", line="l", opened=then) for key in "ab")
    >>> found = diversity(kinships(pedigree_of((a, b), ())), {"a": 1, "b": 1})
    >>> found.mean, found.equivalents
    (0.25, 2.0)
    """
    held = {key: count for key, count in living.items() if count > 0 and known.inbreeding(key) is not None}
    fish = sum(held.values())
    if not fish:
        return None
    means: list[tuple[str, float]] = []
    for key, count in held.items():
        itself, within = known.with_itself(key), known.within(key)
        assert itself is not None  # it has an inbreeding
        assert within is not None
        total = itself.value + (count - 1) * within.value
        for other, many in held.items():
            between = known.between(key, other) if other != key else None
            total += many * between.value if between is not None else 0.0
        means.append((key, total / fish))
    mean = sum(held[key] * one for key, one in means) / fish
    return Diversity(
        mean=mean,
        of=tuple(sorted(means, key=lambda one: one[1])),
        kept=1 - mean,
        equivalents=1 / (2 * mean) if mean > 0 else float("inf"),
        fish=fish,
    )


def may_father(stocks: Iterable[Stock], living: Mapping[str, int]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The living stocks that may have males, and those that may have females: their sex, or all of which none is known.

    >>> may_father((), {})
    ((), ())
    """
    alive = [one for one in stocks if living.get(one.id, 0) > 0]
    return (
        tuple(one.id for one in alive if one.sex != "female"),
        tuple(one.id for one in alive if one.sex != "male"),
    )
