"""How the weight on a shelf comes down: tanks to bearers, bearers to uprights, uprights to feet.

A shelf's bearers run from upright to upright, simply supported in every bay; the outermost lie at the front and at the
back, further ones evenly between them on pieces that run from front to back at every upright. What lies over the end
of the outermost upright goes straight into it.

How a tank shares itself over more than two bearers lies between two cases, and statics alone does not say where: a
soft board carries each strip of it to the bearers beside it; a stiff tank on equal bearers keeps its base a plane.
Both are worked out, and a bearer is judged by the worse. What comes to the uprights is the same in both.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.room.boxes import along_span, depth_span
from tankwright.room.model import RackPlace, Room, Tank
from tankwright.systems.racks_model import Patch
from tankwright.units import Dimensionless, Kilogram, Metre, Newton

Way = Literal["soft board", "stiff tank"]
WAYS: Final[tuple[Way, ...]] = ("soft board", "stiff tank")
_TINY: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Something that stands on a shelf: its weight, and the rectangle it presses on, from the rack's left end and
    from its front. The rack's own weight has no tank's name.
    """

    tank: str
    weight: Newton
    along: tuple[Metre, Metre]
    deep: tuple[Metre, Metre]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Where a rack carries: middles of its uprights along the front, middles of its bearers behind the front."""

    uprights: tuple[Metre, ...]
    bearers: tuple[Metre, ...]

    @property
    def spans(self) -> tuple[Metre, ...]:
        """From middle to middle of neighbouring uprights, bay by bay."""
        return tuple(after - before for before, after in pairwise(self.uprights))

    def to_front(self, bearer: int) -> Dimensionless:
        """The share of a bearer's end that comes to the front upright: lever rule between the outermost bearers."""
        first, last = self.bearers[0], self.bearers[-1]
        return (last - self.bearers[bearer]) / (last - first)


def grid_of(rack: RackPlace, bearers: int, thin: Metre) -> Grid | None:
    """Where a rack carries; None where it has no bay or no depth to carry over."""
    middles = tuple((start + end) / 2.0 for start, end in rack.uprights)
    first, last = thin / 2.0, rack.depth - thin / 2.0
    if len(middles) < 2 or last - first <= _TINY or any(b - a <= _TINY for a, b in pairwise(middles)):
        return None
    step = (last - first) / (bearers - 1)
    return Grid(uprights=middles, bearers=tuple(first + step * index for index in range(bearers)))


def standing_on(
    rack: RackPlace, shelf: int, tanks: Sequence[Tank], masses: Mapping[str, Kilogram]
) -> tuple[Standing, ...]:
    """What stands on one shelf of a rack; the empty rack is spread evenly over all its shelves.

    Source: statics.
    """
    own = rack.mass.value / max(len(rack.shelves), 1) * STANDARD_GRAVITY
    found = [Standing(tank="", weight=own, along=(0.0, rack.length), deep=(0.0, rack.depth))]
    for tank in tanks:
        if tank.shelf == shelf:
            found.append(
                Standing(
                    tank=tank.id,
                    weight=masses.get(tank.id, 0.0) * STANDARD_GRAVITY,
                    along=_with_size(along_span(rack.box, rack.facing, tank.box)),
                    deep=_with_size(depth_span(rack.box, rack.facing, tank.box)),
                )
            )
    return tuple(found)


def _with_size(span: tuple[Metre, Metre]) -> tuple[Metre, Metre]:
    """A tank without a size stands on a millimetre."""
    return span if span[1] - span[0] > _TINY else (span[0] - 0.0005, span[0] + 0.0005)


def shelves_of(
    room: Room, rack: RackPlace, masses: Mapping[str, Kilogram]
) -> dict[int, tuple[Standing, ...]]:
    """What stands on each shelf of a rack, lowest first."""
    tanks = [tank for tank in room.tanks if tank.rack == rack.id]
    return {number: standing_on(rack, number, tanks, masses) for number in range(1, len(rack.shelves) + 1)}


