"""How a person with cardboard would do it: place after place, a rack wherever it fits and all can be walked to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tankwright.arranging.conflicts import clash
from tankwright.arranging.model import Place
from tankwright.arranging.walkable import Walking
from tankwright.units import Metre


def first_fit(places: Sequence[Place], order: Iterable[int], walking: Walking) -> tuple[int, ...]:
    """The places, taken in that order, each unless it clashes with one before or shuts a rack in."""
    chosen: list[int] = []
    for number in order:
        if any(clash(places[number], places[other]) for other in chosen):
            continue
        if not walking.shuts([*chosen, number]):
            chosen.append(number)
    return tuple(chosen)


def long_side(place: Place) -> Metre:
    """The length of its rack, to the millimetre."""
    box = place.box
    return round(max(box.x1 - box.x0, box.y1 - box.y0), 3)
