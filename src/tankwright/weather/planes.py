"""The sun on a wall, a roof or a window, hour by hour, from a year of weather. Pure arithmetic on arrays.

south = on_plane(year, azimuth=math.pi, tilt=math.pi / 2)
south.total                          # W/m2 that fall on the wall
through_window(south, solar_gain=0.6)  # W per m2 of pane that come into the room
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from tankwright.units import Dimensionless, Radian
from tankwright.weather.model import Hours, WeatherYear

GROUND_ALBEDO: Final = 0.2
"""Share of the sun that the ground throws back; common practice for grass and soil, fresh snow has 0.7 and more."""

UPRIGHT: Final[Radian] = float(np.pi / 2)
FACING: Final = {"north": 0.0, "east": float(np.pi / 2), "south": float(np.pi), "west": float(3 * np.pi / 2)}
"""Azimuths of the four walls: the way the outer face looks, clockwise from north."""

Sky = Literal["perez", "isotropic"]
_LOWEST_SUN: Final = np.cos(np.radians(85.0))  # Perez: a lower sun does not make its halo brighter


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """What falls on a plane in each hour: straight from the sun, from the sky and from the ground, W/m2.

    `incidence` is the angle between the sun and the normal of the plane, radians, pi/2 when it is behind it.
    """

    beam: Hours
    sky: Hours
    ground: Hours
    incidence: Hours

    @property
    def total(self) -> Hours:
        """All that falls on the plane, W/m2."""
        return self.beam + self.sky + self.ground


def on_plane(
    year: WeatherYear,
    *,
    azimuth: Radian = 0.0,
    tilt: Radian = UPRIGHT,
    albedo: Dimensionless = GROUND_ALBEDO,
    sky: Sky = "perez",
) -> Plane:
    """The sun on a plane that looks towards `azimuth`, tilted from flat (0) over upright (pi/2) to face down (pi).

    Source: isotropic sky by B. Liu and R. Jordan (1963), Solar Energy 7(2), 53-74; Perez sky as in `weather.sun`.
    """
    towards = np.cos(year.sun_zenith) * np.cos(tilt)
    towards = towards + np.sin(year.sun_zenith) * np.sin(tilt) * np.cos(year.sun_azimuth - azimuth)
    towards = np.clip(towards, 0.0, 1.0)
    seen = (1.0 + np.cos(tilt)) / 2.0
    share: Hours | float = seen
    if sky == "perez":
        halo = towards / np.maximum(np.cos(year.sun_zenith), _LOWEST_SUN)
        share = (1.0 - year.circumsolar) * seen + year.circumsolar * halo + year.horizon * np.sin(tilt)
    return Plane(
        beam=year.direct_normal * towards,
        sky=np.maximum(year.diffuse_horizontal * share, 0.0),
        ground=year.global_horizontal * (albedo * (1.0 - np.cos(tilt)) / 2.0),
        incidence=np.arccos(towards),
    )


def through_window(plane: Plane, *, solar_gain: Dimensionless) -> Hours:
    """What comes through a window in that plane, W per m2 of pane; `solar_gain` is its g-value for a sun square to it.

    The light of sky and ground comes from all sides and is weakened by the mean over the half space.
    """
    return solar_gain * (
        plane.beam * pane_factor(plane.incidence) + (plane.sky + plane.ground) * DIFFUSE_FACTOR
    )


def pane_factor(incidence: Hours) -> Hours:
    """What a slanting sun brings through a double pane, as a share of what a square one brings.

    Source: polynomial of the ANSI/ASHRAE 140 window in IBPSA's ISO 13790 model; that the angle is meant in radians
    is inferred from its falling to nothing at a right angle.

    >>> float(pane_factor(np.array([0.0]))[0])
    1.0
    """
    x = incidence
    return np.clip(1.0 + x * (-0.189 + x * (0.644 - 0.596 * x)), 0.0, 1.0)


def _mean_over_half_space() -> float:
    angles: Hours = np.arange(0.5, 2000.0) * (np.pi / 2 / 2000)
    return float(np.average(pane_factor(angles), weights=np.sin(2.0 * angles)))


DIFFUSE_FACTOR: Final = _mean_over_half_space()
"""`pane_factor` for light from all sides: its mean weighted with sin(2 x), 0.87."""
