"""Curvatures read from values and slopes, and what they mean in glass."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.plates.panes import GLASS

from tankwright.plates.bending import (
    bending_stiffness,
    first_along,
    round_a_rim,
    second_along,
    strip_stiffness,
    strip_stress,
    tension,
    tension_along_x,
    turned_to_axes,
)
from tankwright.plates.model import TopStrip

PLACES = np.array([0.0, 0.1, 0.15, 0.4, 0.6, 0.62, 1.0])


@pytest.mark.parametrize("reach", [1, 2])
def test_a_curve_of_fifth_degree_is_read_exactly_however_the_places_lie(reach: int) -> None:
    curve = np.polynomial.Polynomial([1.0, -2.0, 3.0, 0.5, -4.0, 2.0])
    read = second_along(PLACES, curve(PLACES), curve.deriv()(PLACES), reach=reach)
    assert read == pytest.approx(curve.deriv(2)(PLACES), abs=1e-9)


def test_rows_of_curves_are_read_at_once() -> None:
    curves = [np.polynomial.Polynomial([0.0, 0.0, 1.0, factor]) for factor in (1.0, 2.0)]
    values, slopes = (
        np.stack([one(PLACES) for one in row]) for row in (curves, [one.deriv() for one in curves])
    )
    assert second_along(PLACES, values, slopes)[1] == pytest.approx(2.0 + 12.0 * PLACES)


def test_a_parabola_has_its_slope_at_the_ends_too() -> None:
    assert first_along(PLACES, PLACES**2) == pytest.approx(2.0 * PLACES)


@pytest.mark.parametrize("points", [40, 96])
def test_round_a_rim_a_field_has_the_curvatures_it_has(points: int) -> None:
    """w = a x² + b xy + c y² is bent alike everywhere, and turned to the rim's directions and back it still is."""
    a, b, c, radius = 1.0, 0.7, -0.4, 0.02
    angles = np.arange(points) * 2.0 * np.pi / points
    outward = np.column_stack([np.cos(angles), np.sin(angles)])
    along = np.column_stack([-outward[:, 1], outward[:, 0]])
    x, y = (radius * outward).T
    slopes = np.column_stack([2 * a * x + b * y, b * x + 2 * c * y])
    bend, twist = round_a_rim(
        a * x**2 + b * x * y + c * y**2, (slopes * outward).sum(axis=1), (slopes * along).sum(axis=1), radius
    )
    across = 2 * (a + c) - bend
    back = turned_to_axes(bend, across, -twist, along)
    assert back == pytest.approx(np.tile([2 * a, 2 * c, b], (points, 1)), abs=2e-3)


def test_the_larger_tension_of_both_faces() -> None:
    face = 70e9 / (1 - 0.23**2) * 0.006 / 2.0
    assert tension(GLASS, np.array([[0.01, 0.0, 0.0]])) == pytest.approx(face * 0.01)
    assert tension(GLASS, np.array([[-0.01, 0.0, 0.0]])) == pytest.approx(face * 0.01)
    assert tension(GLASS, np.array([[0.01, 0.01, 0.0]])) == pytest.approx(face * 0.01 * 1.23)
    assert tension(GLASS, np.array([[0.0, 0.0, 0.01]])) == pytest.approx(face * 0.01 * (1 - 0.23))
    assert tension_along_x(GLASS, np.array([[0.01, -0.0023, 0.5]])) == pytest.approx(70e9 * 0.003 * 0.01)


def test_stiffness_of_plate_and_strip() -> None:
    assert bending_stiffness(GLASS) == pytest.approx(1330.4, abs=0.1)
    assert strip_stiffness(GLASS) == 0.0
    edged = replace(GLASS, strip=TopStrip(width=0.05, thickness=0.006))
    assert strip_stiffness(edged) == pytest.approx(70e9 * 0.006 * 0.05**3 / 12.0)
    assert strip_stress(edged, np.array([-0.001])) == pytest.approx(70e9 * 0.001 * 0.025)
