"""Walls of several layers: their resistance with and without studs, and where vapour condenses inside them.

These take whole walls, so they stand beside the shelf; `conduction` and `surfaces` give the single numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, product

_VAPOUR_PERMEABILITY = 2e-10  # kg/(m s Pa), still air, as EN ISO 13788 takes it
_LEAST_VAPOUR_THICKNESS = 1e-3  # m; what holds back nothing at all would put two faces at one place


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer: resistance in m2 K/W, and the thickness of still air that would hold vapour back as much, in m.

    A layer with studs has `bridge_share` of its area at `bridge_resistance`.
    """

    resistance: float
    vapour_thickness: float = 0.0
    bridge_resistance: float = 0.0
    bridge_share: float = 0.0


def series_resistance(layers: Sequence[Layer], *, inner_surface: float, outer_surface: float) -> float:
    """Resistance from air to air of layers without studs, m2 K/W.

    Source: EN ISO 6946, 6.7.1.2; from memory.

    >>> brick = Layer(resistance=0.11 / 0.667)
    >>> round(series_resistance([brick], inner_surface=0.13, outer_surface=0.04), 3)
    0.335
    """
    return outer_surface + sum(layer.resistance for layer in layers) + inner_surface


def resistance_limits(
    layers: Sequence[Layer], *, inner_surface: float, outer_surface: float
) -> tuple[float, float]:
    """The two limits of the resistance of layers with studs, m2 K/W: heat that stays in its path, and heat that
    spreads freely in every layer. The resistance is taken as their mean.

    Studs of two layers are taken as crossing, each share meeting every share of the other.

    Source: EN ISO 6946, combined method (6.7.2); from memory.

    >>> studs = Layer(resistance=0.14 / 0.038, bridge_resistance=0.14 / 0.13, bridge_share=0.15)
    >>> [round(limit, 2) for limit in resistance_limits([studs], inner_surface=0.13, outer_surface=0.04)]
    [2.93, 2.87]
    """
    through = 0.0
    for path in product(*(_sections(layer) for layer in layers)):
        share = math.prod(part for part, _ in path)
        through += share / (outer_surface + sum(resistance for _, resistance in path) + inner_surface)
    spread = sum(1.0 / sum(share / resistance for share, resistance in _sections(layer)) for layer in layers)
    return 1.0 / through, outer_surface + spread + inner_surface


def _sections(layer: Layer) -> tuple[tuple[float, float], ...]:
    if layer.bridge_share == 0.0:
        return ((1.0, layer.resistance),)
    return ((1.0 - layer.bridge_share, layer.resistance), (layer.bridge_share, layer.bridge_resistance))


def combined_resistance(layers: Sequence[Layer], *, inner_surface: float, outer_surface: float) -> float:
    """Resistance from air to air of layers with or without studs, m2 K/W.

    Source: EN ISO 6946, combined method (6.7.2); from memory.

    >>> plain = [Layer(resistance=1.41), Layer(resistance=0.05)]
    >>> round(combined_resistance(plain, inner_surface=0.13, outer_surface=0.04), 2)
    1.63
    """
    upper, lower = resistance_limits(layers, inner_surface=inner_surface, outer_surface=outer_surface)
    return 0.5 * (upper + lower)


@dataclass(frozen=True, slots=True, kw_only=True)
class VapourProfile:
    """Faces from the outer surface to the inner one: temperature (K), the pressure at which vapour condenses there,
    the pressure of the vapour (Pa), and the water that gathers there (kg/(m2 s), 0 where none does)."""

    temperatures: tuple[float, ...]
    saturation_pressures: tuple[float, ...]
    vapour_pressures: tuple[float, ...]
    condensation: tuple[float, ...]


def saturation_pressure_of_walls(temperature: float) -> float:
    """Saturation pressure in the form the standard for walls uses, which its printed answers rest on, Pa.

    Source: EN ISO 13788, annex E (over water from 0 °C, over ice below).

    >>> round(saturation_pressure_of_walls(293.15), 2)
    2336.95
    """
    t = temperature - 273.15
    return 610.5 * math.exp(17.269 * t / (237.3 + t) if t >= 0.0 else 21.875 * t / (265.5 + t))


