"""What is measured in a room and on a rack's front: stops along a line, in metres, for paper and for DXF alike."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from tankwright.drawing.dimensions import Side, chain
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import Shape
from tankwright.room.boxes import along_span
from tankwright.room.frames import OPPOSITE
from tankwright.room.model import Box, RackPlace, Room, Space, Wall
from tankwright.units import Metre

SAME: Final = 0.0005  # m; two stops nearer than this are one
_BETWEEN: Final = 2.6  # mm between two tiers of dimension lines
_SIDE: Final[dict[Wall, Side]] = {"north": "over", "south": "under", "west": "left", "east": "right"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """A chain of measures on one side of what is measured; `tier` 0 lies nearest to it.

    `stops` are x on the north and south side, y (in a front the height) on the west and east side.
    """

    side: Wall
    tier: int
    what: str
    stops: tuple[Metre, ...]

    @property
    def lengths(self) -> tuple[Metre, ...]:
        """Each measure of the chain."""
        return tuple(end - start for start, end in pairwise(self.stops))


def told_apart(stops: Iterable[Metre]) -> tuple[Metre, ...]:
    """Stops in order, each once.

    >>> told_apart((2.0, 0.0, 2.0001))
    (0.0, 2.0)
    """
    kept: list[Metre] = []
    for stop in sorted(stops):
        if not kept or stop - kept[-1] > SAME:
            kept.append(stop)
    return tuple(kept)


def plan_measures(room: Room, space: Space) -> tuple[Measures, ...]:
    """The chains round one space: its openings, its racks along and off their walls, its length and width."""
    box = space.box
    found: list[Measures] = []
    racks = tuple(rack for rack in room.racks if rack.room == space.id)
    walls: tuple[Wall, ...] = ("north", "south", "west", "east")
    for wall in walls:
        level = wall in ("north", "south")
        ends = (box.x0, box.x1) if level else (box.y0, box.y1)
        axis = 0 if level else 1
        openings = [one for one in space.openings if one.wall == wall]
        if openings:
            stops = [end[axis] for one in openings for end in (one.start, one.end)]
            _add(found, wall, "openings", (*ends, *stops))
        backed = [rack for rack in racks if not rack.island and OPPOSITE[rack.facing] == wall]
        islands = [rack for rack in racks if rack.island and wall in ("south", "west")]
        if backed:
            _add(found, wall, "racks", (*ends, *_edges(backed, level)))
        if islands:
            _add(found, wall, "racks that stand free", (*ends, *_edges(islands, level)))
        across = _deep(racks, box, wall)
        if across and not any(one.what == "depth of racks" and one.stops == across for one in found):
            _add(found, wall, "depth of racks", across)
        if wall in ("south", "west"):
            _add(found, wall, "room", ends)
    return tuple(found)


def _add(found: list[Measures], wall: Wall, what: str, stops: Iterable[Metre]) -> None:
    tier = sum(one.side == wall for one in found)
    found.append(Measures(side=wall, tier=tier, what=what, stops=told_apart(stops)))


def _edges(racks: Iterable[RackPlace], level: bool) -> tuple[Metre, ...]:
    return tuple(
        edge
        for rack in racks
        for edge in ((rack.box.x0, rack.box.x1) if level else (rack.box.y0, rack.box.y1))
    )


def _deep(racks: Iterable[RackPlace], box: Box, wall: Wall) -> tuple[Metre, ...]:
    """Across the rows that end at this wall: the racks of its half of the room with their backs to the walls beside."""
    upright = wall in ("west", "east")
    backs = ("north", "south") if upright else ("west", "east")
    x, y, _ = box.middle
    middle = x if upright else y
    here = [
        rack for rack in racks
        if not rack.island and OPPOSITE[rack.facing] in backs
        and (rack.box.middle[0 if upright else 1] <= middle) == (wall in ("west", "south"))
    ]  # fmt: skip
    if not here:
        return ()
    ends = (box.y0, box.y1) if upright else (box.x0, box.x1)
    return told_apart((*ends, *_edges(here, not upright)))


def front_measures(rack: RackPlace) -> tuple[Measures, ...]:
    """The chains round a rack's front: its uprights and length, its shelves and height, from its left end and floor."""
    found: list[Measures] = []
    top = max([rack.box.z1 - rack.box.z0, *rack.shelves])
    uprights = tuple(edge for pair in rack.uprights for edge in pair)
    if uprights:
        _add(found, "south", "uprights", (0.0, rack.length, *uprights))
    _add(found, "south", "length", (0.0, rack.length))
    _add(found, "west", "shelves", (0.0, top, *rack.shelves))
    _add(found, "west", "height", (0.0, top))
    return tuple(found)


def tank_stops(room: Room, rack: RackPlace) -> dict[int, tuple[tuple[str, Metre, Metre], ...]]:
    """The tanks of each shelf from left to right: name, and where each begins and ends from the rack's left end."""
    rows: dict[int, list[tuple[str, Metre, Metre]]] = {}
    for tank in room.tanks:
        if tank.rack == rack.id:
            rows.setdefault(tank.shelf, []).append((tank.id, *along_span(rack.box, rack.facing, tank.box)))
    return {shelf: tuple(sorted(row, key=lambda one: one[1])) for shelf, row in sorted(rows.items())}


def draw_measures(
    measures: Iterable[Measures],
    display: str,
    edges: dict[Wall, float],
    along: Callable[[Wall, Metre], float],
    *,
    off: dict[Wall, float] | None = None,
) -> tuple[Shape, ...]:
    """Chains round a thing on the page: `edges` is where its sides lie across, `along` turns a stop into page mm.

    `off` is how far from that side the first line may lie at the nearest.
    """
    shapes: list[Shape] = []
    next_at = {wall: 5.0 + (off or {}).get(wall, 0.0) for wall in edges}
    for one in sorted(measures, key=lambda one: (one.side, one.tier)):
        outward = -1.0 if one.side in ("north", "west") else 1.0
        side, edge = _SIDE[one.side], edges[one.side]
        stops = [along(one.side, stop) for stop in one.stops]
        labels = [measured_off(length, display) for length in one.lengths]
        inward = 3.2 if outward > 0 else 0.0  # figures stand over their line, on the side of the thing
        line_at = edge + outward * (next_at[one.side] + inward)
        made = chain(stops, labels, line_at, side, reach=edge)
        shapes.extend(made.parts)
        next_at[one.side] += inward + made.depth + _BETWEEN
    return tuple(shapes)