def shares_over(
    bearers: tuple[Metre, ...], deep: tuple[Metre, Metre], way: Way = "soft board"
) -> tuple[Dimensionless, ...]:
    """What of an even load from `deep[0]` to `deep[1]` behind the front each bearer carries. They sum to 1, and the
    load's own middle is theirs; one that is less than nothing is lifted.

    Source: statics: the lever rule, strip by strip; for the stiff tank a rigid body on equal springs.

    >>> shares_over((0.0, 1.0), (0.0, 0.5))
    (0.75, 0.25)
    >>> shares_over((0.0, 1.0, 2.0), (0.0, 2.0)), shares_over((0.0, 1.0, 2.0), (0.0, 2.0), "stiff tank")[0].__round__(3)
    ((0.25, 0.5, 0.25), 0.333)
    """
    middle = (deep[0] + deep[1]) / 2.0
    if way == "stiff tank":
        mean = sum(bearers) / len(bearers)
        spread = sum((one - mean) ** 2 for one in bearers)
        return tuple(1.0 / len(bearers) + (middle - mean) * (one - mean) / spread for one in bearers)
    width = deep[1] - deep[0]
    found = [0.0] * len(bearers)
    last = len(bearers) - 2
    for index, (before, after) in enumerate(pairwise(bearers)):
        low = deep[0] if index == 0 else max(deep[0], before)
        high = deep[1] if index == last else min(deep[1], after)
        if high > low:
            part, far = (high - low) / width, ((low + high) / 2.0 - before) / (after - before)
            found[index] += part * (1.0 - far)
            found[index + 1] += part * far
    return tuple(found)


def patches_of(
    grid: Grid, bay: int, bearer: int, standing: Sequence[Standing], way: Way
) -> tuple[Patch, ...]:
    """What a bearer carries in one bay, from the middle of the bay's left upright.

    Source: statics.
    """
    left, right = grid.uprights[bay], grid.uprights[bay + 1]
    found = []
    for one in standing:
        start, end = max(one.along[0], left), min(one.along[1], right)
        if end - start <= _TINY:
            continue
        load = one.weight * shares_over(grid.bearers, one.deep, way)[bearer] / (one.along[1] - one.along[0])
        if load > 0.0:  # less than nothing: the bearer is lifted there, and a beam is not pulled up
            # rounded far below anything that counts, so that mirror images are worked out once
            found.append(
                Patch(
                    start=round(start - left, 9), end=round(end - left, 9), load=round(load, 9), tank=one.tank
                )
            )
    return tuple(found)


def upright_loads(
    grid: Grid, standing: Sequence[Standing]
) -> dict[tuple[int, Literal["front", "back"]], Newton]:
    """What one shelf brings to each upright, front and back. They sum to what stands on it.

    Source: statics; between the ends of a bay by the lever rule, over the end of the last upright straight down.

    >>> grid = Grid(uprights=(0.0, 2.0), bearers=(0.0, 0.5))
    >>> loads = upright_loads(grid, [Standing(tank="A", weight=100.0, along=(0.0, 1.0), deep=(0.0, 0.5))])
    >>> loads[0, "front"], loads[1, "back"]
    (37.5, 12.5)
    """
    found: dict[tuple[int, Literal["front", "back"]], Newton] = {
        (index, side): 0.0 for index in range(len(grid.uprights)) for side in ("front", "back")
    }
    for one in standing:
        front = (grid.bearers[-1] - (one.deep[0] + one.deep[1]) / 2.0) / (grid.bearers[-1] - grid.bearers[0])
        for index, share in enumerate(_along_shares(grid.uprights, one.along)):
            found[index, "front"] += one.weight * share * front
            found[index, "back"] += one.weight * share * (1.0 - front)
    return found


def _along_shares(uprights: tuple[Metre, ...], along: tuple[Metre, Metre]) -> list[Dimensionless]:
    width = along[1] - along[0]
    found = [0.0] * len(uprights)
    if width <= _TINY:
        return found
    found[0] += max(min(along[1], uprights[0]) - along[0], 0.0) / width
    found[-1] += max(along[1] - max(along[0], uprights[-1]), 0.0) / width
    for index, (before, after) in enumerate(pairwise(uprights)):
        start, end = max(along[0], before), min(along[1], after)
        if end > start:
            part, far = (end - start) / width, ((start + end) / 2.0 - before) / (after - before)
            found[index] += part * (1.0 - far)
            found[index + 1] += part * far
    return found
