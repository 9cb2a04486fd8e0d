"""Where the strips of a glass brace lie. Apart from the laying out, so that who asks it needs no plan."""

from __future__ import annotations

from tankwright.room.model_structure import BracePlace
from tankwright.units import Metre


def brace_strips(brace: BracePlace, length: Metre) -> tuple[tuple[Metre, Metre], ...]:
    """From and to of each cross strip along a tank of that length, evenly spaced; none of a strip all round.

    >>> from tankwright.origin import derived
    >>> one = BracePlace(kind="cross", count=1, width=derived(0.06), thickness=derived(0.006))
    >>> [[round(end, 3) for end in strip] for strip in brace_strips(one, 0.9)]
    [[0.42, 0.48]]
    """
    if brace.kind == "euro":
        return ()
    half = brace.width.value / 2.0
    middles = (length * number / (brace.count + 1) for number in range(1, brace.count + 1))
    return tuple((middle - half, middle + half) for middle in middles)
