"""Moist air in plain arithmetic, for the loop of `step`, interpreted or compiled."""

from __future__ import annotations

import math

from tankwright.physics.heat_arrays import VAPOUR_MASS_RATIO

MASS_RATIO = VAPOUR_MASS_RATIO


def saturation_pressure(temperature: float) -> float:
    """Pressure of vapour over water, Pa: what `physics.heat_arrays` has for arrays, above freezing.

    Source: ASHRAE Fundamentals 2017, ch. 1, equation 6 (Hyland and Wexler 1983).

    >>> round(saturation_pressure(298.15), 1)
    3169.2
    """
    t = temperature
    powers = -0.048640239 + t * (4.1764768e-5 - 1.4452093e-8 * t)
    return math.exp(-5800.2206 / t + 1.3914993 + t * powers + 6.5459673 * math.log(t))


def saturation_growth(temperature: float) -> float:
    """How fast `saturation_pressure` grows, as a share of itself, 1/K.

    >>> round(saturation_pressure(299.15) * saturation_growth(299.15), 1)  # Pa/K
    199.0
    """
    t = temperature
    return 5800.2206 / (t * t) - 0.048640239 + t * (8.3529536e-5 - 4.3356279e-8 * t) + 6.5459673 / t


def vapour_pressure(humidity: float, pressure: float) -> float:
    """The vapour's pressure, Pa, in air of that humidity (kg a kg of dry air)."""
    return pressure * humidity / (MASS_RATIO + humidity)


def humidity_line(share: float, temperature: float, pressure: float) -> tuple[float, float]:
    """Humidity, kg a kg of dry air, at a relative humidity, and how fast it grows with temperature, 1/K.

    >>> round(humidity_line(0.6, 293.15, 101325.0)[0], 4)
    0.0087
    """
    p = share * saturation_pressure(temperature)
    gap = pressure - p
    value = MASS_RATIO * p / gap
    return value, value * saturation_growth(temperature) * pressure / gap
