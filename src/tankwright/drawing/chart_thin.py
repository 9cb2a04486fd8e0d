"""Thousands of points made as few as the page can show, without losing a peak."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tankwright.drawing.model import Point

PlacedPoint = tuple[Point, int]
"""A point on the page and its number in the line it comes from."""


def thinned(points: Sequence[PlacedPoint], column: float) -> tuple[PlacedPoint, ...]:
    """Of each column of the page, `column` mm wide, the first, the highest, the lowest and the last point.

    Points keep their order, so the line through what is left covers the same pixels as before. A line that runs back
    and forth is thinned as it runs.

    >>> thinned([((0.1, 5.0), 0), ((0.2, 9.0), 1), ((0.3, 4.0), 2), ((0.35, 6.0), 3), ((0.4, 5.0), 4)], 1.0)
    (((0.1, 5.0), 0), ((0.2, 9.0), 1), ((0.3, 4.0), 2), ((0.4, 5.0), 4))
    """
    kept: list[PlacedPoint] = []
    for block in _columns(points, column):
        kept.extend(_ends_and_extremes(block))
    return tuple(kept)


def extremes(points: Sequence[PlacedPoint], column: float) -> tuple[PlacedPoint, ...]:
    """Of each column the highest and the lowest point: what one can still point at."""
    kept: list[PlacedPoint] = []
    for block in _columns(points, column):
        chosen = {one[1]: one for one in (_highest(block), _lowest(block))}
        kept.extend(chosen[number] for number in sorted(chosen))
    return tuple(kept)


def _columns(points: Sequence[PlacedPoint], column: float) -> Iterator[list[PlacedPoint]]:
    block: list[PlacedPoint] = []
    now = 0
    for point in points:
        there = int(point[0][0] // column)
        if block and there != now:
            yield block
            block = []
        now = there
        block.append(point)
    if block:
        yield block


def _ends_and_extremes(block: list[PlacedPoint]) -> list[PlacedPoint]:
    if len(block) <= 2:
        return block
    chosen = {one[1]: one for one in (block[0], _highest(block), _lowest(block), block[-1])}
    return [chosen[number] for number in sorted(chosen)]


def _highest(block: list[PlacedPoint]) -> PlacedPoint:
    return min(block, key=lambda one: one[0][1])


def _lowest(block: list[PlacedPoint]) -> PlacedPoint:
    return max(block, key=lambda one: one[0][1])
