"""How well and how fast sticks are cut: beside first fit by hand, and beside a constraint search of the whole job.

Run: python -m benchmarks.cutting. Ratios within one run count, not seconds.
"""

from __future__ import annotations

import csv
import os
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ortools.sat.python import cp_model

from tankwright.takeoff.cutting import cut
from tankwright.takeoff.cutting_model import Piece, Stock

PUBLISHED: Final = Path(__file__).parent.parent / "tests" / "published" / "cutting_instances.csv"
GOAL: Final = 1.0
"""Seconds at most for the pipes of a room, proved."""

SEARCHED: Final = 20.0
"""Seconds that the constraint search of the whole job is given."""

PIPES: Final = (
    (2840, 4), (2615, 6), (2410, 4), (2230, 8), (2075, 6), (1960, 8), (1815, 10), (1690, 6), (1575, 12), (1440, 8),
    (1325, 10), (1210, 14), (1105, 8), (1020, 12), (935, 16), (860, 10), (775, 18), (690, 12), (615, 16), (540, 20),
    (465, 14), (390, 22), (335, 18), (270, 24), (215, 16), (180, 12), (150, 10),
)  # fmt: skip
"""Millimetres and count: 324 pieces of 27 lengths, made up."""

SOLD: Final = (Stock(length=6.0, price=11.0), Stock(length=4.0, price=8.2), Stock(length=3.0, price=6.4),
               Stock(length=1.0, price=2.9))  # fmt: skip
KERF: Final = 0.003


@dataclass(frozen=True, slots=True, kw_only=True)
class _Job:
    name: str
    pieces: tuple[Piece, ...]
    stocks: tuple[Stock, ...]
    kerf: float


def run() -> int:
    """Print the table; how many goals were missed is told at the end."""
    print(f"cutting (load of the machine {os.getloadavg()[0]:.1f})")
    print("job                 pieces  first fit   search alone   bound of it       ours      bound  proved by"
          "                   took s   search / ours")  # fmt: skip
    missed = 0
    for job in _jobs():
        began = time.perf_counter()
        ours = cut(job.pieces, job.stocks, kerf=job.kerf, clock=time.perf_counter)
        took = time.perf_counter() - began
        by_hand = _first_fit(job)
        alone, bound, searched = _searched(job, by_hand)
        pieces = sum(one.count for one in job.pieces)
        print(
            f"{job.name:18}  {pieces:6d}  {by_hand:9.1f}   {alone:12.1f}   {bound:11.1f}  {ours.value:9.1f}"
            f"  {ours.lower_bound:9.1f}  {ours.how or 'not proved':26}  {took:7.3f}   {searched / took:13.0f}"
        )
        missed += not ours.proved_optimal
        missed += job.name.startswith("pipes") and took > GOAL
    print("cutting: all goals met" if not missed else f"cutting: {missed} goals missed")
    return 1 if missed else 0


def _jobs() -> Iterator[_Job]:
    pipes = tuple(Piece(length=length / 1000, count=count) for length, count in PIPES)
    cut(pipes[:3], SOLD, kerf=KERF)  # the solvers are loaded once, before any clock runs
    yield _Job(name="pipes, 4 lengths", pieces=pipes, stocks=SOLD, kerf=KERF)
    yield _Job(name="pipes, 6 m", pieces=pipes, stocks=SOLD[:1], kerf=KERF)
    yield _Job(
        name="pipes, no prices",
        pieces=pipes,
        stocks=tuple(Stock(length=one.length) for one in SOLD),
        kerf=KERF,
    )
    rows: dict[tuple[str, int], list[Piece]] = {}
    for row in csv.DictReader(PUBLISHED.read_text("utf-8").splitlines()[1:]):
        piece = Piece(length=int(row["length"]) / 1000, count=int(row["count"]))
        rows.setdefault((row["instance"], int(row["stock"])), []).append(piece)
    for (name, size), pieces in rows.items():
        yield _Job(name=name, pieces=tuple(pieces), stocks=(Stock(length=size / 1000),), kerf=0.0)


def _first_fit(job: _Job) -> float:
    """The longest piece first, into the first of the longest sticks that holds it: what is done on paper."""
    longest = max(job.stocks, key=lambda one: one.length)
    free: list[float] = []
    for length in sorted((one.length for one in job.pieces for _ in range(one.count)), reverse=True):
        wide = length + job.kerf
        place = next((place for place, room in enumerate(free) if room >= wide - 1e-9), None)
        if place is None:
            free.append(longest.length + job.kerf)
            place = len(free) - 1
        free[place] -= wide
    several = len(job.stocks) > 1
    each = longest.price if longest.price is not None and several else longest.length if several else None
    return len(free) * (longest.price or 1.0) if each is None else len(free) * each


def _searched(job: _Job, by_hand: float) -> tuple[float, float, float]:
    """The job as one writes it down for a constraint solver: each stick a slot. Value, bound, seconds."""
    weights = [_weight(job, one) for one in job.stocks]
    slots = (
        round(by_hand * 1000 / min(weights))
        if len(weights) == 1
        else round(by_hand * 1000 / max(weights)) + 40
    )
    model = cp_model.CpModel()
    unit, saw = 10_000, round(job.kerf * 10_000)
    chosen = [[model.new_bool_var("") for _ in job.stocks] for _ in range(slots)]
    has = [[model.new_int_var(0, one.count, "") for one in job.pieces] for _ in range(slots)]
    for kinds, pieces in zip(chosen, has, strict=True):
        model.add_at_most_one(kinds)
        model.add(
            sum((round(one.length * unit) + saw) * many for one, many in zip(job.pieces, pieces, strict=True))
            <= sum(
                (round(one.length * unit) + saw) * kind for one, kind in zip(job.stocks, kinds, strict=True)
            )
        )
    for place, one in enumerate(job.pieces):
        model.add(sum(pieces[place] for pieces in has) == one.count)
    model.minimize(
        sum(weight * kind for kinds in chosen for weight, kind in zip(weights, kinds, strict=True))
    )
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = SEARCHED
    solver.parameters.num_workers = 2
    began = time.perf_counter()
    status = solver.solve(model)
    took = time.perf_counter() - began
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return (
        (solver.objective_value if found else float("inf")) / 1000,
        solver.best_objective_bound / 1000,
        took,
    )


def _weight(job: _Job, stock: Stock) -> int:
    """What a stick counts for, in thousandths."""
    if stock.price is not None:
        return round(stock.price * 1000)
    return 1000 if len(job.stocks) == 1 else round(stock.length * 1000)


if __name__ == "__main__":
    raise SystemExit(run())
