"""Inbreeding and kinship of animals known one by one: a table for a few, a walk over ancestors for many.

Animals are numbers from 0, an unknown parent is -1. The walk is after Meuwissen and Luo (1992), Genetics Selection
Evolution 24, 305-313: the inbreeding of an animal from the variance each of its ancestors adds; a pair of parents is
walked once however many young it has, as Quaas (1976), Biometrics 32, 949-953, orders it. All kinships with a group at
once are after Colleau (2002), Genetics Selection Evolution 34, 409-421. (Titles from memory.)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tankwright.compiling import compile_loop
from tankwright.husbandry import tagged_kernel

Numbers = NDArray[np.float64]
Whole = NDArray[np.int64]

INTERPRETED_STEPS = 300_000
"""Steps over ancestors up to which plain Python answers sooner than the compiler is loaded (measured: 0.2 s each)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tagged:
    """Animals with their parents and their inbreeding; NaN for those in a loop or come from one. `order` has parents
    before their young, without those; `spread` is the part of an animal's variance that is its own."""

    sires: Whole
    dams: Whole
    inbreeding: Numbers
    order: Whole
    spread: Numbers

    @property
    def in_loops(self) -> tuple[int, ...]:
        """The animals that are their own ancestors or come from such."""
        return tuple(int(i) for i in np.flatnonzero(np.isnan(self.inbreeding)))


def tagged(
    sires: Sequence[int] | Whole, dams: Sequence[int] | Whole, *, before: Tagged | None = None
) -> Tagged:
    """The inbreeding of each animal, 0 to 1, from the numbers of its parents.

    `before` is an earlier answer for the first of these animals, with the same parents: only new pairs are walked.
    Raises ValueError for lists that do not fit each other or `before`, or parents that are no animals.

    >>> tagged([-1, -1, 0, 0, 3, 4], [-1, -1, 1, -1, 2, 1]).inbreeding.tolist()
    [0.0, 0.0, 0.0, 0.0, 0.125, 0.125]
    """
    sire, dam = np.array(sires, dtype=np.int64), np.array(dams, dtype=np.int64)
    if sire.shape != dam.shape or sire.ndim != 1:
        raise ValueError(f"{sire.size} sires and {dam.size} dams are not those of one list of animals")
    count = len(sire)
    if count and (min(sire.min(), dam.min()) < -1 or max(sire.max(), dam.max()) >= count):
        raise ValueError(f"a parent is a number from 0 to {count - 1}, or -1 for unknown")
    order = _order(sire, dam)
    rank = np.full(count + 1, -1, dtype=np.int64)  # the last one is the rank of an unknown parent
    rank[order] = np.arange(len(order))
    inbred = np.full(count, np.nan)
    first, second = rank[sire[order]], rank[dam[order]]
    known = None
    if before is not None:
        had = len(before.sires)
        if not (np.array_equal(sire[:had], before.sires) and np.array_equal(dam[:had], before.dams)):
            raise ValueError("the animals reckoned before have other parents now")
        known = np.full(count, np.nan)
        known[: len(before.inbreeding)] = before.inbreeding
        known = known[order]
    ranked = _inbreeding(first, second, known)
    inbred[order] = ranked
    spread = np.full(count, np.nan)
    spread[order] = _spread(first, second, ranked)
    return Tagged(sires=sire, dams=dam, inbreeding=inbred, order=order, spread=spread)


def kinship_with(animals: Tagged, weights: Sequence[float] | Numbers) -> Numbers:
    """The mean kinship of each animal with a group: `weights` has the share of each animal in it. In the time of two
    passes over the list. NaN for animals of a loop.

    >>> kinship_with(tagged([-1, -1, 0], [-1, -1, 1]), [0, 0, 1.0]).tolist()
    [0.25, 0.25, 0.5]
    """
    order = animals.order
    rank = np.full(len(animals.sires) + 1, -1, dtype=np.int64)
    rank[order] = np.arange(len(order))
    values = np.array(weights, dtype=np.float64)[order]
    arguments = (rank[animals.sires[order]], rank[animals.dams[order]], animals.spread[order], values)
    _run("relate", arguments, len(order) * 4)
    made = np.full(len(animals.sires), np.nan)
    made[order] = values / 2
    return made


def relationship_table(
    fathers: Sequence[Mapping[int, float]], mothers: Sequence[Mapping[int, float]]
) -> Numbers:
    """Relationships (twice the kinship, on the diagonal 1 + F) of a few animals whose parents may be uncertain.

    Each animal has its possible fathers and mothers with their chances, which sum to 1 when it has any; parents come
    before their young. Grows with the square of the animals.

    Source: C. R. Henderson (1988), Journal of Animal Science 66, 1614-1621, the average numerator relationship matrix
    (title from memory).

    >>> table = relationship_table([{}, {}, {}, {0: 0.7, 2: 0.3}], [{}, {}, {}, {1: 1.0}])
    >>> table[3, :3].tolist()
    [0.35, 0.5, 0.15]
    """
    table = np.zeros((len(fathers), len(fathers)))
    for animal, (sires, dams) in enumerate(zip(fathers, mothers, strict=True)):
        if any(parent >= animal for parent in (*sires, *dams)):
            raise ValueError(f"animal {animal} has a parent that stands behind it in the list")
        for parents in (sires, dams):
            for parent, chance in parents.items():
                table[animal, :animal] += 0.5 * chance * table[parent, :animal]
        table[:animal, animal] = table[animal, :animal]
        both = (
            chance * other * table[sire, dam] for sire, chance in sires.items() for dam, other in dams.items()
        )
        table[animal, animal] = 1 + 0.5 * sum(both)
    return table


