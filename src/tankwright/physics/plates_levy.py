"""A thin plate under standing water, solved exactly: both upright edges and the lower edge held, the top free or held.

Levy's series. A held edge keeps its place and may turn, as a pane in silicone does. The plate lies in x (along its
length) and y (up its height) from its lower left corner; it bends away from the water, and a positive stress is tension
on the dry face. Holes, clamped flanges, scratches and the give of the silicone are not in it.

The series itself is in `levy_series`; here are its limits, and the search for where it peaks.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

import numpy as np

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.physics.hole_stress import hole_edge_factor, hole_stress, hole_stress_factor
from tankwright.physics.levy_series import (
    Floats,
    Series,
    Shape,
    Top,
    Water,
    deflections,
    edge_tensions,
    principal_stresses,
    pushes,
    solved_series,
    tensions,
)
from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Metre, Newton, Pascal

LONGEST_RATIO: Final = 8.0
"""Length over height up to which the series is checked to give four digits."""

TALLEST_RATIO: Final = 4.0
"""Height over length up to which the series is checked to give four digits."""

THICKEST_SHARE: Final = 0.25
"""Thickness over the shorter side. Source: Roark's Formulas for Stress and Strain, 7th ed., chapter 11, its bounds of
flat-plate theory; from memory."""

_ACROSS: Final = 17
_UP: Final = 33
_FINER: Final = 3
_NEAR: Final = 0.97
_ROUND_A_HOLE: Final = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleTension:
    """A hole by the published raiser: both principal stresses the plain pane has `at` the worst place of its rim, the
    larger in size first, and the tension the hole makes of them. `edge_factor` is what a free top edge near by adds."""

    stress: Pascal
    first: Pascal
    second: Pascal
    factor: Dimensionless
    edge_factor: Dimensionless
    at: tuple[Metre, Metre]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LevyPlate:
    """What a plate comes to. Stresses in Pa, places in m from the lower left corner.

    `deflection` is the largest there is, at `deflection_at`. `worst` is the largest principal tension on either face,
    at `worst_at`; places come in pairs, left and right of the middle, and the left one is named. `top_edge` is the
    largest tension along a free top edge (not principal: see `edge_tensions`), 0 where it is held. `load` is the whole
    push of the water, `bottom`, `top` and `side` (each of two) what the edges push back; `corners` what the four
    corners do together, negative where they are held down.
    """

    length: Metre
    height: Metre
    deflection: Metre
    deflection_at: tuple[Metre, Metre]
    worst: Pascal
    worst_at: tuple[Metre, Metre]
    top_edge: Pascal
    load: Newton
    bottom: Newton
    top: Newton
    side: Newton
    corners: Newton
    series: Series = field(repr=False)

    def stresses_at(self, x: Metre, y: Metre) -> tuple[Pascal, Pascal]:
        """Both principal bending stresses at a place on the dry face, signed, the larger in size first.

        Raises OutsideValidRange for a place that is not on the plate.

        >>> pane = levy_plate(length=0.6, height=0.38, thickness=0.006, stiffness=70e9, poisson=0.23,
        ...                   head=0.38, top="free")
        >>> [round(stress / 1e6, 2) for stress in pane.stresses_at(0.3, 0.335)]
        [5.29, 0.82]
        """
        require("x", x, 0.0, self.length, "m")
        require("y", y, 0.0, self.height, "m")
        first, second = principal_stresses(self.series, np.array([x]), np.array([y]))
        one, other = float(first[0, 0]), float(second[0, 0])
        return (one, other) if abs(one) >= abs(other) else (other, one)

    def hole_tension(self, x: Metre, y: Metre, *, diameter: Metre) -> HoleTension:
        """The largest tension at the rim of one small round hole, by the published raiser of a bent plate.

        The pane's own stress changes from one side of a hole to the other, most near an upright edge, so the place of
        the rim where it is worst stands for all of the hole. At 480 random places in panes of 6 mm, a free or held top
        and a base, this lay between 2 % below and 21 % above finite elements of thin plates. Those do not know how
        thick the pane is: with the raiser of thin plates here too it is 6 % below to 14 % above. Raises
        OutsideValidRange where the rim leaves the plate.

        >>> pane = levy_plate(length=0.6, height=0.38, thickness=0.006, stiffness=70e9, poisson=0.23,
        ...                   head=0.38, top="free")
        >>> [round(pane.hole_tension(x, 0.335, diameter=0.035).stress / 1e6, 1) for x in (0.3, 0.06)]
        [10.7, 6.0]
        """
        radius = 0.5 * diameter
        require("x", x, radius, self.length - radius, "m")
        require("y", y, radius, self.height - radius, "m")
        factor = hole_stress_factor(diameter=diameter, thickness=self.series.shape.thickness)
        clear = max(self.height - y - radius, 1e-4)
        near = hole_edge_factor(clear=clear, diameter=diameter) if self.series.shape.top == "free" else 1.0
        angles = np.linspace(0.0, 2.0 * math.pi, _ROUND_A_HOLE, endpoint=False)
        xs, ys = x + radius * np.cos(angles), y + radius * np.sin(angles)
        both = principal_stresses(self.series, xs, ys)
        found = []
        for one, other, *at in zip(*(grid.diagonal().tolist() for grid in both), xs, ys, strict=True):
            first, second = sorted((one, other), key=abs, reverse=True)
            found.append(
                HoleTension(
                    stress=near * hole_stress(first_stress=first, second_stress=second, factor=factor),
                    first=first,
                    second=second,
                    factor=factor,
                    edge_factor=near,
                    at=(float(at[0]), float(at[1])),
                )
            )
        return max(found, key=lambda hole: hole.stress)

    def tension(self, x: Floats, y: Floats) -> Floats:
        """The larger principal tension of both faces over a grid, one row for each y; for pictures and maps."""
        return tensions(self.series, x, y)

    def bent(self, x: Floats, y: Floats) -> Floats:
        """How far the plate bends over a grid, one row for each y."""
        return deflections(self.series, x, y)


def levy_plate(
    *,
    length: Metre,
    height: Metre,
    thickness: Metre,
    stiffness: Pascal,
    poisson: Dimensionless,
    head: Metre,
    pressure: Pascal = 0.0,
    top: Top,
) -> LevyPlate:
    """A plate under water that stands `head` above its lower edge, and under `pressure` all over.

    Linear theory of thin plates: where it bends more than about half its thickness the true stress is lower. Raises
    OutsideValidRange beyond the shapes for which the series is checked.

    Inputs:
        length: between the upright edges that hold it; 0.01 to 20
        height: from the lower edge that holds it to its top; 0.01 to 20
        thickness: of the plate; 5e-4 to 0.2
        stiffness: modulus of elasticity; 1e8 to 1e12
        poisson: Poisson's ratio; 0 to 0.49
        head: still water above the lower edge; 0 to 20
        pressure: the same all over, besides the water's; 0 to 1e6

    Source: M. Levy's single series for plates on two opposite held edges, as in S. Timoshenko and S.
    Woinowsky-Krieger (1959), Theory of Plates and Shells, 2nd ed., chapter 5; own particular answer for a water line
    below the top.

    >>> pane = levy_plate(length=0.9, height=0.45, thickness=0.008, stiffness=70e9, poisson=0.23, head=0.45,
    ...                   top="free")
    >>> round(pane.worst / 1e6, 2), round(pane.deflection * 1000, 2), pane.worst_at
    (6.41, 1.97, (0.45, 0.45))
    """
    _require_plate(length, height, thickness, stiffness, poisson)
    require("head", head, 0.0, 20.0, "m")
    require("head", head, 0.0, height, "m")
    require("pressure", pressure, 0.0, 1e6, "Pa")
    return _solved(length, height, thickness, stiffness, poisson, head, pressure, top)


def _require_plate(
    length: Metre, height: Metre, thickness: Metre, stiffness: Pascal, poisson: Dimensionless
) -> None:
    require("length", length, 0.01, 20.0, "m")
    require("height", height, 0.01, 20.0, "m")
    require("length", length, height / TALLEST_RATIO * (1 - 1e-9), height * LONGEST_RATIO * (1 + 1e-9), "m")
    require("thickness", thickness, 5e-4, 0.2, "m")
    require("thickness", thickness, 5e-4, THICKEST_SHARE * min(length, height), "m")
    require("stiffness", stiffness, 1e8, 1e12, "Pa")
    require("poisson", poisson, 0.0, 0.49, "1")


# A room has few different panes; the page that drags a hole asks for one of them again and again.
@lru_cache(maxsize=512)
def _solved(
    length: float,
    height: float,
    thickness: float,
    stiffness: float,
    poisson: float,
    head: float,
    pressure: float,
    top: Top,
) -> LevyPlate:
    shape = Shape(
        length=length, height=height, thickness=thickness, stiffness=stiffness, poisson=poisson, top=top
    )
    gradient = WATER_DENSITY * STANDARD_GRAVITY if head > 0.0 else 0.0
    water = Water(head=head, gradient=gradient, pressure=pressure)
    series = solved_series(shape, water)
    worst, worst_at = _worst(series)
    deflection, deflection_at = _deepest(series)
    bottom, above, sides, corners = pushes(series)
    return LevyPlate(
        length=length,
        height=height,
        deflection=deflection,
        deflection_at=deflection_at,
        worst=worst,
        worst_at=worst_at,
        top_edge=_along_top(series) if top == "free" else 0.0,
        load=water.push(shape),
        bottom=bottom,
        top=above,
        side=sides / 2.0,
        corners=corners,
        series=series,
    )


def _worst(series: Series) -> tuple[float, tuple[float, float]]:
    """The largest tension on the left half and where it is: the best of a grid, then ever finer round it.

    A flat peak at mid-length and a sharp one near a side may lie close in size, so the best of the mid-length line and
    of the top edge are followed as well where they come near.
    """
    x, y = _across(series.shape.length), _up(series.shape.height)
    grid = tensions(series, x, y)
    starts = {
        _place(grid),
        (int(grid[:, -1].argmax()), grid.shape[1] - 1),
        (grid.shape[0] - 1, int(grid[-1].argmax())),
    }
    near = [start for start in sorted(starts) if grid[start] >= _NEAR * grid.max()]
    return max((_climbed(series, tensions, (x, y), start) for start in near), key=lambda peak: peak[0])


def _along_top(series: Series) -> float:
    def of(series: Series, x: Floats, _: Floats) -> Floats:
        return edge_tensions(series, x)[None, :]

    x, y = _across(series.shape.length), np.array([series.shape.height])
    return _climbed(series, of, (x, y), _place(of(series, x, y)))[0]


def _deepest(series: Series) -> tuple[float, tuple[float, float]]:
    """The largest deflection: water pushes alike all along the length, so it lies at mid-length."""
    x, y = np.array([0.5 * series.shape.length]), _up(series.shape.height)
    return _climbed(series, deflections, (x, y), _place(deflections(series, x, y)))


def _climbed(
    series: Series,
    of: Callable[[Series, Floats, Floats], Floats],
    places: tuple[Floats, Floats],
    start: tuple[int, int],
) -> tuple[float, tuple[float, float]]:
    (x, y), (row, column) = places, start
    for _ in range(_FINER):
        x, y = _finer(x, column), _finer(y, row)
        grid = of(series, x, y)
        row, column = _place(grid)
    return float(grid[row, column]), (float(x[column]), float(y[row]))


def _finer(places: Floats, index: int) -> Floats:
    """Nine places between the neighbours of one of them; a single place stays what it is."""
    if places.size == 1:
        return places
    return np.linspace(places[max(index - 1, 0)], places[min(index + 1, places.size - 1)], 9)


def _place(grid: Floats) -> tuple[int, int]:
    row, column = divmod(int(grid.argmax()), grid.shape[1])
    return row, column


def _across(length: float) -> Floats:
    """Places from the left edge to the middle, close together near the edge where the twist peaks."""
    places = 0.5 * length * (1.0 - np.cos(np.linspace(0.0, 0.5 * math.pi, _ACROSS)))
    places[-1] = 0.5 * length
    return np.asarray(places)


def _up(height: float) -> Floats:
    return 0.5 * height * (1.0 - np.cos(np.linspace(0.0, math.pi, _UP)))
