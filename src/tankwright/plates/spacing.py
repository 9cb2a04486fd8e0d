"""How wide apart a mesh has its lines: wide in the open, narrow where stresses change quickly."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tankwright.plates.model import Floats, Plate
from tankwright.units import Metre

GROWTH = 0.25
"""How much wider the lines lie with each metre from where a hold ends. From trial."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacing:
    """How fine a mesh is: `open` in the middle of nowhere, `hold` where a hold ends, `rim` lengths round a hole."""

    open: Metre
    hold: Metre
    rim: int


def spacing_of(plate: Plate, fineness: int) -> Spacing:
    """The mesh for `fineness`: each step has about 1.5 times as many lines. Rectangles cost so little that they are
    a step ahead."""
    lines = (10.0, 16.0, 24.0, 36.0)[fineness - 1]
    widest = min(plate.length, plate.height) / (lines if plate.holes else 1.5 * lines)
    rim = (40, 64, 96, 144)[fineness - 1]
    return Spacing(open=widest, hold=min(widest, plate.thickness * 4.0 / lines), rim=rim)


def hold_ends(plate: Plate) -> tuple[Metre, ...]:
    """Where along the top edge a hold begins or ends within the plate: there stresses have a peak of their own."""
    if plate.top == "held":
        return ()
    ends = {end for hold in plate.holds for end in (hold.start, hold.end)}
    return tuple(sorted(end for end in ends if 0.0 < end < plate.length))


def top_breaks(plate: Plate) -> tuple[Metre, ...]:
    """Where along the top a mesh must have a line: its ends, those of holds, and a thickness to either side of these,
    from where on stresses are looked at."""
    ends = hold_ends(plate)
    beside = [place for end in ends for place in (end - plate.thickness, end + plate.thickness)]
    return apart([0.0, plate.length, *ends, *beside], plate.length)


def apart(places: list[Metre], end: Metre) -> tuple[Metre, ...]:
    """The places from 0 to `end` in order, without those that lie on an earlier one of the list."""
    kept: list[Metre] = []
    for place in places:
        if 0.0 <= place <= end and all(abs(place - other) > 1e-4 * end for other in kept):
            kept.append(place)
    return tuple(sorted(kept))


def divided(breaks: tuple[Metre, ...], narrow: tuple[tuple[Metre, Metre], ...], widest: Metre) -> Floats:
    """Places from the first of the sorted `breaks` to the last, through each of them, at most `widest` apart;
    `narrow` has (place, spacing there)."""
    rows = [np.array([breaks[0]])]
    for start, end in pairwise(breaks):
        rows.append(_between(start, end, narrow, widest)[1:])
    return np.concatenate(rows)


def _between(start: Metre, end: Metre, narrow: tuple[tuple[Metre, Metre], ...], widest: Metre) -> Floats:
    along = np.linspace(start, end, 401)
    wanted = np.full(along.shape, widest)
    for place, spacing in narrow:
        wanted = np.minimum(wanted, spacing + GROWTH * np.abs(along - place))
    return places_along(along, wanted)


def places_along(along: Floats, wanted: Floats) -> Floats:
    """Places from one end of `along` to the other, about as far apart as `wanted` says where they are."""
    density = 1.0 / wanted
    steps = 0.5 * (density[1:] + density[:-1]) * np.diff(along)
    counted = np.concatenate([[0.0], np.cumsum(steps)])
    count = max(1, int(np.ceil(counted[-1] - 1e-9)))
    places = np.interp(np.linspace(0.0, counted[-1], count + 1), counted, along)
    places[0], places[-1] = along[0], along[-1]
    return places