def _order(sire: Whole, dam: Whole) -> Whole:
    """Animals with parents first; those in loops are left out."""
    count = len(sire)
    parents = np.concatenate([sire, dam])
    young = np.concatenate([np.arange(count), np.arange(count)])
    held = parents >= 0
    parents, young = parents[held], young[held]
    child = young[np.argsort(parents, kind="stable")]
    first_child = np.zeros(count + 1, dtype=np.int64)
    first_child[1:] = np.cumsum(np.bincount(parents, minlength=count)) if count else 0
    waits = (sire >= 0).astype(np.int64) + (dam >= 0)
    order, found = np.zeros(count, dtype=np.int64), np.zeros(1, dtype=np.int64)
    _run("put_parents_first", (first_child, child, waits, order, found), 3 * count)
    return order[: int(found[0])]


def _inbreeding(sire: Whole, dam: Whole, known: Numbers | None) -> Numbers:
    """The inbreeding of animals in order, each pair of parents once."""
    count = len(sire)
    inbred = np.zeros(count)
    both = np.flatnonzero((sire >= 0) & (dam >= 0))
    if not len(both):
        return inbred
    parents = np.unique(np.concatenate([sire[sire >= 0], dam[dam >= 0]]))
    place = np.full(count + 1, -1, dtype=np.int64)
    place[parents] = np.arange(len(parents))
    sires, dams = place[sire[parents]], place[dam[parents]]
    one, other = place[sire[both]], place[dam[both]]
    late, early = np.maximum(one, other), np.minimum(one, other)
    keys, which = np.unique(late * len(parents) + early, return_inverse=True)
    younger, elder = keys // len(parents), keys % len(parents)
    pair_of = np.full(count, -1, dtype=np.int64)
    pair_of[both] = which
    values = np.zeros(len(keys))
    done = np.zeros(len(keys), dtype=np.int64)
    if known is not None:
        had = np.flatnonzero(~np.isnan(known[both]))
        values[which[had]], done[which[had]] = known[both[had]], 1
    lowest, ancestors = _reach(sires, dams)
    span = np.where(done == 1, 0, younger - np.minimum(lowest[younger], lowest[elder]) + 1)
    work = np.minimum(span, tagged_kernel.HEAP_COST * (ancestors[younger] + ancestors[elder]))
    arguments = (
        *(elder, younger, sires, dams, pair_of[parents], lowest, ancestors, done, values),
        *(np.zeros(len(parents)), np.zeros(len(parents)), np.zeros(len(parents) + 1, dtype=np.int64)),
    )
    _run("walk_pairs", arguments, int(work.sum()))
    inbred[both] = values[which]
    return inbred


def _reach(sires: Whole, dams: Whole) -> tuple[Whole, Numbers]:
    """The least number among the ancestors of each parent, and how many it can have at the most."""
    lowest, ancestors = np.arange(len(sires)), np.ones(len(sires))
    low, many = lowest.tolist(), ancestors.tolist()
    for i, (sire, dam) in enumerate(zip(sires.tolist(), dams.tolist(), strict=True)):
        for parent in (sire, dam):
            if parent >= 0:
                low[i] = min(low[i], low[parent])
                many[i] = min(many[i] + many[parent], i + 1.0)
    return np.array(low, dtype=np.int64), np.array(many, dtype=np.float64)


def _spread(sire: Whole, dam: Whole, inbred: Numbers) -> Numbers:
    """The part of each animal's variance that does not come from its parents."""
    made = np.ones(len(sire))
    for parent in (sire, dam):
        held = parent >= 0
        made[held] -= 0.25 * (1 + inbred[parent[held]])
    return made


def _run(name: str, arguments: tuple[Any, ...], steps: int) -> None:
    """Run a loop of the kernel and leave the answer in its arrays; compiled when that pays."""
    if steps > INTERPRETED_STEPS or _compiled.cache_info().currsize:
        _compiled(name)(*arguments)
        return
    lists = [one.tolist() for one in arguments]
    getattr(tagged_kernel, name)(*lists)
    for array, filled in zip(arguments, lists, strict=True):
        array[:] = filled


@cache
def _compiled(name: str) -> Callable[..., None]:
    """A loop of the kernel as machine code."""
    helpers = (tagged_kernel.push, tagged_kernel.drop) if name == "walk_pairs" else ()
    return compile_loop(getattr(tagged_kernel, name), helpers, (tagged_kernel,))
