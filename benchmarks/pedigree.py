"""Inbreeding of tagged animals beside the table everybody learns first, and batches beside their animals."""

from __future__ import annotations

import time
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from tankwright.husbandry.kinship import kinships
from tankwright.husbandry.pedigree import pedigree_of
from tankwright.husbandry.register import BreedingSet, Member, OriginShare, Stock
from tankwright.husbandry.tagged import kinship_with, tagged

Whole = NDArray[np.int64]


def herd(animals: int, generations: int, families: int) -> tuple[Whole, Whole]:
    """Sires and dams of generations of as many animals each, out of so many pairs a generation, drawn by lot."""
    lot, each = np.random.default_rng(1), animals // generations
    sires, dams = np.full(animals, -1, dtype=np.int64), np.full(animals, -1, dtype=np.int64)
    for number in range(1, generations):
        pairs = lot.integers(0, each, (families, 2)) + (number - 1) * each
        which = lot.integers(0, families, each)
        part = slice(number * each, (number + 1) * each)
        sires[part], dams[part] = pairs[which].T
    return sires, dams


def table(sires: Whole, dams: Whole) -> NDArray[np.float64]:
    """The tabular method as it is taught, a row at a time in numpy."""
    made = np.zeros((len(sires), len(sires)))
    for i, (sire, dam) in enumerate(zip(sires, dams, strict=True)):
        for parent in (sire, dam):
            if parent >= 0:
                made[i, :i] += 0.5 * made[parent, :i]
        made[:i, i] = made[i, :i]
        made[i, i] = 1 + (0.5 * made[sire, dam] if sire >= 0 and dam >= 0 else 0)
    return made


def room(sets: int) -> tuple[list[Stock], list[BreedingSet]]:
    """A line of so many sets of two males and three females, each out of two earlier broods."""
    lot, then = np.random.default_rng(2), datetime(2026, 1, 1, tzinfo=UTC)
    stocks = [Stock(id=f"f{n}", label="", kind="group", line="l", opened=then, kinship=0.0) for n in range(8)]
    made = []
    for number in range(sets):
        near = stocks[-12:]
        he, she = (near[int(k)] for k in lot.choice(len(near), 2, replace=False))
        members = (Member(stock=he.id, count=2, sex="male"), Member(stock=she.id, count=3, sex="female"))
        made.append(BreedingSet(id=f"s{number}", members=members, opened=then))
        origin = (OriginShare(breeding_set=f"s{number}"),)
        stocks.append(Stock(id=f"b{number}", label="", kind="brood", line="l", opened=then, origin=origin))
    return stocks, made


def _timed(make: object, *arguments: object) -> tuple[float, object]:
    start = time.perf_counter()
    answer = make(*arguments)  # type: ignore[operator] - a function of the above
    return time.perf_counter() - start, answer


def run() -> None:
    """Print how long inbreeding takes, by the table and by the walk, and how that grows."""
    print("inbreeding of tagged animals, 20 generations of 50 families: the table in numpy, and the walk")
    tagged(*herd(4000, 20, 50))  # loads the compiler's cache once, as a served program has
    for animals in (1_000, 2_000, 4_000, 8_000):
        sires, dams = herd(animals, 20, 50)
        slow, whole = _timed(table, sires, dams)
        fast, found = _timed(tagged, sires, dams)
        worst = float(np.abs(np.diag(whole) - 1 - found.inbreeding).max())  # type: ignore[arg-type, attr-defined]
        print(
            f"{animals:>9,}  table {slow:8.3f} s  walk {fast:7.4f} s  {slow / fast:7.0f} x  apart {worst:.0e}"
        )
    print("more than a table holds: the walk alone, wanted within 3 s for 100,000 of 200 families")
    for animals, generations, families in ((100_000, 40, 200), (100_000, 40, 1_000), (100_000, 5, 15_000)):
        fast, found = _timed(tagged, *herd(animals, generations, families))
        with_all, _ = _timed(kinship_with, found, np.full(animals, 1 / animals))
        print(
            f"{animals:>9,}  {generations} generations of {families:,}: {fast:6.2f} s,"
            f" kinship of each with all {with_all:.4f} s"
        )
    print("kinship of batches, every one with every other")
    for sets in (100, 200, 400, 800):
        spent, _ = _timed(lambda some: kinships(pedigree_of(*some)), room(sets))
        print(f"{sets:>9,} sets  {spent:6.3f} s")
