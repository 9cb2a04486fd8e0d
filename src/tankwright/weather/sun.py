"""Where the sun stands in each hour of a year, and how its sky is bright: worked out once for a file, by pvlib.

pvlib and pandas take more than a second to load, so they are imported here, inside the one function that needs
them. What it gives is kept with the year; the sun on a wall or a roof follows from it in `weather.planes`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from tankwright.units import Metre, Radian, Second
from tankwright.weather.model import HOURS, Hours

# A typical year is made of months of several years. The sun is taken of one plain year; another moves the
# yearly sum on a south wall by less than 0.01 %.
_YEAR: Final = "2021-01-01 00:30"
_DARK: Final = np.radians(91.5)  # refraction and the width of the sun, and an hour that is half day


@dataclass(frozen=True, slots=True, kw_only=True)
class Sun:
    """The sun at the middle of each hour (radians, azimuth clockwise from north) and the Perez sky F1, F2."""

    zenith: Hours
    azimuth: Hours
    circumsolar: Hours
    horizon: Hours


def sun_of(
    *,
    latitude: Radian,
    longitude: Radian,
    elevation: Metre,
    utc_offset: Second,
    direct_normal: Hours,
    diffuse_horizontal: Hours,
) -> Sun:
    """Work out the sun of a year at a place.

    Source: solar position by the algorithm of I. Reda and A. Andreas (2004), Solar Energy 76(5), 577-589; sky by
    R. Perez, P. Ineichen, R. Seals and J. Michalsky (1990), Solar Energy 44(5), 271-289, coefficient set
    "allsitescomposite1990"; air mass by F. Kasten and A. Young (1989); all as pvlib has them.
    """
    import pandas as pd  # noqa: PLC0415 - see the first lines
    from pvlib import atmosphere, irradiance, solarposition  # noqa: PLC0415 - see the first lines

    start = pd.Timestamp(_YEAR) - pd.Timedelta(seconds=utc_offset)
    times = pd.date_range(start, periods=HOURS, freq="h", tz="UTC")
    place = np.degrees(latitude), np.degrees(longitude)
    position = solarposition.get_solarposition(times, *place, altitude=elevation)
    zenith, azimuth = position["zenith"].to_numpy(), position["azimuth"].to_numpy()
    # On an upright plane that faces the sun, sky light is DHI x ((1 - F1) / 2 + F1 a/b + F2): F1 and F2 are read
    # off its first and last part.
    parts = irradiance.perez(
        90.0,
        azimuth,
        diffuse_horizontal,
        direct_normal,
        irradiance.get_extra_radiation(times.day_of_year.to_numpy()),
        zenith,
        azimuth,
        atmosphere.get_relative_airmass(zenith),
        return_components=True,
    )
    bright = (parts["poa_sky_diffuse"] > 0.0) & (diffuse_horizontal > 0.0)
    light = np.where(bright, diffuse_horizontal, 1.0)
    return Sun(
        zenith=np.radians(zenith),
        azimuth=np.radians(azimuth),
        circumsolar=np.where(bright, 1.0 - 2.0 * parts["poa_isotropic"] / light, 0.0),
        horizon=np.where(bright, parts["poa_horizon"] / light, 0.0),
    )


def share_in_the_dark(sun: Sun, global_horizontal: Hours) -> float:
    """Share of the year's sun that a file puts into hours when the sun is down: much means a wrong place or clock."""
    total = float(global_horizontal.sum())
    return float(global_horizontal[sun.zenith > _DARK].sum()) / total if total > 0.0 else 0.0
