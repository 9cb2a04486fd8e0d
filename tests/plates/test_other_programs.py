"""Panes beside two other programs: the frame-and-plate solver of PyNite, and Morley's triangle in scikit-fem."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import skfem
from Pynite import FEModel3D
from skfem.helpers import dd, ddot, eye, trace
from tests.plates.panes import GLASS, SQUARE, drilled

from tankwright.plates.bending import bending_stiffness, tension
from tankwright.plates.mesh import mesh_with_holes
from tankwright.plates.model import Plate, TopHold
from tankwright.plates.push import pressure_at, whole_push
from tankwright.plates.solver import solve_plate
from tankwright.plates.spacing import spacing_of

PANES = [GLASS, replace(GLASS, top="held"), replace(GLASS, holds=(TopHold(start=0.25, end=0.35),)), SQUARE]


@pytest.mark.parametrize("pane", PANES)
def test_frames_and_plates_of_another_program_move_as_much(pane: Plate) -> None:
    """Its rectangles (12 unknowns each, 24 by 16 of them) come within about 1 % of the exact answer themselves."""
    columns, rows = 24, 16
    model = FEModel3D()
    model.add_material("glass", pane.stiffness, pane.stiffness / 2 / (1 + pane.poisson), pane.poisson, 2500.0)
    x, y = np.linspace(0, pane.length, columns + 1), np.linspace(0, pane.height, rows + 1)
    for j in range(rows + 1):
        for i in range(columns + 1):
            model.add_node(f"N{i}-{j}", float(x[i]), float(y[j]), 0.0)
            braced = any(hold.start - 1e-9 <= x[i] <= hold.end + 1e-9 for hold in pane.holds)
            top = j == rows and (pane.top == "held" or braced)
            held = i in (0, columns) or j == 0 or top
            # nothing turns about its own line where the plate is held along it; in its plane the plate does not move
            model.def_support(f"N{i}-{j}", True, True, held, i in (0, columns), j == 0 or top, True)
    for j in range(rows):
        for i in range(columns):
            ring = (f"N{i}-{j}", f"N{i + 1}-{j}", f"N{i + 1}-{j + 1}", f"N{i}-{j + 1}")
            model.add_plate(f"P{i}-{j}", *ring, pane.thickness, "glass")
            middle = np.array([(y[j] + y[j + 1]) / 2])
            model.add_plate_surface_pressure(f"P{i}-{j}", float(pressure_at(pane, middle)[0]), case="Case 1")
    model.analyze_linear()
    theirs = max(abs(node.DZ["Combo 1"]) for node in model.nodes.values())
    assert solve_plate(pane).sag == pytest.approx(theirs, rel=0.015)


@pytest.mark.parametrize("hole", [(0.3, 0.335, 0.035), (0.06, 0.335, 0.035), (0.3, 0.13, 0.05)])
def test_another_triangle_sees_the_same_at_the_rim(hole: tuple[float, float, float]) -> None:
    """Morley's triangle of scikit-fem on the same net, its moment (one to a triangle) carried on to the rim."""
    pane = drilled(GLASS, hole)
    ours = solve_plate(pane, fineness=3)
    mesh = mesh_with_holes(pane, spacing_of(pane, 4))
    net = skfem.MeshTri(np.ascontiguousarray(mesh.nodes.T), np.ascontiguousarray(mesh.triangles.T))
    basis = skfem.Basis(net, skfem.ElementTriMorley(), intorder=2)

    @skfem.BilinearForm
    def bending(u, v, _):  # type: ignore[no-untyped-def]
        return bending_stiffness(pane) * ddot(
            (1 - pane.poisson) * dd(u) + pane.poisson * eye(trace(dd(u)), 2), dd(v)
        )

    @skfem.LinearForm
    def push(v, at):  # type: ignore[no-untyped-def]
        return pressure_at(pane, at.x[1]) * v

    small = 1e-9
    edges = net.facets_satisfying(
        lambda at: (at[0] < small) | (at[0] > pane.length - small) | (at[1] < small), boundaries_only=True
    )
    nought = basis.get_dofs(edges).all("u")
    loads = push.assemble(basis)
    (rim,) = mesh.rims
    loads[basis.nodal_dofs[0, rim]] += (whole_push(pane) - loads[basis.nodal_dofs[0]].sum()) / len(rim)
    values = skfem.solve(*skfem.condense(bending.assemble(basis), loads, D=nought))
    second = basis.interpolate(values).hess.mean(axis=-1)
    stress = tension(pane, np.column_stack([second[0, 0], second[1, 1], second[0, 1]]))
    assert ours.sag == pytest.approx(float(np.abs(values[basis.nodal_dofs[0]]).max()), rel=5e-3)
    # two strips of triangles round the rim, each of two kinds: the mean of both, carried on to the rim
    middles = net.p[:, net.t].mean(axis=1)
    away = np.hypot(middles[0] - hole[0], middles[1] - hole[1]) / (hole[2] / 2.0)
    kinds = [
        (away > low) & (away < high) for low, high in ((1.0, 1.02), (1.02, 1.04), (1.04, 1.06), (1.06, 1.09))
    ]
    peak, place = (np.array([one[kind].max() for kind in kinds]) for one in (stress, away))
    near, far = peak[:2].mean(), peak[2:].mean()
    at_rim = near + (near - far) * (place[:2].mean() - 1.0) / (place[2:].mean() - place[:2].mean())
    assert at_rim == pytest.approx(ours.holes[0].stress, rel=0.01)
