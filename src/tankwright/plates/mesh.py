"""Triangles over a plate with round holes: rings round each hole, wider with each, and an even net between.

A ring has as many points as the rim, so the net is finest where the stress peaks and widens in proportion to the
distance. Where a narrow strip asks for more points than that, rings have fewer the farther they are. The same plate
always gets the same net.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tankwright.plates.model import Floats, Ints, Plate, RoundHole
from tankwright.plates.spacing import Spacing, hold_ends, places_along, top_breaks
from tankwright.units import Metre

CLOSEST = 0.62
"""Points nearer to each other than this share of the wanted spacing are one too many. From trial."""

_NEIGHBOURS = 12
"""No more points than this can lie nearer to one than it may have others."""

RIM_OF_A_WIDE_STRIP = 64
"""However many points a rim has, the net widens away from it as fast as if it had these or those asked for."""

MOST_ROUND_A_HOLE = 480
"""More points round a rim than this are not tried: the strip between hole and edge is then too narrow for a plate."""


class NotMeshedError(ValueError):
    """Triangles could not be laid: the message says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """Nodes (n, 2), triangles (m, 3) turned to the left, and for each hole the nodes of its rim in order."""

    nodes: Floats
    triangles: Ints
    rims: tuple[Ints, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Source:
    """A place where the net is fine: `first` is the radius of its first ring, `around` the points on it, `growth` by
    how much the spacing widens with each metre away from it."""

    x: Metre
    y: Metre
    first: Metre
    around: int
    growth: float
    is_hole: bool

    def spacing_at(self, away: Floats) -> Floats:
        return np.asarray(
            2.0 * math.pi * self.first / self.around + self.growth * np.maximum(away - self.first, 0.0)
        )

    def spacing(self, points: Floats) -> Floats:
        return self.spacing_at(np.hypot(points[:, 0] - self.x, points[:, 1] - self.y))

    def rings(self, widest: Metre, farthest: Metre) -> list[Floats]:
        """Its rings from the first on, until the net is as wide as `widest` or they are `farthest` away."""
        rows: list[Floats] = []
        radius, spacing = self.first, float(self.spacing_at(np.array(self.first)))
        while not rows or (spacing < widest and radius < farthest):
            points = max(8, 4 * round(2.0 * math.pi * radius / spacing / 4.0))
            angles = 2.0 * math.pi / points * (np.arange(points) + 0.5 * (len(rows) % 2))
            rows.append(np.column_stack([self.x + radius * np.cos(angles), self.y + radius * np.sin(angles)]))
            radius += spacing * math.sqrt(3.0) / 2.0
            spacing = float(self.spacing_at(np.array(radius)))
        return rows


def mesh_with_holes(plate: Plate, spacing: Spacing) -> Mesh:
    """Triangles over `plate` around its holes.

    Raises NotMeshedError where a strip of plate is too narrow for triangles.
    """
    sources = _sources(plate, spacing)
    rims = [source.rings(0.0, 0.0)[0] for source in sources if source.is_hole]
    points = [*rims, _edges(plate, sources, spacing)]
    fixed = sum(len(row) for row in points)
    points += [_rings(plate, sources, index, spacing) for index in range(len(sources))]
    points.append(_open_net(plate, sources, spacing))
    nodes = _thinned(np.concatenate(points), sources, spacing.open, fixed)
    starts = np.cumsum([0, *(len(rim) for rim in rims)])
    numbered = tuple(np.arange(start, end) for start, end in pairwise(starts))
    triangles = _triangles(nodes, plate)
    mesh = Mesh(nodes=nodes, triangles=triangles, rims=numbered)
    _prove(mesh, plate)
    return mesh


def _sources(plate: Plate, spacing: Spacing) -> list[_Source]:
    holes = [_hole_source(plate, hole, spacing) for hole in plate.holes]
    return [*holes, *(_hold_source(plate, end, spacing) for end in hold_ends(plate))]


def _hold_source(plate: Plate, end: Metre, spacing: Spacing) -> _Source:
    """Rings round the end of a hold, one of them a thickness away: from there on stresses are looked at."""
    around = 32
    growth = 1.0 + 2.0 * math.pi / around * math.sqrt(3.0) / 2.0
    rings = max(1, round(math.log(plate.thickness / spacing.hold) / math.log(growth)))
    return _Source(
        x=end,
        y=plate.height,
        first=plate.thickness / growth**rings,
        around=around,
        growth=2.0 * math.pi / around,
        is_hole=False,
    )


def _hole_source(plate: Plate, hole: RoundHole, spacing: Spacing) -> _Source:
    """Enough points round the rim that at least two lie across the narrowest strip beside it."""
    radius = hole.diameter / 2.0
    gap = narrowest_beside(plate, hole)
    needed = math.ceil(2.0 * math.pi * radius / (gap / 2.0) / 8.0) * 8
    if needed > MOST_ROUND_A_HOLE:
        raise NotMeshedError("the strip of plate beside a hole is too narrow for triangles")
    around = max(spacing.rim, needed, math.ceil(2.0 * math.pi * radius / spacing.open / 8.0) * 8)
    growth = 2.0 * math.pi / min(around, max(spacing.rim, RIM_OF_A_WIDE_STRIP))
    return _Source(x=hole.x, y=hole.y, first=radius, around=around, growth=growth, is_hole=True)


def narrowest_beside(plate: Plate, hole: RoundHole) -> Metre:
    """The least width of plate between the rim of `hole` and an edge or another hole."""
    radius = hole.diameter / 2.0
    edges = min(hole.x, plate.length - hole.x, hole.y, plate.height - hole.y) - radius
    others = [math.hypot(other.x - hole.x, other.y - hole.y) - radius - other.diameter / 2.0
              for other in plate.holes if other is not hole]  # fmt: skip
    return min([edges, *others])


def _spacing_at(points: Floats, sources: list[_Source], widest: Metre) -> Floats:
    wanted = np.full(len(points), widest)
    for source in sources:
        wanted = np.minimum(wanted, source.spacing(points))
    return wanted


def _edges(plate: Plate, sources: list[_Source], spacing: Spacing) -> Floats:
    """Points along the four edges, through the ends of every hold."""
    length, height = plate.length, plate.height
    breaks = top_breaks(plate)
    top = np.concatenate([_edge((start, height), (end, height), sources, spacing)[:-1]
                          for start, end in pairwise(breaks)])  # fmt: skip
    right = _edge((length, height), (length, 0.0), sources, spacing)[:-1]
    bottom = _edge((length, 0.0), (0.0, 0.0), sources, spacing)[:-1]
    left = _edge((0.0, 0.0), (0.0, height), sources, spacing)[:-1]
    return np.concatenate([top, right, bottom, left])


def _edge(
    start: tuple[Metre, Metre], end: tuple[Metre, Metre], sources: list[_Source], spacing: Spacing
) -> Floats:
    first, last = np.array(start), np.array(end)
    share = np.linspace(0.0, 1.0, 1001)
    wanted = _spacing_at(first + share[:, None] * (last - first), sources, spacing.open)
    places = places_along(share, wanted / float(np.hypot(*(last - first))))
    return np.asarray(first + places[:, None] * (last - first))


def _rings(plate: Plate, sources: list[_Source], index: int, spacing: Spacing) -> Floats:
    """The rings of one source as far as it is the one that asks for the finest net there."""
    source = sources[index]
    rows = source.rings(spacing.open, math.hypot(plate.length, plate.height))
    points = np.concatenate([np.zeros((0, 2)), *rows[1 if source.is_hole else 0 :]])
    own = source.spacing(points)
    return points[
        _inside(points, plate, own) & (own <= _spacing_at(points, sources, spacing.open) * (1.0 + 1e-9))
    ]


def _open_net(plate: Plate, sources: list[_Source], spacing: Spacing) -> Floats:
    """Rows of points, each second one moved by half, where no hole asks for more."""
    across = max(2, math.ceil(plate.length / spacing.open))
    rows = max(2, math.ceil(plate.height / spacing.open * 2.0 / math.sqrt(3.0)))
    x = np.arange(2 * across + 1) * plate.length / (2 * across)
    y = np.arange(1, rows) * plate.height / rows
    numbers = np.arange(1, rows)
    taken = (np.arange(2 * across + 1)[None, :] + numbers[:, None]) % 2 == 0
    grid = np.stack(np.broadcast_arrays(x[None, :], y[:, None]), axis=-1)
    points = np.asarray(grid[taken], dtype=np.float64)
    wanted = _spacing_at(points, sources, spacing.open)
    return points[_inside(points, plate, wanted) & (wanted >= spacing.open * (1.0 - 1e-9))]


def _inside(points: Floats, plate: Plate, wanted: Floats) -> NDArray[np.bool_]:
    """Which points lie within the plate and off its edges and holes by half of what is wanted there."""
    x, y = points[:, 0], points[:, 1]
    room = np.minimum(np.minimum(x, plate.length - x), np.minimum(y, plate.height - y))
    for hole in plate.holes:
        room = np.minimum(room, np.hypot(x - hole.x, y - hole.y) - hole.diameter / 2.0)
    return np.asarray(room > 0.5 * wanted)


def _thinned(points: Floats, sources: list[_Source], widest: Metre, fixed: int) -> Floats:
    """The points without those too near to an earlier one; the first `fixed` stay."""
    from scipy.spatial import cKDTree  # noqa: PLC0415 - heavy, and most plans have no use for it

    wanted = CLOSEST * _spacing_at(points, sources, widest)
    apart, others = cKDTree(points).query(points, k=min(_NEIGHBOURS, len(points)))
    later, column = np.nonzero((apart < wanted[:, None]) & (others < np.arange(len(points))[:, None]))
    pairs = np.column_stack([others[later, column], later])
    kept = np.ones(len(points), dtype=bool)
    for first, second in pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))].tolist():
        if kept[first] and second >= fixed:
            kept[second] = False
    return points[kept]


