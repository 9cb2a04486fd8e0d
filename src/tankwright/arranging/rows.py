"""Rows of tanks for a shelf: which may stand side by side, and where, so that every hole clears the uprights.

Tanks alike stand together. Within that every combination is made; each row stands as near the middle of its shelf as
its holes allow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import permutations
from typing import Final

from tankwright.arranging.model import Row, TankSize
from tankwright.units import Metre

MOST_ROWS: Final = 240
"""Rows of one shelf that are looked at; of more, those that fill it best."""

_MOST_ORDERS: Final = 3
_SLIP: Final = 1e-6

Uprights = Sequence[tuple[Metre, Metre]]


def rows_for(
    sizes: Sequence[TankSize], length: Metre, uprights: Uprights, *, gap: Metre, quantum: Metre
) -> tuple[tuple[Row, ...], bool]:
    """Every row of these tanks that fits on so long a shelf, the empty one first, and whether all of them are there.

    >>> cube = TankSize(kind="cube", end_on=False, wide=0.3, deep=0.3, height=0.3, water=0.02, mass=27.0)
    >>> rows, whole = rows_for([cube], 1.0, [(0.0, 0.045), (0.955, 1.0)], gap=0.01, quantum=0.001)
    >>> [len(row.tanks) for row in rows], whole, [place for _, place in rows[2].tanks]
    ([0, 1, 2, 3], True, [0.195, 0.505])
    """
    found: list[Row] = []
    for counts in _counts(sizes, length, gap):
        row = _row(
            [(size, many) for size, many in zip(sizes, counts, strict=True) if many],
            length,
            uprights,
            gap,
            quantum,
        )
        if row is not None:
            found.append(row)
    found.sort(key=lambda row: len(row.tanks))
    if len(found) <= MOST_ROWS:
        return tuple(found), True
    fullest = sorted(found, key=lambda row: -sum(size.wide for size, _ in row.tanks))[: MOST_ROWS - 1]
    return (Row(), *sorted(fullest, key=lambda row: len(row.tanks))), False


def _counts(sizes: Sequence[TankSize], length: Metre, gap: Metre) -> Iterator[tuple[int, ...]]:
    """How many of each, up to what the length holds."""

    def further(number: int, left: Metre) -> Iterator[tuple[int, ...]]:
        if number == len(sizes):
            yield ()
            return
        wide = sizes[number].wide + gap
        for many in range(math.floor((left + gap + _SLIP) / wide) + 1):
            for rest in further(number + 1, left - many * wide):
                yield (many, *rest)

    yield from further(0, length)


def _row(
    groups: list[tuple[TankSize, int]], length: Metre, uprights: Uprights, gap: Metre, quantum: Metre
) -> Row | None:
    """The row in the first order of its groups in which it fits; None when it fits in none."""
    if not groups:
        return Row()
    orders: Iterator[Sequence[tuple[TankSize, int]]] = (
        permutations(groups) if len(groups) <= _MOST_ORDERS else iter((groups, groups[::-1]))
    )
    for order in orders:
        tanks = [size for size, many in order for _ in range(many)]
        placed = _placed(tanks, length, uprights, gap, quantum)
        if placed is not None:
            return Row(
                tanks=tuple(zip(tanks, _in_the_middle(tanks, placed, length, uprights, quantum), strict=True))
            )
    return None


def _placed(
    tanks: Sequence[TankSize], length: Metre, uprights: Uprights, gap: Metre, quantum: Metre
) -> list[Metre] | None:
    """Each tank as far to the left as it goes: no other places let more of them stand in this order."""
    places: list[Metre] = []
    after: Metre = 0.0
    before: TankSize | None = None
    for tank in tanks:
        least = after if before is None else after + max(gap, before.beside[1], tank.beside[0])
        place = _clear(tank, _up(least, quantum), uprights, quantum)
        if place + tank.wide > length + _SLIP:
            return None
        places.append(place)
        after, before = place + tank.wide, tank
    return places


def _clear(tank: TankSize, place: Metre, uprights: Uprights, quantum: Metre) -> Metre:
    """The first place from there on at which no upright stands behind the tank's hole."""
    if tank.hole_at is None:
        return place
    for start, end in sorted(uprights):
        if (
            start < place + tank.hole_at + tank.hole_half - _SLIP
            and place + tank.hole_at - tank.hole_half < end - _SLIP
        ):
            place = _up(end + tank.hole_half - tank.hole_at, quantum)
    return place


def _in_the_middle(
    tanks: Sequence[TankSize], places: list[Metre], length: Metre, uprights: Uprights, quantum: Metre
) -> list[Metre]:
    """The row shifted as a whole towards the middle, as far as every hole stays clear."""
    spare = length - places[-1] - tanks[-1].wide - places[0]
    steps = max(math.floor(spare / 2.0 / quantum + _SLIP), 0)
    for shift in sorted({steps, *(steps * part // 8 for part in range(8))}, reverse=True):
        moved = [_up(place + shift * quantum, quantum) for place in places]
        if all(
            _clear(tank, place, uprights, quantum) == place for tank, place in zip(tanks, moved, strict=True)
        ):
            return moved
    return places


def _up(place: Metre, quantum: Metre) -> Metre:
    return round(math.ceil(place / quantum - 1e-6) * quantum, 9)
