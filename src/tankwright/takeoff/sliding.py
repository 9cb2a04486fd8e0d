"""Tees along a straight pipe, moved no more than they must so that each has room.

Hoses hang loose, so a tee for a hose may stand a little beside the hole it serves. Where two would overlap they are
moved apart by the least sum of squares: a mean of those that push each other, "pool adjacent violators" of isotonic
regression (Ayer and others 1955, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

from tankwright.units import Metre


def spread_out(wanted: Sequence[Metre], apart: Metre, low: Metre, high: Metre) -> tuple[Metre, ...]:
    """Places along a pipe, in the order given, at least `apart` from each other and between `low` and `high`.

    When there is not room for all of them they stand evenly about the middle, `apart` from each other: then the
    first or the last lies outside, and whoever asks must say so.

    >>> [round(place, 3) for place in spread_out([0.5, 0.5, 2.0], 0.1, 0.0, 3.0)]
    [0.45, 0.55, 2.0]
    >>> [round(place, 3) for place in spread_out([0.0, 0.0], 0.5, 0.1, 0.3)]
    [-0.05, 0.45]
    """
    blocks: list[tuple[float, int]] = []  # (mean of the wanted places less their gaps, how many)
    for index, place in enumerate(wanted):
        mean, number = place - index * apart, 1
        while blocks and blocks[-1][0] > mean:
            before, more = blocks.pop()
            mean = (mean * number + before * more) / (number + more)
            number += more
        blocks.append((mean, number))
    top = high - (len(wanted) - 1) * apart
    if top < low:
        low = top = (low + top) / 2.0
    placed: list[Metre] = []
    for mean, number in blocks:
        begin = min(max(mean, low), top)
        placed += [begin + (len(placed) + step) * apart for step in range(number)]
    return tuple(placed)