def _triangles(nodes: Floats, plate: Plate) -> Ints:
    from scipy.spatial import Delaunay  # noqa: PLC0415 - heavy

    triangles = np.asarray(Delaunay(nodes).simplices, dtype=np.int64)
    corners = nodes[triangles]
    areas = _doubled_areas(corners)
    triangles[areas < 0.0] = triangles[areas < 0.0][:, ::-1]
    middle = corners.mean(axis=1)
    kept = np.abs(areas) > 1e-9 * plate.length * plate.height / len(nodes)
    for hole in plate.holes:
        kept &= np.hypot(middle[:, 0] - hole.x, middle[:, 1] - hole.y) > hole.diameter / 2.0 * (1.0 - 1e-9)
    return triangles[kept]


def _doubled_areas(corners: Floats) -> Floats:
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return np.asarray(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])


def _prove(mesh: Mesh, plate: Plate) -> None:
    """The triangles cover the plate but for the holes, and every node is used: anything else is no mesh."""
    polygons = sum(
        len(rim) / 2.0 * (hole.diameter / 2.0) ** 2 * math.sin(2.0 * math.pi / len(rim))
        for rim, hole in zip(mesh.rims, plate.holes, strict=True)
    )
    covered = float(_doubled_areas(mesh.nodes[mesh.triangles]).sum()) / 2.0
    wanted = plate.length * plate.height - polygons
    if abs(covered - wanted) > 1e-7 * wanted or len(np.unique(mesh.triangles)) != len(mesh.nodes):
        raise NotMeshedError("triangles do not fit between the holes and the edges")
