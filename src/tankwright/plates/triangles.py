"""A plate of discrete-Kirchhoff triangles: each corner has its deflection and its two slopes.

Source: J.-L. Batoz, K.-J. Bathe, L.-W. Ho, "A study of three-node triangular plate bending elements", Int. J. Numer.
Meth. Eng. 15 (1980): slopes of second degree within the element; along an edge the slope follows the deflection's
cubic at its ends and middle, and across an edge it is straight. The curvature is then straight over an element,
where Morley's triangle has one value, and the edges have the deflection of beams, so that a strip can be glued on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from tankwright.plates.bending import (
    bending_stiffness,
    first_along,
    round_a_rim,
    second_along,
    strip_stiffness,
    turned_to_axes,
)
from tankwright.plates.mesh import Mesh
from tankwright.plates.model import Floats, Ints, Plate, RoundHole
from tankwright.plates.push import push_on_nodes
from tankwright.plates.spacing import hold_ends
from tankwright.plates.system import Bent, Held, System, held_nodes, reaction_of, solved

if TYPE_CHECKING:
    from scipy.sparse import csr_matrix

_SLOPES = np.array([
    [[-3, -3], [-1, 0], [0, -1], [4, 0], [0, 0], [0, 4]],
    [[1, 1], [3, 0], [0, -1], [-4, -4], [0, 4], [0, 0]],
    [[1, 1], [-1, 0], [0, 3], [0, 0], [4, 0], [-4, -4]],
], dtype=np.float64)  # fmt: skip
"""At each of the three corners, how each of the six shapes of second degree (corners, then the middles of edges 01,
12 and 20) changes along the two sides that leave corner 0."""

_EDGES = ((0, 1), (1, 2), (2, 0))


def bent_triangles(plate: Plate, mesh: Mesh) -> Bent:
    """How `plate` bends, on `mesh`.

    Raises RuntimeError where the equations have no one answer.
    """
    curvatures, areas = _curvatures(mesh.nodes[mesh.triangles])
    held = held_nodes(plate, mesh.nodes)
    system = _system(plate, mesh, curvatures, areas)
    values, residual = solved(system, _held_unknowns(held))
    unknowns = values.reshape(-1, 3)
    curvature = _mean_curvature(mesh, curvatures, unknowns)
    for hole, rim in zip(plate.holes, mesh.rims, strict=True):
        curvature[rim] = _at_rim(plate, hole, mesh.nodes[rim], unknowns[rim])
    for edge in _straight_edges(plate, mesh.nodes):
        curvature[edge] = _at_edge(plate, mesh.nodes[edge], unknowns[edge], held, edge)
    return Bent(
        nodes=mesh.nodes,
        triangles=mesh.triangles,
        rims=mesh.rims,
        deflection=unknowns[:, 0].copy(),
        curvature=curvature,
        reaction=reaction_of(system, values, np.arange(0, len(values), 3)),
        unknowns=len(values),
        residual=residual,
    )


def _system(plate: Plate, mesh: Mesh, curvatures: Floats, areas: Floats) -> System:
    """Unknowns 3n, 3n+1 and 3n+2 are deflection, slope in x and slope in y at node n."""
    matrix = _assembled(_stiffnesses(plate, curvatures, areas), mesh)
    under = np.zeros(len(mesh.nodes))
    np.add.at(under, mesh.triangles, np.broadcast_to(areas[:, None] / 3.0, mesh.triangles.shape))
    bed = _diagonal(under * (plate.bed or 0.0))
    loads = np.zeros(3 * len(mesh.nodes))
    loads[0::3] = push_on_nodes(plate, mesh.nodes, mesh.triangles, mesh.rims)
    return System(matrix=matrix + bed + _strip(plate, mesh.nodes), loads=loads, bed=bed)


def _held_unknowns(held: Held) -> Ints:
    """Which unknowns are nought: the deflection of held nodes, and the slope along the edge that holds them."""
    return np.unique(np.concatenate([3 * held.nodes, 3 * held.along_x + 1, 3 * held.along_y + 2]))


def _mean_curvature(mesh: Mesh, curvatures: Floats, unknowns: Floats) -> Floats:
    """Curvatures xx, yy, xy at the nodes: the mean of what the triangles around each say, weighted by their angle
    there."""
    own = unknowns[mesh.triangles].reshape(-1, 9)
    at_corners = np.einsum("mcij,mj->mci", curvatures, own)
    weights = _angles(mesh.nodes[mesh.triangles])
    total = np.zeros(len(mesh.nodes))
    np.add.at(total, mesh.triangles, weights)
    mean = np.zeros((len(mesh.nodes), 3))
    np.add.at(mean, mesh.triangles, at_corners * weights[:, :, None])
    mean /= total[:, None]
    mean[:, 2] /= 2.0
    return mean


def _at_rim(plate: Plate, hole: RoundHole, nodes: Floats, unknowns: Floats) -> Floats:
    """Curvatures at the rim of a hole, which nothing bends about its own line."""
    outward = (nodes - np.array([hole.x, hole.y])) / (hole.diameter / 2.0)
    along = np.column_stack([-outward[:, 1], outward[:, 0]])
    slopes = unknowns[:, 1:]
    bend, twist = round_a_rim(
        unknowns[:, 0], (slopes * outward).sum(axis=1), (slopes * along).sum(axis=1), hole.diameter / 2.0
    )
    return turned_to_axes(bend, -plate.poisson * bend, -twist, along)


def _straight_edges(plate: Plate, nodes: Floats) -> tuple[Ints, ...]:
    """The nodes of each edge in order."""
    small = 1e-9 * (plate.length + plate.height)
    edges = []
    for axis, place in ((0, 0.0), (0, plate.length), (1, 0.0), (1, plate.height)):
        edge = np.flatnonzero(np.abs(nodes[:, axis] - place) < small)
        edges.append(edge[np.argsort(nodes[edge, 1 - axis])])
    return tuple(edges)


def _at_edge(plate: Plate, nodes: Floats, unknowns: Floats, held: Held, edge: Ints) -> Floats:
    """Curvatures along a straight edge, about whose line nothing bends the plate; where it is held it is straight,
    and in a corner, with two such edges, there is but twist."""
    axis = 0 if nodes[-1, 0] > nodes[0, 0] else 1
    places = nodes[:, axis]
    bend = second_along(places, unknowns[:, 0], unknowns[:, 1 + axis], reach=2)
    if axis == 0:
        for end in hold_ends(
            plate
        ):  # rings lie evenly there, and what they see changes too quickly to be smoothed
            near = np.abs(places - end) < 4.0 * plate.thickness
            bend[near] = second_along(places, unknowns[:, 0], unknowns[:, 1])[near]
    bend[[0, -1]] = 0.0
    bend[np.isin(edge, held.along_x if axis == 0 else held.along_y)] = 0.0
    twist = first_along(places, unknowns[:, 2 - axis])
    row = np.column_stack([bend, -plate.poisson * bend, twist])
    return row if axis == 0 else row[:, [1, 0, 2]]


def _curvatures(corners: Floats) -> tuple[Floats, Floats]:
    """For triangles (m, 3, 2): how the nine unknowns make the curvatures xx, yy and twice xy at the three corners
    (m, 3, 3, 9), and the areas (m,)."""
    slopes_x, slopes_y = _slopes(corners)
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    doubled = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    inverse = np.stack([np.stack([two[:, 1], -two[:, 0]], -1), np.stack([-one[:, 1], one[:, 0]], -1)], 1)
    change = np.einsum("csa,mab->mcsb", _SLOPES, inverse / doubled[:, None, None])
    x_of = np.einsum("mcsb,msj->mcbj", change, slopes_x)
    y_of = np.einsum("mcsb,msj->mcbj", change, slopes_y)
    return np.stack([x_of[:, :, 0], y_of[:, :, 1], x_of[:, :, 1] + y_of[:, :, 0]], axis=2), doubled / 2.0


def _slopes(corners: Floats) -> tuple[Floats, Floats]:
    """How the nine unknowns make the slope in x and in y at the corners and the middles of the edges: (m, 6, 9)."""
    slopes = np.zeros((2, len(corners), 6, 9))
    for corner in range(3):
        slopes[0, :, corner, 3 * corner + 1] = 1.0
        slopes[1, :, corner, 3 * corner + 2] = 1.0
    for number, (start, end) in enumerate(_EDGES):
        side = corners[:, end] - corners[:, start]
        length = np.hypot(side[:, 0], side[:, 1])
        along = side / length[:, None]
        for axis in range(2):
            row = slopes[axis, :, 3 + number]
            row[:, 3 * start] = -1.5 * along[:, axis] / length
            row[:, 3 * end] = 1.5 * along[:, axis] / length
            for other in range(2):
                same = 0.5 if axis == other else 0.0
                value = same - 0.75 * along[:, axis] * along[:, other]
                row[:, 3 * start + 1 + other] = value
                row[:, 3 * end + 1 + other] = value
    return slopes[0], slopes[1]


def _stiffnesses(plate: Plate, curvatures: Floats, areas: Floats) -> Floats:
    """The stiffness (m, 9, 9) of each triangle: curvatures are straight over it, so this is exact."""
    poisson = plate.poisson
    law = bending_stiffness(plate) * np.array(
        [[1.0, poisson, 0.0], [poisson, 1.0, 0.0], [0.0, 0.0, (1.0 - poisson) / 2.0]]
    )
    weighed = np.einsum(
        "cd,mdij->mcij", np.ones((3, 3)) + np.eye(3), np.einsum("kl,mclj->mckj", law, curvatures)
    )
    count = len(areas)
    left = curvatures.reshape(count, 9, 9).transpose(0, 2, 1)
    return np.asarray(left @ weighed.reshape(count, 9, 9) * (areas / 12.0)[:, None, None])


def _assembled(stiffnesses: Floats, mesh: Mesh) -> csr_matrix:
    from scipy.sparse import coo_matrix  # noqa: PLC0415 - heavy

    own = (3 * mesh.triangles[:, :, None] + np.arange(3)).reshape(-1, 9)
    rows = np.broadcast_to(own[:, :, None], stiffnesses.shape).ravel()
    columns = np.broadcast_to(own[:, None, :], stiffnesses.shape).ravel()
    size = 3 * len(mesh.nodes)
    return coo_matrix((stiffnesses.ravel(), (rows, columns)), shape=(size, size)).tocsr()


def _diagonal(on_deflections: Floats) -> Any:
    from scipy.sparse import diags_array  # noqa: PLC0415 - heavy

    whole = np.zeros(3 * len(on_deflections))
    whole[0::3] = on_deflections
    return diags_array(whole)


def _strip(plate: Plate, nodes: Floats) -> Any:
    """The strip along the top edge: beams from node to node with the unknowns of the plate."""
    from scipy.sparse import coo_matrix, csr_matrix  # noqa: PLC0415 - heavy

    size = 3 * len(nodes)
    if plate.strip is None:
        return csr_matrix((size, size))
    top = np.flatnonzero(nodes[:, 1] >= plate.height * (1.0 - 1e-9))
    top = top[np.argsort(nodes[top, 0])]
    lengths = np.diff(nodes[top, 0])
    own = np.stack([3 * top[:-1], 3 * top[:-1] + 1, 3 * top[1:], 3 * top[1:] + 1], axis=1)
    beams = beam_stiffness(strip_stiffness(plate), lengths)
    rows = np.broadcast_to(own[:, :, None], beams.shape).ravel()
    columns = np.broadcast_to(own[:, None, :], beams.shape).ravel()
    return coo_matrix((beams.ravel(), (rows, columns)), shape=(size, size))


def beam_stiffness(stiffness: float, lengths: Floats) -> Floats:
    """The stiffness (m, 4, 4) of beams by deflection and slope at either end.

    Source: the cubic beam of any text on structures, e.g. Zienkiewicz & Taylor, The Finite Element Method.
    """
    one = np.ones_like(lengths)
    table = np.array([
        [12.0 * one, 6.0 * lengths, -12.0 * one, 6.0 * lengths],
        [6.0 * lengths, 4.0 * lengths**2, -6.0 * lengths, 2.0 * lengths**2],
        [-12.0 * one, -6.0 * lengths, 12.0 * one, -6.0 * lengths],
        [6.0 * lengths, 2.0 * lengths**2, -6.0 * lengths, 4.0 * lengths**2],
    ])  # fmt: skip
    return np.asarray((table * (stiffness / lengths**3)).transpose(2, 0, 1))


def _angles(corners: Floats) -> Floats:
    """The angle of each triangle at each corner (m, 3)."""
    columns = []
    for corner in range(3):
        one = corners[:, (corner + 1) % 3] - corners[:, corner]
        two = corners[:, (corner + 2) % 3] - corners[:, corner]
        cross = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
        columns.append(np.arctan2(cross, (one * two).sum(axis=1)))
    return np.stack(columns, axis=1)
