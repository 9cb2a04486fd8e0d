"""Filled contours: areas add up, lines lie on their levels, what is cut off stays off."""

from __future__ import annotations

import numpy as np
import pytest

from tankwright.drawing.isobands import Floats, Ints, Loop, isobands, thinned
from tankwright.drawing.stress_field import clipped


def _grid(columns: int, rows: int, wide: float = 3.0, tall: float = 2.0) -> tuple[Floats, Ints]:
    x, y = np.meshgrid(np.linspace(0.0, wide, columns), np.linspace(0.0, tall, rows))
    corner = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)[None, :]).reshape(-1)
    low = np.stack([corner, corner + 1, corner + columns + 1], axis=1)
    high = np.stack([corner, corner + columns + 1, corner + columns], axis=1)
    return np.stack([x.reshape(-1), y.reshape(-1)], axis=1), np.concatenate([low, high])


def _painted(loops: tuple[Loop, ...], at: tuple[float, float]) -> int:
    """The band that shows at a place once all loops are painted in their order."""
    shown = -1
    for loop in loops:
        if _inside(loop.points, at):
            shown = loop.band
    return shown


def _inside(points: Floats, at: tuple[float, float]) -> bool:
    x, y = at
    odd = False
    for (ax, ay), (bx, by) in zip(points, np.roll(points, -1, axis=0), strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            odd = not odd
    return odd


def test_every_place_is_painted_in_the_band_its_value_lies_in() -> None:
    nodes, triangles = _grid(41, 31)
    # two hills and a pit between them that is an island of lower bands within higher ones
    values = (
        2.0 * np.exp(-((nodes[:, 0] - 0.8) ** 2 + (nodes[:, 1] - 1.0) ** 2) / 0.3)
        + 1.5 * np.exp(-((nodes[:, 0] - 2.2) ** 2 + (nodes[:, 1] - 1.2) ** 2) / 0.4)
        - 1.2 * np.exp(-((nodes[:, 0] - 0.8) ** 2 + (nodes[:, 1] - 1.0) ** 2) / 0.02)
    )
    levels = (0.2, 0.5, 1.0, 1.4)
    loops = isobands(nodes, triangles, values, levels)
    wrong = 0
    rng = np.random.default_rng(7)
    corners, of = nodes[triangles], values[triangles]
    for one, shares in zip(
        rng.integers(len(triangles), size=400), rng.dirichlet((1, 1, 1), size=400), strict=True
    ):
        at, value = shares @ corners[one], float(shares @ of[one])
        if min(abs(value - level) for level in levels) < 1e-6:
            continue
        wrong += _painted(loops, (float(at[0]), float(at[1]))) != int(np.digitize(value, levels))
    assert wrong == 0


def test_the_corners_of_a_contour_have_its_value() -> None:
    nodes, triangles = _grid(21, 21, 2.0, 2.0)
    values = np.hypot(nodes[:, 0] - 1.0, nodes[:, 1] - 1.0)
    for loop in isobands(nodes, triangles, -values, (-0.5,))[1:]:
        assert np.hypot(*(loop.points - 1.0).T) == pytest.approx(
            0.5, abs=0.006
        )  # a straight edge cuts a circle's arc


def test_areas_of_a_plane_are_what_geometry_says() -> None:
    nodes, triangles = _grid(13, 7)
    areas = [loop.area for loop in isobands(nodes, triangles, nodes[:, 0], (0.6, 1.7))]
    assert areas == pytest.approx([6.0, 4.8, 2.6])


def test_a_hole_in_the_mesh_is_a_loop_of_its_own_in_the_band_outside() -> None:
    nodes, triangles = _grid(13, 13, 3.0, 3.0)
    middle = nodes[triangles].mean(axis=1)
    ring = triangles[np.abs(middle - 1.5).max(axis=1) > 0.5]
    loops = isobands(nodes, ring, np.ones(len(nodes)), (0.5,))
    assert sorted(round(loop.area, 6) for loop in loops) == [1.0, 1.0, 9.0, 9.0]
    assert _painted(loops, (0.2, 0.2)) == 1


def test_a_level_over_everything_draws_nothing_and_the_way_round_of_triangles_does_not_matter() -> None:
    nodes, triangles = _grid(9, 9)
    values = nodes[:, 1]
    turned = isobands(nodes, triangles[:, ::-1], values, (1.0, 9.0))
    assert [(one.band, one.area) for one in turned] == [
        (one.band, one.area) for one in isobands(nodes, triangles, values, (1.0, 9.0))
    ]
    assert max(one.band for one in turned) == 1


def test_nothing_is_drawn_of_nothing() -> None:
    assert isobands(np.zeros((0, 2)), np.zeros((0, 3), dtype=np.int64), np.zeros(0), (1.0,)) == ()


def test_a_thinned_loop_stays_within_what_it_may_leave() -> None:
    angle = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    ring = np.stack([10.0 * np.cos(angle), 10.0 * np.sin(angle)], axis=1)
    fewer = thinned(ring, 0.05)
    assert 20 < len(fewer) < 80
    middles = (fewer + np.roll(fewer, -1, axis=0)) / 2
    assert np.hypot(*middles.T) == pytest.approx(10.0, abs=0.051)


@pytest.mark.parametrize("window", [(-1.0, -1.0, 9.0, 9.0), (1.0, 0.5, 2.0, 1.5), (5.0, 5.0, 6.0, 6.0)])
def test_what_is_clipped_lies_in_its_window(window: tuple[float, float, float, float]) -> None:
    star = np.array([[0.0, 0.0], [3.0, 0.0], [1.5, 1.0], [3.0, 2.0], [0.0, 2.0]])
    cut = clipped(star, window)
    assert len(cut) == 0 or (cut.min() >= min(window[:2]) and (cut <= window[2:]).all())
    if window[0] < 0:
        assert cut.tolist() == star.tolist()
    if window[0] == 5.0:
        assert len(cut) == 0
