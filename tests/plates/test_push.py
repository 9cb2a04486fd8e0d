"""Water and pressure on triangles: nothing lost at the water line, nothing lost at a hole."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.plates.panes import GLASS, drilled

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.plates.mesh import mesh_with_holes
from tankwright.plates.push import pressure_at, push_on_nodes, whole_push
from tankwright.plates.spacing import spacing_of

WEIGHT = WATER_DENSITY * STANDARD_GRAVITY


def test_the_push_on_a_full_pane_is_that_of_hydrostatics() -> None:
    assert whole_push(GLASS) == pytest.approx(WEIGHT * 0.38**2 / 2.0 * 0.6)
    assert whole_push(replace(GLASS, head=0.0, pressure=100.0)) == pytest.approx(100.0 * 0.6 * 0.38)
    assert pressure_at(replace(GLASS, head=0.2), np.array([0.0, 0.1, 0.3])) == pytest.approx(
        [WEIGHT * 0.2, WEIGHT * 0.1, 0.0]
    )


@pytest.mark.parametrize("head", [0.38, 0.335, 0.33, 0.2, 0.1234, 0.001, 0.0])
def test_wherever_the_water_stands_all_of_its_push_is_on_the_nodes(head: float) -> None:
    pane = replace(drilled(GLASS, (0.3, 0.335, 0.035), (0.1, 0.1, 0.06)), head=head, pressure=50.0)
    mesh = mesh_with_holes(pane, spacing_of(pane, 1))
    forces = push_on_nodes(pane, mesh.nodes, mesh.triangles, mesh.rims)
    assert forces.sum() == pytest.approx(whole_push(pane), rel=1e-12)
    # and it pushes at the height where hydrostatics has it, but for how a stopper hands its own on
    height = (WEIGHT * head**3 / 6.0 * 0.6 + 50.0 * 0.6 * 0.38**2 / 2.0) / whole_push(pane)
    assert (forces * mesh.nodes[:, 1]).sum() / forces.sum() == pytest.approx(height, abs=2e-4)


def test_one_triangle_half_under_water() -> None:
    pane = replace(GLASS, head=0.1)
    nodes = np.array([[0.0, 0.0], [0.2, 0.0], [0.0, 0.2]])
    forces = push_on_nodes(pane, nodes, np.array([[0, 1, 2]]), ())
    # breadth 0.2 - y under pressure w (0.1 - y), summed from 0 to 0.1
    wanted = WEIGHT * (0.02 * 0.1 - 0.3 * 0.1**2 / 2.0 + 0.1**3 / 3.0)
    assert forces.sum() == pytest.approx(wanted, rel=1e-12)
    assert forces[0] > 2.0 * forces[2] > 0.0
