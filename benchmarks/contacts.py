"""How fast contacts are traced, beside a plain pass in Python and beside a graph without time, in the same run.

Run: python -m benchmarks.contacts. Contacts made by chance among 2,000 tanks over three years, and a tank apart that
none reaches, so that no pass ends early: a fifth fish moved, the rest dips of 200 nets that are wet for a day. Each
time is the best of several rounds with the table made beforehand, as an open room keeps it; turning it round is timed
apart. The graph without time is what one draws on paper: it names tanks that could not be. Orders of work are timed
beside every order tried one by one.
"""

from __future__ import annotations

import importlib
import time
from collections.abc import Callable
from datetime import UTC, datetime
from itertools import pairwise, permutations
from typing import Any, Final

import numpy as np

from tankwright.husbandry.contact_kernel import DIP, MOVE, NEVER
from tankwright.husbandry.contact_table import HOUR, ContactTable, made_table, turned
from tankwright.husbandry.contact_trace import walk_table
from tankwright.husbandry.round_order import Stop, order_of_work
from tankwright.husbandry.walk_lengths import Spot, walk_lengths

TANKS: Final = 2000
TOOLS: Final = 200
YEARS: Final = 3
SIZES: Final = (100_000, 1_000_000, 4_000_000)
LIMIT: Final = 0.050
_BEGIN: Final = int(datetime(2026, 1, 1, tzinfo=UTC).timestamp() * 1_000_000)
_END: Final = _BEGIN + YEARS * 365 * 24 * HOUR


def contacts(count: int) -> ContactTable:
    """So many contacts by chance, always the same."""
    random = np.random.default_rng(8)
    at = np.sort(random.integers(_BEGIN, _END, count))
    kind = np.where(random.random(count) < 0.2, MOVE, DIP)
    tank = random.integers(0, TANKS, count)
    one = np.where(kind == MOVE, tank, random.integers(0, TOOLS, count))
    two = np.where(kind == MOVE, (tank + random.integers(1, TANKS, count)) % TANKS, tank)
    empty = np.zeros(0, dtype=np.int64)
    return made_table(
        places=(*(f"T{number}" for number in range(TANKS)), "apart"), tools=tuple(f"net {n}" for n in range(TOOLS)),
        wet=np.full(TOOLS, 24 * HOUR), items=(at, kind, one, two, np.arange(count)), links=(empty,) * 5,
    )  # fmt: skip


def in_plain_python(table: ContactTable, start: int, since: int) -> dict[int, int]:
    """The same rule in a dictionary and a loop, as one would write it in an afternoon (moments alike left aside)."""
    at, kind, one, two = (column.tolist() for column in (table.at, table.kind, table.one, table.two))
    wet = table.wet.tolist()
    reached, tool = {start: since}, {}
    for now, what, a, b in zip(at, kind, one, two, strict=True):
        if now < since:
            continue
        if what == MOVE:
            if a in reached and b not in reached:
                reached[b] = now
        else:
            if b not in reached and a in tool and now - tool[a] <= wet[a]:
                reached[b] = now
            if b in reached:
                tool[a] = now
    return reached


def best(work: Callable[[], Any], rounds: int = 5) -> tuple[float, Any]:
    """The least time of several rounds, and what came of it."""
    times, answer = [], None
    for _ in range(rounds):
        begun = time.perf_counter()
        answer = work()
        times.append(time.perf_counter() - begun)
    return min(times), answer


def without_time(table: ContactTable, start: int, since: int) -> tuple[float, int] | None:
    """Seconds and tanks named by a graph of who was ever in contact with whom since then; None without the library."""
    try:
        networkx = importlib.import_module("networkx")
    except ImportError:
        return None
    later = table.at >= since
    kind, one, two = table.kind[later], table.one[later], table.two[later]
    graph = networkx.DiGraph()
    graph.add_edges_from(zip(one[kind == MOVE].tolist(), two[kind == MOVE].tolist(), strict=True))
    dips = list(zip((-1 - one[kind == DIP]).tolist(), two[kind == DIP].tolist(), strict=True))
    graph.add_edges_from(dips)
    graph.add_edges_from((b, a) for a, b in dips)
    if start not in graph:
        return 0.0, 0
    spent, found = best(lambda: networkx.descendants(graph, start), 2)
    return spent, sum(1 for name in found if name >= 0 and name != start)


def run() -> None:
    """Print the table."""
    print("Contacts traced")
    walk_table(contacts(200_000), "T5", _BEGIN, _END)  # the compiler, once
    print("contacts      forward      back  turned round  plain Python  ratio")
    for size in SIZES:
        table = contacts(size)
        spent, way = best(lambda table=table: walk_table(table, "T5", _BEGIN, _END))
        turning, back = best(lambda table=table: turned(table), 2)
        backwards, _ = best(lambda back=back: walk_table(back, "T5", _BEGIN, _END))
        plain, reached = best(lambda table=table: in_plain_python(table, 5, _BEGIN), 1)
        assert {place: int(way.reached[place]) for place in reached} == reached
        print(f"{size:>9,}  {spent * 1e3:>7.1f} ms  {backwards * 1e3:>5.1f} ms  {turning * 1e3:>8.0f} ms  "
              f"{plain * 1e3:>8.0f} ms  {plain / spent:>6.0f}")  # fmt: skip
        if size == 1_000_000:
            print(f"           {'within' if spent <= LIMIT else 'NOT within'} {LIMIT * 1e3:.0f} ms")
    table = contacts(1_000_000)
    for days in (1, 2, 3):
        since = _END - days * 24 * HOUR
        spent, way = best(lambda since=since: walk_table(table, "T5", since, _END))
        named = int((way.reached != NEVER).sum()) - 1
        drawn = without_time(table, 5, since)
        beside = (
            "networkx is not there"
            if drawn is None
            else f"without time {drawn[0] * 1e3:.1f} ms, {drawn[1]} tanks"
        )
        print(f"last {days} days: {spent * 1e3:.1f} ms, {named} tanks could be; {beside}")
    print("Orders of work")
    random = np.random.default_rng(3)
    for count in (8, 12, 60, 600):
        stops = [
            Stop(id=f"s{n:03d}", place=f"s{n}", grade="quarantine" if n % 6 == 0 else "normal",
                 unit="q" if n % 6 == 0 else "", spot=Spot(x=float(x), y=float(y)), order=n)
            for n, (x, y) in enumerate(random.random((count, 2)) * 9)
        ]  # fmt: skip
        spent, order = best(lambda stops=stops: order_of_work(stops), 3)
        print(
            f"{count:>4} stops: {spent * 1e3:.0f} ms, {order.metres:.1f} m{' (proved shortest)' if order.exact else ''}"
        )
        if count == 8:
            lengths = walk_lengths([one.spot for one in stops if one.spot is not None])
            begun = time.perf_counter()
            shortest = min(
                sum(float(lengths[a, b]) for a, b in pairwise(route))
                for route in permutations(range(count))
                if [stops[n].unit for n in route] == sorted(one.unit for one in stops)
            )
            print(
                f"           every order tried: {(time.perf_counter() - begun) * 1e3:.0f} ms, {shortest:.1f} m"
            )


if __name__ == "__main__":
    run()
