"""The laws of the water for one number or for an array of tanks at once.

The formulas of the shelf call them with single numbers and keep the published limits; here nothing is refused, so
whoever calls them with arrays looks at the limits first. A single number comes back as an array without axes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Numbers = float | Array


def unionised_share(ph: Numbers, temperature: Numbers, ionic_strength: Numbers = 0.0) -> Array:
    """Share of dissolved ammonia that is NH3; the temperature in K, the ionic strength in mol/m3.

    Source: see `ammonia.unionised_ammonia_fraction`.

    >>> round(float(unionised_share(8.0, 298.15)), 5)
    0.05366
    """
    molar = np.asarray(ionic_strength, dtype=np.float64) / 1000.0
    shift = 0.5 * (np.sqrt(molar) / (1.0 + np.sqrt(molar)) - 0.3 * molar)
    return np.asarray(1.0 / (1.0 + _ten_to(0.09018 + 2729.92 / temperature + shift - ph)))


def acute_ammonia(ph: Numbers, temperature: Numbers) -> Array:
    """Total ammonia nitrogen, kg/m3, not to be passed for an hour.

    Source: see `ammonia.ammonia_acute_criterion`.

    >>> round(float(acute_ammonia(7.0, 293.15)) * 1000, 2)
    16.76
    """
    by_ph = 0.0114 / (1.0 + _ten_to(7.204 - ph)) + 1.6181 / (1.0 + _ten_to(ph - 7.204))
    by_temperature = np.minimum(51.93, 23.12 * _ten_to(0.036 * (293.15 - temperature)))
    return np.asarray(0.7249e-3 * by_ph * by_temperature)


def chronic_ammonia(ph: Numbers, temperature: Numbers) -> Array:
    """Total ammonia nitrogen, kg/m3, not to be passed by the mean of thirty days.

    Source: see `ammonia.ammonia_chronic_criterion`.

    >>> round(float(chronic_ammonia(7.0, 293.15)) * 1000, 3)
    1.887
    """
    by_ph = 0.0278 / (1.0 + _ten_to(7.688 - ph)) + 1.1994 / (1.0 + _ten_to(ph - 7.688))
    by_temperature = 2.126 * _ten_to(0.028 * (293.15 - np.maximum(temperature, 280.15)))
    return np.asarray(0.8876e-3 * by_ph * by_temperature)


def _ten_to(exponent: Numbers) -> Array:
    return np.asarray(np.power(10.0, exponent), dtype=np.float64)


def mean_decay(exponent: Numbers) -> Array:
    """Mean of exp(-x) from 0 to the exponent: (1 - exp(-x)) / x, and 1 at 0.

    Source: calculus.

    >>> float(mean_decay(0.0)), round(float(mean_decay(1.0)), 3)
    (1.0, 0.632)
    """
    x = np.asarray(exponent, dtype=np.float64)
    positive = np.where(x > 0.0, x, 1.0)
    return np.where(x > 0.0, -np.expm1(-positive) / positive, 1.0)


def approached(start: Numbers, gain: Numbers, rate: Numbers, time: Numbers) -> Array:
    """What dy/dt = gain - rate y makes of a start in a time; a rate of 0 is a plain rise.

    Source: linear equation of the first order, closed form.

    >>> round(float(approached(0.0, 2.0, 1.0, 1.0)), 3), float(approached(0.0, 2.0, 0.0, 3.0))
    (1.264, 6.0)
    """
    exponent = np.asarray(rate * time, dtype=np.float64)
    return np.asarray(start * np.exp(-exponent) + gain * time * mean_decay(exponent))


def time_to_approach(start: Numbers, gain: Numbers, rate: Numbers, limit: Numbers) -> Array:
    """When the y of `approached` meets a limit; infinite when it never does.

    Source: `approached` solved for the time.

    >>> round(float(time_to_approach(0.0, 2.0, 1.0, 1.0)), 4), float(time_to_approach(0.0, 2.0, 1.0, 2.5))
    (0.6931, inf)
    """
    way, slope = np.asarray(limit - start), np.asarray(gain - rate * start)
    moving = slope != 0.0
    straight = np.where(moving, way / np.where(moving, slope, 1.0), -1.0)  # had it kept its first slope
    bent = rate * straight
    reached = (straight >= 0.0) & (bent < 1.0)
    exponent = np.where(reached & (bent > 0.0), bent, 0.5)
    longer = np.where(bent > 0.0, -np.log1p(-exponent) / exponent, 1.0)
    return np.where(way == 0.0, 0.0, np.where(reached, straight * longer, np.inf))


def settled_ammonia(supply: Numbers, capacity: Numbers, half_saturation: Numbers, inflow: Numbers) -> Array:
    """Ammonia nitrogen, kg/m3, where filter and drip carry away a supply in kg/s; infinite where they cannot.

    Source: see `nitrification.steady_ammonia`.

    >>> float(settled_ammonia(1.0, 3.0, 1e-3, 0.0)), float(settled_ammonia(2.0, 1.0, 1e-3, 0.0))
    (0.0005, inf)
    """
    given, drip = np.asarray(supply, dtype=np.float64), np.asarray(inflow, dtype=np.float64)
    spare = capacity + drip * half_saturation - given
    root = np.sqrt(spare * spare + 4.0 * drip * half_saturation * given)
    eased = spare > 0.0
    whole = (
        2.0 * half_saturation * given / np.where(eased, spare + root, 1.0)
    )  # the form without cancellation
    carried = np.where(drip > 0.0, (root - spare) / np.where(drip > 0.0, 2.0 * drip, 1.0), np.inf)
    return np.asarray(np.where(given == 0.0, 0.0, np.where(eased, whole, carried)))


def media_capacity(
    media_volume: Numbers, rate: Numbers, temperature: Numbers, factor: Numbers = 1.03
) -> Array:
    """Ammonia nitrogen, kg/s, that media turn over at most; the rate is that at 25 °C.

    Source: see `nitrification.nitrification_capacity`.

    >>> float(media_capacity(2.0, 0.5, 298.15))
    1.0
    """
    return np.asarray(media_volume * rate * np.power(factor, temperature - 298.15), dtype=np.float64)
