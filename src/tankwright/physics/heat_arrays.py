"""The laws of moist air, evaporation and heat machines for one number or for arrays: a year of hours, a room of tanks.

The formulas of the shelf call them with single numbers and keep the published limits; here nothing is refused, so
whoever calls them with arrays looks at the limits first. Temperatures in K, pressures in Pa, all else SI.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Numbers = float | NDArray[np.float64]
"""A number, or an array of them: what goes in is what comes out."""

VAPOUR_MASS_RATIO: Final = 0.621945
"""kg/kg, molar mass of water over that of dry air. Source: ASHRAE Fundamentals 2017, ch. 1."""

VAPOUR_GAS_CONSTANT: Final = 461.524
"""J/(kg K), water vapour. Source: ASHRAE Fundamentals 2017, ch. 1 (8314.472 over 18.015268)."""

_DRY_AIR_GAS_CONSTANT: Final = 287.042  # J/(kg K), as ASHRAE Fundamentals 2017, ch. 1 has it
_ICE_POINT: Final = 273.15
_TRIPLE_POINT: Final = 273.16

_OVER_ICE: Final = (-5674.5359, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_OVER_WATER: Final = (-5800.2206, 1.3914993, -0.048640239, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)


def saturation_pressures(temperature: Numbers) -> Numbers:
    """Pressure of water vapour over water, or over ice below the triple point; 173.15 to 473.15 K.

    Source: ASHRAE Fundamentals 2017, ch. 1, equations 5 and 6 (Hyland and Wexler 1983).

    >>> round(float(saturation_pressures(298.15)), 1)
    3169.2
    """
    t = np.asarray(temperature, dtype=np.float64)
    logarithm = np.where(t <= _TRIPLE_POINT, _log_pressure(t, _OVER_ICE), _log_pressure(t, _OVER_WATER))
    return np.exp(logarithm)


def _log_pressure(t: NDArray[np.float64], c: tuple[float, ...]) -> NDArray[np.float64]:
    powers = c[1] + t * (c[2] + t * (c[3] + t * (c[4] + t * c[5])))
    return np.asarray(c[0] / t + powers + c[6] * np.log(t))


def saturation_slopes(temperature: Numbers) -> Numbers:
    """How fast the saturation pressure rises with the temperature, Pa/K.

    Source: derivative of `saturation_pressures`.

    >>> round(float(saturation_slopes(299.15)), 1)
    199.0
    """
    t = np.asarray(temperature, dtype=np.float64)
    slope = np.where(t <= _TRIPLE_POINT, _log_slope(t, _OVER_ICE), _log_slope(t, _OVER_WATER))
    return saturation_pressures(t) * slope


def _log_slope(t: NDArray[np.float64], c: tuple[float, ...]) -> NDArray[np.float64]:
    powers = c[2] + t * (2.0 * c[3] + t * (3.0 * c[4] + t * 4.0 * c[5]))
    return np.asarray(-c[0] / (t * t) + powers + c[6] / t)


def humidity_ratios(vapour_pressure: Numbers, pressure: Numbers) -> Numbers:
    """Water carried by a kilogram of dry air, kg/kg, at a pressure of vapour.

    Source: ASHRAE Fundamentals 2017, ch. 1, equation 20.

    >>> round(humidity_ratios(1901.5, 101325.0), 5)
    0.01189
    """
    return VAPOUR_MASS_RATIO * vapour_pressure / (pressure - vapour_pressure)


def vapour_pressures(humidity_ratio: Numbers, pressure: Numbers) -> Numbers:
    """Pressure of the vapour in air of a humidity ratio.

    Source: ASHRAE Fundamentals 2017, ch. 1, equation 20, solved for the pressure.

    >>> round(vapour_pressures(humidity_ratios(1901.5, 101325.0), 101325.0), 6)
    1901.5
    """
    return pressure * humidity_ratio / (VAPOUR_MASS_RATIO + humidity_ratio)


def moist_air_densities(temperature: Numbers, vapour_pressure: Numbers, pressure: Numbers) -> Numbers:
    """Mass of a cubic metre of moist air, dry air and vapour together.

    Source: ideal gas law of both parts, ASHRAE Fundamentals 2017, ch. 1, equations 26 and 11.

    >>> round(moist_air_densities(298.15, 1901.5, 101325.0), 3)
    1.176
    """
    ratio = humidity_ratios(vapour_pressure, pressure)
    return (pressure - vapour_pressure) / (_DRY_AIR_GAS_CONSTANT * temperature) * (1.0 + ratio)


def latent_heats(temperature: Numbers) -> Numbers:
    """Heat that takes a kilogram of water from liquid to vapour, J/kg; 273.15 to 323.15 K.

    Source: ASHRAE Fundamentals 2017, ch. 1, as it stands in equation 33.

    >>> round(latent_heats(299.15) / 1000)
    2439
    """
    return 2.501e6 - 2381.0 * (temperature - _ICE_POINT)


_SHAH_NATURAL: Final = 35.0 / 3600.0  # C of the natural part, 35 for a rate in kg/(m2 h)
_SHAH_FORCED: Final = 5e-5 / 3600.0  # kg/(m2 s Pa)
_SHAH_WEAK_DRAUGHT: Final = 0.02  # kg/m3; below it the natural part counts 15 % more
_SHAH_WEAK_FACTOR: Final = 1.15


def shah_coefficients(
    water_temperature: Numbers, air_temperature: Numbers, air_vapour_pressure: Numbers, pressure: Numbers
) -> Numbers:
    """Evaporation from still open water per pascal of vapour pressure between water and air, kg/(m2 s Pa).

    Never negative or zero, and finite where both pressures are equal. A step in time that keeps this coefficient and
    lets only the vapour pressure follow the water (`saturation_slopes`) can therefore not run away:
    rate = coefficient x (saturation pressure + slope x change of temperature - air vapour pressure).

    Source: M. M. Shah, HVAC&R Research 8 (2002), 125-146, the larger of its two parts, divided by the difference
    of vapour pressures; constants from memory.

    >>> round(float(shah_coefficients(299.15, 298.15, 1901.5, 101325.0)) * 3600 * 1e5, 2)  # kg/(m2 h bar)
    6.62
    """
    water_pressure = saturation_pressures(water_temperature)
    at_water = moist_air_densities(water_temperature, water_pressure, pressure)
    lighter = moist_air_densities(air_temperature, air_vapour_pressure, pressure) - at_water
    constant = np.where(lighter < _SHAH_WEAK_DRAUGHT, _SHAH_WEAK_FACTOR, 1.0) * _SHAH_NATURAL
    # the difference of the two humidity ratios over that of the pressures, written so that 0/0 cannot occur
    spread = VAPOUR_MASS_RATIO * pressure / ((pressure - water_pressure) * (pressure - air_vapour_pressure))
    natural = constant * at_water * np.cbrt(np.maximum(lighter, 0.0)) * spread
    return np.maximum(natural, _SHAH_FORCED)


def shah_rates(
    water_temperature: Numbers, air_temperature: Numbers, air_vapour_pressure: Numbers, pressure: Numbers
) -> Numbers:
    """Evaporation from still open water, kg/(m2 s); negative where the air condenses on colder water.

    Source: M. M. Shah (2002), see `shah_coefficients`.

    >>> round(float(shah_rates(299.15, 298.15, 1901.5, 101325.0)) * 3600, 3)  # kg/(m2 h)
    0.097
    """
    coefficient = shah_coefficients(water_temperature, air_temperature, air_vapour_pressure, pressure)
    return coefficient * (saturation_pressures(water_temperature) - air_vapour_pressure)


Curve = tuple[float, float, float, float, float, float]


def _curve(c: Curve, x: Numbers, y: Numbers) -> Numbers:
    return c[0] + x * (c[1] + c[2] * x) + y * (c[3] + c[4] * y) + c[5] * x * y


def _fahrenheit(temperature: Numbers) -> Numbers:
    return (temperature - _ICE_POINT) * 1.8 + 32.0  # the curves below are stated in it


_DRYING_CAPACITY: Final = (-1.162525707, 0.02271469, -0.000113208, 0.021110538, -0.0000693034, 0.000378843)
_DRYING_EFFICIENCY: Final = (-1.902154518, 0.063466565, -0.000622839, 0.039540407, -0.000125637, -0.000176722)
_HEATING_CAPACITY: Final = (0.566333415, -0.000744164, -0.0000103, 0.009414634, 0.0000506, -0.00000675)
_HEATING_INPUT: Final = (0.718398423, 0.003498178, 0.000142202, -0.005724331, 0.00014085, -0.000215321)
_COOLING_CAPACITY: Final = (3.68637657, -0.098352478, 0.000956357, 0.005838141, -0.0000127, -0.000131702)
_COOLING_INPUT: Final = (-3.437356399, 0.136656369, -0.001049231, -0.0079378, 0.000185435, -0.0001441)


def dehumidifier_ratios(air_temperature: Numbers, relative_humidity: Numbers) -> tuple[Numbers, Numbers]:
    """Water taken out, and water taken out per energy, each over its rating at 26.7 °C and 60 %.

    Source: J. Winkler, D. Christensen and J. Tomerlin (2011), NREL, laboratory test of residential dehumidifiers;
    coefficients as several public programs carry them.

    >>> [round(ratio, 3) for ratio in dehumidifier_ratios(299.15, 0.6)]
    [0.96, 0.971]
    """
    x, y = air_temperature - _ICE_POINT, 100.0 * relative_humidity
    return _curve(_DRYING_CAPACITY, x, y), _curve(_DRYING_EFFICIENCY, x, y)


def heating_ratios(indoor: Numbers, outdoor: Numbers) -> tuple[Numbers, Numbers]:
    """Heat given, and energy used per heat, of an air-source heat pump, each over its rating at 21.1/8.3 °C.

    Source: D. Cutler et al. (2013), NREL, improved modeling of residential air conditioners and heat pumps,
    single speed; coefficients as several public programs carry them.

    >>> [round(ratio, 3) for ratio in heating_ratios(299.15, 273.15)]
    [0.78, 1.295]
    """
    x, y = _fahrenheit(indoor), _fahrenheit(outdoor)
    return _curve(_HEATING_CAPACITY, x, y), _curve(_HEATING_INPUT, x, y)


def cooling_ratios(indoor_wet_bulb: Numbers, outdoor: Numbers) -> tuple[Numbers, Numbers]:
    """Cold given, and energy used per cold, of an air conditioner, each over its rating at 19.4/35 °C.

    Source: D. Cutler et al. (2013), NREL, see `heating_ratios`.

    >>> [round(ratio, 3) for ratio in cooling_ratios(292.594, 308.15)]
    [0.992, 1.011]
    """
    x, y = _fahrenheit(indoor_wet_bulb), _fahrenheit(outdoor)
    return _curve(_COOLING_CAPACITY, x, y), _curve(_COOLING_INPUT, x, y)