def saturation_temperature_of_walls(pressure: float) -> float:
    """Temperature at which vapour of a pressure condenses, in the form the standard for walls uses, K.

    Source: EN ISO 13788, annex E, solved for the temperature.

    >>> round(saturation_temperature_of_walls(2336.95) - 273.15, 2)
    20.0
    """
    logarithm = math.log(pressure / 610.5)
    if logarithm >= 0.0:
        return 237.3 * logarithm / (17.269 - logarithm) + 273.15
    return 265.5 * logarithm / (21.875 - logarithm) + 273.15


def vapour_profile(
    layers: Sequence[Layer],
    *,
    outer: tuple[float, float],
    inner: tuple[float, float],
    inner_surface: float = 0.13,
    outer_surface: float = 0.04,
) -> VapourProfile:
    """Temperatures and vapour in a wall at rest; layers from outside to inside, `outer` and `inner` air as
    (temperature in K, vapour pressure in Pa).

    Where the straight course of the vapour would pass what a face can hold, the vapour follows the tightest string
    under the saturation pressures; it may touch several faces, and water gathers at each. Walls alone, without sun,
    rain, capillary flow or leaks of air: a screening.

    Source: H. Glaser (1959), as in EN ISO 13788; from memory.

    >>> wall = [Layer(resistance=0.2, vapour_thickness=1.0), Layer(resistance=1.0, vapour_thickness=0.5)]
    >>> profile = vapour_profile(wall, outer=(273.15, 550.0), inner=(293.15, 1400.0))
    >>> [rate > 0.0 for rate in profile.condensation]
    [False, True, False]
    """
    total = series_resistance(layers, inner_surface=inner_surface, outer_surface=outer_surface)
    passed, depth = [outer_surface], [0.0]
    for layer in layers:
        passed.append(passed[-1] + layer.resistance)
        depth.append(depth[-1] + max(layer.vapour_thickness, _LEAST_VAPOUR_THICKNESS))
    temperatures = tuple(outer[0] + (inner[0] - outer[0]) * before / total for before in passed)
    held = tuple(saturation_pressure_of_walls(temperature) for temperature in temperatures)
    ends = {0: min(outer[1], held[0]), len(layers): min(inner[1], held[-1])}
    points = [
        (place, ends.get(face, most)) for face, (place, most) in enumerate(zip(depth, held, strict=True))
    ]
    touched = _lower_hull(points)
    gathered = [0.0] * len(points)
    for before, face, after in zip(touched, touched[1:], touched[2:], strict=False):
        kink = _slope(points[face], points[after]) - _slope(points[before], points[face])
        gathered[face] = _VAPOUR_PERMEABILITY * kink
    return VapourProfile(
        temperatures=temperatures,
        saturation_pressures=held,
        vapour_pressures=_along(points, touched),
        condensation=tuple(gathered),
    )


def _slope(first: tuple[float, float], second: tuple[float, float]) -> float:
    return (second[1] - first[1]) / (second[0] - first[0])


def _lower_hull(points: Sequence[tuple[float, float]]) -> list[int]:
    """The points a string touches that is pulled tight under them, by number; the ends are always touched."""
    hull = [0]
    for index in range(1, len(points)):
        while len(hull) > 1 and not _turns_up(points[hull[-2]], points[hull[-1]], points[index]):
            hull.pop()
        hull.append(index)
    return hull


def _turns_up(first: tuple[float, float], middle: tuple[float, float], last: tuple[float, float]) -> bool:
    rise = (middle[0] - first[0]) * (last[1] - first[1]) - (middle[1] - first[1]) * (last[0] - first[0])
    return rise > 1e-12 * (last[0] - first[0]) * max(abs(first[1]), abs(last[1]))  # a straight line does not


def _along(points: Sequence[tuple[float, float]], touched: Sequence[int]) -> tuple[float, ...]:
    course = [points[0][1]]
    for before, after in pairwise(touched):
        width = points[after][0] - points[before][0]
        for face in range(before + 1, after + 1):
            share = (points[face][0] - points[before][0]) / width
            course.append(points[before][1] + share * (points[after][1] - points[before][1]))
    return tuple(course)
