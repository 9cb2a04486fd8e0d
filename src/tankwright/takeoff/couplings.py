"""Where a pipe longer than its sticks is cut, and where the couplings between its pieces stand.

As few pieces as the sticks allow, as nearly alike as they can be. A coupling that would meet a tap or a saddle slides
to the middle between two of them, as far as the sticks reach.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from tankwright.units import Metre

FINE = 1e-9
"""m, less than any arithmetic of lengths leaves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupling:
    """What one coupling takes of the way, from the stop in one of its sockets to that in the other, and how far to
    either side of its middle the pipe must be free of taps."""

    takes: Metre
    half: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Cuts:
    """The pieces of a pipe, the middles of the couplings between them from where it begins, and how many of those
    stand on a tap, because there was no room beside it."""

    pieces: tuple[Metre, ...]
    couplings: tuple[Metre, ...] = ()
    met: int = 0


def in_sticks(length: Metre, longest: Metre, coupling: Coupling, taps: Sequence[Metre] = ()) -> Cuts:
    """How a pipe is made of sticks of which pieces up to `longest` can be cut. `taps` are along it, in order.

    A stick that is no longer than what its ends take in two couplings makes nothing longer: then it is left whole.

    >>> small = Coupling(takes=0.003, half=0.02)
    >>> [round(piece, 4) for piece in in_sticks(9.973, 3.99, small).pieces]
    [3.3223, 3.3223, 3.3223]
    >>> [round(middle, 4) for middle in in_sticks(6.0, 3.99, small, taps=[2.0, 3.01]).couplings]
    [2.505]
    """
    if length <= longest + FINE or longest <= 2.0 * coupling.half:
        return Cuts(pieces=(length,))
    number = math.ceil((length + coupling.takes - FINE) / (longest + coupling.takes))
    best = _cut(length, longest, coupling, taps, number)
    if best.met:  # one piece more may leave room to slide
        more = _cut(length, longest, coupling, taps, number + 1)
        best = more if more.met < best.met else best
    return best


def _cut(length: Metre, longest: Metre, coupling: Coupling, taps: Sequence[Metre], number: int) -> Cuts:
    pieces: list[Metre] = []
    middles: list[Metre] = []
    here, met, takes = 0.0, 0, coupling.takes
    for left in range(number - 1, 0, -1):
        even = (length - here - left * takes) / (left + 1)
        rest = left * longest + (left - 1) * takes  # the most that the pieces behind it make
        low = max(length - rest - takes / 2.0, here + coupling.half)
        high = min(here + longest + takes / 2.0, length - coupling.half)
        middle, clear = _beside(here + even + takes / 2.0, (low, high), coupling.half, taps, length)
        met += not clear
        pieces.append(middle - takes / 2.0 - here)
        middles.append(middle)
        here = middle + takes / 2.0
    pieces.append(length - here)
    return Cuts(pieces=tuple(pieces), couplings=tuple(middles), met=met)


def _beside(
    wanted: Metre, reach: tuple[Metre, Metre], half: Metre, taps: Sequence[Metre], length: Metre
) -> tuple[Metre, bool]:
    """The place nearest to the wanted one that is clear of all taps, within reach; else one between two taps."""
    low, high = reach
    edges = (-half, *taps, length + half)
    clear: list[Metre] = []
    for before, behind in pairwise(edges):
        first, last = max(before + half, low), min(behind - half, high)
        if first <= last + FINE:
            if first <= wanted <= last:
                return wanted, True
            clear.append(min(max((before + behind) / 2.0, first), last))
    if clear:
        return min(clear, key=lambda place: abs(place - wanted)), True
    between = [(before + behind) / 2.0 for before, behind in pairwise(taps)]
    nearest = min(between, key=lambda place: abs(place - wanted), default=wanted)
    return min(max(nearest, low), high), False
