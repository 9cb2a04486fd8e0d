"""How near and how fast panes are worked out: beside the exact series, and beside Morley's triangle of scikit-fem.

Run: python -m benchmarks.plates. Ratios within one run count, not seconds.
"""

from __future__ import annotations

import os
import time
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from tankwright.physics.plates_levy import levy_plate
from tankwright.plates.bending import bending_stiffness, tension
from tankwright.plates.mesh import mesh_with_holes
from tankwright.plates.model import Plate, RoundHole, TopHold, TopStrip
from tankwright.plates.places import worst_over_places
from tankwright.plates.push import push_on_nodes
from tankwright.plates.solver import COARSE, FINEST, FULL, solve_plate
from tankwright.plates.spacing import spacing_of

PANE_GOAL: Final = 2.0
"""Seconds at most for one pane with its hole."""

PLACE_GOAL: Final = 0.35
"""Seconds at most for one place of a map."""

NEAR: Final = 0.01
"""The worst stress is this near to that of the finest net or of the series."""

PLACES: Final = 150

_PANE: Final = Plate(length=0.9, height=0.45, thickness=0.008, stiffness=70e9, poisson=0.23, head=0.45)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    name: str
    pane: Plate


CASES: Final = (
    _Case(name="whole", pane=_PANE),
    _Case(name="whole, 1.8 m", pane=replace(_PANE, length=1.8)),
    _Case(name="cross brace", pane=replace(_PANE, holds=(TopHold(start=0.42, end=0.48),))),
    _Case(name="hole mid-length", pane=replace(_PANE, holes=(RoundHole(x=0.45, y=0.405, diameter=0.035),))),
    _Case(name="hole in corner", pane=replace(_PANE, holes=(RoundHole(x=0.06, y=0.405, diameter=0.035),))),
    _Case(
        name="strip, three holes",
        pane=replace(
            _PANE,
            strip=TopStrip(width=0.05, thickness=0.006),
            holes=tuple(
                RoundHole(x=x, y=y, diameter=0.035) for x, y in ((0.06, 0.405), (0.84, 0.405), (0.45, 0.1))
            ),
        ),
    ),
    _Case(name="4 mm beside hole", pane=replace(_PANE, holes=(RoundHole(x=0.3, y=0.419, diameter=0.054),))),
)


def run() -> int:
    """Print the table; how many goals were missed is told at the end."""
    print(f"plates (load of the machine {os.getloadavg()[0]:.1f})")
    print(
        "pane                unknowns      s   off by   coarse s   off by   Morley unknowns      s   off by"
    )
    solve_plate(CASES[0].pane)
    solve_plate(CASES[3].pane)
    missed = sum(_line(case) for case in CASES)
    missed += _map()
    print(f"goals: a pane {PANE_GOAL:.0f} s and within {NEAR:.0%}, a place {PLACE_GOAL} s; missed {missed}")
    return missed


def _line(case: _Case) -> int:
    pane = case.pane
    exact = _exact(pane)
    full, took = _timed(pane, FULL)
    coarse, coarse_took = _timed(pane, COARSE)
    off = full.worst / exact - 1.0
    row = f"{case.name:<19} {full.unknowns:8d} {took:6.3f} {off:8.2%}"
    row += f"   {coarse_took:8.3f} {coarse.worst / exact - 1.0:8.2%}"
    if pane.holes and pane.strip is None:
        unknowns, seconds, worst = _morley(pane)
        row += f"   {unknowns:15d} {seconds:6.3f} {worst / exact - 1:8.2%}"
    print(row)
    return int(took > PANE_GOAL) + int(abs(off) > NEAR) + int(coarse_took > PLACE_GOAL)


def _exact(pane: Plate) -> float:
    if pane.holes or pane.holds or pane.strip is not None:
        return solve_plate(pane, fineness=FINEST).worst
    sizes = {
        name: getattr(pane, name)
        for name in ("length", "height", "thickness", "stiffness", "poisson", "head")
    }
    return levy_plate(**sizes, top=pane.top).worst


def _timed(pane: Plate, fineness: int) -> tuple[Any, float]:
    began = time.perf_counter()
    solution = solve_plate(pane, fineness=fineness)
    return solution, time.perf_counter() - began


def _morley(pane: Plate) -> tuple[int, float, float]:
    """The same net by Morley's triangle, what a library has for a plate with a hole; its worst moment as it is."""
    import skfem  # noqa: PLC0415 - timed from here
    from skfem.helpers import dd, ddot, eye, trace  # noqa: PLC0415

    mesh = mesh_with_holes(pane, spacing_of(pane, FINEST))
    began = time.perf_counter()
    net = skfem.MeshTri(np.ascontiguousarray(mesh.nodes.T), np.ascontiguousarray(mesh.triangles.T))
    basis = skfem.Basis(net, skfem.ElementTriMorley(), intorder=2)

    @skfem.BilinearForm
    def bending(u: Any, v: Any, _: Any) -> Any:
        return bending_stiffness(pane) * ddot(
            (1 - pane.poisson) * dd(u) + pane.poisson * eye(trace(dd(u)), 2), dd(v)
        )

    edges = net.facets_satisfying(
        lambda at: (at[0] < 1e-9) | (at[0] > pane.length - 1e-9) | (at[1] < 1e-9), boundaries_only=True
    )
    loads = np.zeros(basis.N)
    loads[basis.nodal_dofs[0]] = push_on_nodes(pane, mesh.nodes, mesh.triangles, mesh.rims)
    values = skfem.solve(*skfem.condense(bending.assemble(basis), loads, D=basis.get_dofs(edges).all("u")))
    second = basis.interpolate(values).hess.mean(axis=-1)
    worst = tension(pane, np.column_stack([second[0, 0], second[1, 1], second[0, 1]])).max()
    return basis.N, time.perf_counter() - began, float(worst)


def _map() -> int:
    across, up = np.meshgrid(np.linspace(0.05, 0.85, 15), np.linspace(0.05, 0.4, 10))
    places = list(zip(across.ravel().tolist(), up.ravel().tolist(), strict=True))
    began = time.perf_counter()
    worst = worst_over_places(_PANE, 0.035, places)
    took = time.perf_counter() - began
    best = int(np.nanargmin(worst[:, 1]))
    print(f"map of {PLACES} places on one core: {took:.1f} s, {took / PLACES:.3f} s a place; "
          f"{np.nanmin(worst[:, 1]) / 1e6:.1f} to {np.nanmax(worst[:, 1]) / 1e6:.1f} MPa at the rim, least at "
          f"{places[best][0]:.2f}, {places[best][1]:.2f} m")  # fmt: skip
    return int(took > PLACE_GOAL * PLACES)


if __name__ == "__main__":
    raise SystemExit(run())
