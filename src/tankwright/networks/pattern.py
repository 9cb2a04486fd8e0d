"""Where the non-zeros of the factor fall, worked out once per network.

Rows are eliminated in order of least degree (ties by number), which leaves a tree without any fill and a ring
with almost none. The list of every update the factorisation will make is stored flat, in the order it makes
them, so that the numeric part needs no searching.

Source: minimum-degree ordering as in W. F. Tinney and J. W. Walker (1967), Proc. IEEE 55(11); own code.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """The factor's pattern. `place[v]` is the position of variable v in the elimination order.

    Column j of the factor has the rows `row[column_start[j]:column_start[j + 1]]`, all larger than j.
    `target` lists the entries that each column's elimination changes. `slot[(i, j)]`, i < j, is the entry of
    that pair.
    """

    place: list[int]
    column_start: list[int]
    row: list[int]
    target: list[int]
    slot: dict[tuple[int, int], int]


def factor_pattern(count: int, pairs: Iterable[tuple[int, int]]) -> Pattern:
    """The pattern of a symmetric matrix of `count` rows with off-diagonal entries at `pairs`.

    >>> chain = factor_pattern(4, [(0, 1), (1, 2), (2, 3)])
    >>> len(chain.row), chain.target
    (3, [])
    """
    return _pattern(count, tuple(pairs))


@lru_cache(maxsize=32)  # a run is solved many times over with the same pipes; nobody changes what is kept
def _pattern(count: int, pairs: tuple[tuple[int, int], ...]) -> Pattern:
    neighbours: list[set[int]] = [set() for _ in range(count)]
    for a, b in pairs:
        if a != b:
            neighbours[a].add(b)
            neighbours[b].add(a)
    place = [-1] * count
    columns: list[set[int]] = []
    queue = [(len(around), v) for v, around in enumerate(neighbours)]
    heapq.heapify(queue)
    while queue:
        degree, v = heapq.heappop(queue)
        if place[v] >= 0 or degree != len(neighbours[v]):
            continue
        place[v] = len(columns)
        around = neighbours[v]
        columns.append(around)
        for u in around:
            mine = neighbours[u]
            before = len(mine)
            mine.discard(v)
            if len(around) > 1:
                mine |= around
                mine.discard(u)
            if len(mine) != before:
                heapq.heappush(queue, (len(mine), u))
    column_start = [0]
    row: list[int] = []
    slot: dict[tuple[int, int], int] = {}
    for j, column in enumerate(columns):
        for i in sorted(place[u] for u in column):
            slot[j, i] = len(row)
            row.append(i)
        column_start.append(len(row))
    target: list[int] = []
    for j in range(count):
        rows = row[column_start[j] : column_start[j + 1]]
        for p, upper in enumerate(rows):
            target.extend(slot[upper, lower] for lower in rows[p + 1 :])
    return Pattern(place=place, column_start=column_start, row=row, target=target, slot=slot)
