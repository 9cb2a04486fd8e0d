"""Nets of triangles round holes: whole, well shaped, always the same, fine where it matters."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.plates.panes import GLASS, drilled

from tankwright.plates.mesh import Mesh, NotMeshedError, mesh_with_holes, narrowest_beside
from tankwright.plates.model import Floats, Plate, TopHold
from tankwright.plates.spacing import apart, divided, hold_ends, places_along, spacing_of, top_breaks

PANES = [
    drilled(GLASS, (0.3, 0.335, 0.035)),
    drilled(GLASS, (0.025, 0.355, 0.035)),
    drilled(GLASS, (0.3, 0.3605, 0.035)),
    drilled(GLASS, (0.3, 0.335, 0.035), (0.345, 0.33, 0.028), (0.1, 0.1, 0.05), (0.5, 0.05, 0.012)),
    drilled(replace(GLASS, holds=(TopHold(start=0.27, end=0.33),)), (0.3, 0.335, 0.035)),
    drilled(replace(GLASS, length=2.4, height=0.3, head=0.3), (1.2, 0.26, 0.02)),
    drilled(replace(GLASS, length=0.3, height=0.9), (0.15, 0.45, 0.2)),
]


def _corners(mesh: Mesh) -> Floats:
    return mesh.nodes[mesh.triangles]


def _least_angle(mesh: Mesh) -> float:
    corners = _corners(mesh)
    angles = []
    for number in range(3):
        one, two = (corners[:, (number + step) % 3] - corners[:, number] for step in (1, 2))
        cross = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
        assert cross.min() > 0.0  # turned to the left
        angles.append(np.arctan2(cross, (one * two).sum(axis=1)).min())
    return math.degrees(min(angles))


@pytest.mark.parametrize("fineness", [1, 2, 3])
@pytest.mark.parametrize("pane", PANES)
def test_nets_are_whole_and_well_shaped(pane: Plate, fineness: int) -> None:
    mesh = mesh_with_holes(pane, spacing_of(pane, fineness))
    corners = _corners(mesh)
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = float((one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]).sum() / 2.0)
    holes = sum(math.pi * hole.diameter**2 / 4.0 for hole in pane.holes)
    assert area == pytest.approx(pane.length * pane.height - holes, rel=3e-3)
    assert area > pane.length * pane.height - holes  # rims of straight lines lie within their circles
    assert _least_angle(mesh) > (10.0 if pane.holds else 18.0)  # round the end of a hold lie 32 in a fan
    for hole, rim in zip(pane.holes, mesh.rims, strict=True):
        away = mesh.nodes[rim] - [hole.x, hole.y]
        assert np.hypot(*away.T) == pytest.approx(hole.diameter / 2.0)
        turned = np.diff(np.unwrap(np.arctan2(away[:, 1], away[:, 0])))
        assert turned == pytest.approx(2.0 * math.pi / len(rim))


def test_a_net_is_the_same_each_time() -> None:
    one, other = (mesh_with_holes(PANES[3], spacing_of(PANES[3], 2)) for _ in range(2))
    assert np.array_equal(one.nodes, other.nodes)
    assert np.array_equal(one.triangles, other.triangles)


def test_rims_have_more_points_beside_a_narrow_strip_and_nets_stay_small() -> None:
    wide, narrow = (drilled(GLASS, (0.3, 0.38 - 0.0175 - gap, 0.035)) for gap in (0.03, 0.001))
    meshes = [mesh_with_holes(pane, spacing_of(pane, 2)) for pane in (wide, narrow)]
    assert len(meshes[0].rims[0]) == 64
    assert len(meshes[1].rims[0]) >= 2.0 * math.pi * 0.0175 / 0.0005
    assert len(meshes[1].nodes) < 4 * len(meshes[0].nodes)


def test_a_strip_too_narrow_for_triangles_is_refused() -> None:
    pane = drilled(GLASS, (0.3, 0.38 - 0.01755, 0.035))
    with pytest.raises(NotMeshedError, match="too narrow"):
        mesh_with_holes(pane, spacing_of(pane, 1))
    assert narrowest_beside(pane, pane.holes[0]) == pytest.approx(0.00005)


def test_the_narrowest_beside_a_hole_is_to_an_edge_or_another_hole() -> None:
    pane = drilled(GLASS, (0.1, 0.2, 0.04), (0.15, 0.2, 0.04), (0.5, 0.03, 0.04))
    assert [narrowest_beside(pane, hole) for hole in pane.holes] == pytest.approx([0.01, 0.01, 0.01])


@settings(max_examples=15, deadline=None)
@given(
    x=st.floats(0.03, 0.57), y=st.floats(0.03, 0.35), other=st.tuples(st.floats(0.03, 0.57), st.floats(0.03, 0.35)),
    hold=st.booleans(),
)  # fmt: skip
def test_holes_may_lie_anywhere(x: float, y: float, other: tuple[float, float], hold: bool) -> None:
    holes = [(x, y, 0.05)]
    if math.dist((x, y), other) > 0.055:
        holes.append((*other, 0.05))
    holds = (TopHold(start=0.2, end=0.26),) if hold else ()
    pane = drilled(replace(GLASS, holds=holds), *holes)
    mesh = mesh_with_holes(pane, spacing_of(pane, 1))
    assert _least_angle(mesh) > 10.0
    assert len(mesh.nodes) < 6000


def test_lines_go_through_every_break_and_lie_close_where_asked() -> None:
    lines = divided((0.0, 0.3, 1.0), ((0.3, 0.01),), 0.1)
    assert {0.0, 0.3, 1.0} <= set(lines.tolist())
    gaps = np.diff(lines)
    assert gaps.min() > 0.0
    assert gaps.max() < 0.11
    at = int(np.argmin(np.abs(lines - 0.3)))
    assert gaps[at] < 0.0125
    assert gaps[at - 1] < 0.0125


def test_places_along_a_line_end_at_its_ends() -> None:
    along = np.linspace(0.0, 2.0, 11)
    assert places_along(along, np.full(11, 0.5)) == pytest.approx([0.0, 0.5, 1.0, 1.5, 2.0])
    assert places_along(along, np.full(11, 9.0)) == pytest.approx([0.0, 2.0])


def test_where_holds_end() -> None:
    pane = replace(GLASS, holds=(TopHold(start=0.0, end=0.05), TopHold(start=0.27, end=0.33)))
    assert hold_ends(pane) == (0.05, 0.27, 0.33)
    assert hold_ends(replace(pane, top="held")) == ()
    assert top_breaks(pane) == pytest.approx(
        (0, 0.044, 0.05, 0.056, 0.264, 0.27, 0.276, 0.324, 0.33, 0.336, 0.6)
    )
    assert apart([0.0, 1.0, 1.00001, 0.5, -0.1, 1.1], 1.0) == (0.0, 0.5, 1.0)
