"""Moist air: what it holds, when it drips, what a wet thermometer shows, what heat it carries.

Closed forms stand in `heat_arrays`, which takes a year of hours at once; what needs a search or the handbook's own
constants is asked of psychrolib.
"""

from __future__ import annotations

import importlib.util
from functools import lru_cache
from types import ModuleType

from tankwright.physics.constants import ICE_POINT, STANDARD_PRESSURE
from tankwright.physics.heat_arrays import (
    VAPOUR_GAS_CONSTANT,
    humidity_ratios,
    saturation_pressures,
    vapour_pressures,
)
from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.units import (
    CubicMetrePerKilogram,
    Dimensionless,
    JoulePerKilogram,
    Kelvin,
    KilogramPerCubicMetre,
    Metre,
    Pascal,
)

_DRIEST = 1e-7  # kg/kg, the least psychrolib tells from none


@lru_cache(maxsize=1)
def _handbook() -> ModuleType:
    """psychrolib, set to SI.

    A copy of our own, for three reasons: its units are a state of the whole module that anyone may change; beside
    numba it compiles each function on first use, seconds for a single number, so the plain functions are put back;
    and its searches stop at 0.001 K, too coarse for a slope.
    """
    spec = importlib.util.find_spec("psychrolib")
    if spec is None or spec.loader is None:
        raise ModuleNotFoundError("psychrolib")
    copy = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(copy)
    copy.SetUnitSystem(copy.SI)
    for name, plain in getattr(copy, "func_list", ()):
        setattr(copy, name, plain)
    copy.isIP = lambda: False  # type: ignore[attr-defined] # a module's names are its own
    copy.PSYCHROLIB_TOLERANCE = 1e-8  # type: ignore[attr-defined] # as above
    return copy


def _require_air(temperature: Kelvin, pressure: Pascal = STANDARD_PRESSURE) -> None:
    require("temperature", temperature, 233.15, 333.15, "K")
    require("pressure", pressure, 5e4, 1.1e5, "Pa")


def saturation_vapour_pressure(temperature: Kelvin) -> Pascal:
    """Pressure of water vapour in air that can hold no more; over ice below the triple point.

    Inputs:
        temperature: air temperature; 173.15 to 473.15

    Source: ASHRAE Fundamentals 2017, ch. 1, equations 5 and 6 (Hyland and Wexler 1983).

    >>> round(saturation_vapour_pressure(298.15), 1)
    3169.2
    """
    require("temperature", temperature, 173.15, 473.15, "K")
    return float(saturation_pressures(temperature))


def vapour_pressure(*, temperature: Kelvin, relative_humidity: Dimensionless) -> Pascal:
    """Pressure of the water vapour in air of a relative humidity.

    Inputs:
        temperature: air temperature; 233.15 to 333.15
        relative_humidity: share of what the air can hold; 0 to 1

    Source: definition of relative humidity, ASHRAE Fundamentals 2017, ch. 1.

    >>> round(vapour_pressure(temperature=298.15, relative_humidity=0.6))
    1902
    """
    _require_air(temperature)
    require("relative_humidity", relative_humidity, 0.0, 1.0, "1")
    return float(relative_humidity * saturation_pressures(temperature))


def absolute_humidity(*, temperature: Kelvin, relative_humidity: Dimensionless) -> KilogramPerCubicMetre:
    """Mass of water vapour in a cubic metre of air.

    Inputs:
        temperature: air temperature; 233.15 to 333.15
        relative_humidity: share of what the air can hold; 0 to 1

    Source: ideal gas law with the gas constant of water vapour, ASHRAE Fundamentals 2017, ch. 1.

    >>> round(absolute_humidity(temperature=293.15, relative_humidity=0.6) * 1000, 2)  # g/m3
    10.37
    """
    held = vapour_pressure(temperature=temperature, relative_humidity=relative_humidity)
    return held / (VAPOUR_GAS_CONSTANT * temperature)


def humidity_ratio(
    *, temperature: Kelvin, relative_humidity: Dimensionless, pressure: Pascal = STANDARD_PRESSURE
) -> Dimensionless:
    """Water vapour carried by a kilogram of dry air, in kilograms.

    Inputs:
        temperature: air temperature; 233.15 to 333.15
        relative_humidity: share of what the air can hold; 0 to 1
        pressure: absolute air pressure; 5e4 to 1.1e5

    Source: ASHRAE Fundamentals 2017, ch. 1, equation 20 (ideal gases; a real-gas table reads 0.5 % more).

    >>> round(humidity_ratio(temperature=298.15, relative_humidity=0.5), 5)
    0.00988
    """
    _require_air(temperature, pressure)
    held = vapour_pressure(temperature=temperature, relative_humidity=relative_humidity)
    return float(humidity_ratios(held, pressure))


def relative_humidity(
    *, temperature: Kelvin, humidity_ratio: Dimensionless, pressure: Pascal = STANDARD_PRESSURE
) -> Dimensionless:
    """Share of what the air can hold, for air that carries a given water per kilogram of dry air.

    More water than the air can hold is refused: it would be mist.

    Inputs:
        temperature: air temperature; 233.15 to 333.15
        humidity_ratio: water vapour per dry air, mass by mass; 0 to 0.4
        pressure: absolute air pressure; 5e4 to 1.1e5

    Source: ASHRAE Fundamentals 2017, ch. 1, equations 12 and 20.

    >>> round(relative_humidity(temperature=298.15, humidity_ratio=0.00988), 3)
    0.5
    """
    _require_air(temperature, pressure)
    require("humidity_ratio", humidity_ratio, 0.0, 0.4, "1")
    full = float(saturation_pressures(temperature))
    most = float(humidity_ratios(full, pressure))
    require("humidity_ratio", humidity_ratio, 0.0, most * (1.0 + 1e-9), "1")  # rounding alone is no mist
    return min(1.0, float(vapour_pressures(humidity_ratio, pressure)) / full)


def dew_point(*, temperature: Kelvin, relative_humidity: Dimensionless) -> Kelvin:
    """Temperature of a surface on which air begins to drip (or to leave frost).

    Inputs:
        temperature: air temperature; 233.15 to 333.15
        relative_humidity: share of what the air can hold; 0.01 to 1

    Source: ASHRAE Fundamentals 2017, ch. 1, equations 5 and 6 solved for the temperature, by psychrolib.

    >>> round(dew_point(temperature=298.15, relative_humidity=0.8) - 273.15, 3)
    21.309
    """
    _require_air(temperature)
    require("relative_humidity", relative_humidity, 0.01, 1.0, "1")
    return float(_handbook().GetTDewPointFromRelHum(temperature - ICE_POINT, relative_humidity)) + ICE_POINT


def wet_bulb(
    *, temperature: Kelvin, relative_humidity: Dimensionless, pressure: Pascal = STANDARD_PRESSURE
) -> Kelvin:
    """Temperature a thermometer shows that is kept wet in moving air.

    Inputs:
        temperature: air temperature; 233.15 to 333.15
        relative_humidity: share of what the air can hold; 0.01 to 1
        pressure: absolute air pressure; 5e4 to 1.1e5

    Source: ASHRAE Fundamentals 2017, ch. 1, equations 33 and 35 solved for the temperature, by psychrolib.

    >>> round(wet_bulb(temperature=298.15, relative_humidity=0.8) - 273.15, 2)
    22.38
    """
    _require_air(temperature, pressure)
    require("relative_humidity", relative_humidity, 0.01, 1.0, "1")
    found = _handbook().GetTWetBulbFromRelHum(temperature - ICE_POINT, relative_humidity, pressure)
    return float(found) + ICE_POINT


def relative_humidity_from_wet_bulb(
    *, temperature: Kelvin, wet_bulb_temperature: Kelvin, pressure: Pascal = STANDARD_PRESSURE
) -> Dimensionless:
    """Relative humidity from two thermometers, one of them wet.

    Inputs:
        temperature: what the dry thermometer shows; 233.15 to 333.15
        wet_bulb_temperature: what the wet one shows, never more than the dry one; 233.15 to 333.15
        pressure: absolute air pressure; 5e4 to 1.1e5

    Source: ASHRAE Fundamentals 2017, ch. 1, equations 33 and 35, by psychrolib.

    >>> round(relative_humidity_from_wet_bulb(temperature=313.15, wet_bulb_temperature=293.15), 2)
    0.14
    """
    _require_air(temperature, pressure)
    require("wet_bulb_temperature", wet_bulb_temperature, 233.15, 333.15, "K")
    require("wet_bulb_temperature", wet_bulb_temperature, 233.15, temperature, "K")
    dry, wet = temperature - ICE_POINT, wet_bulb_temperature - ICE_POINT
    carried = float(_handbook().GetHumRatioFromTWetBulb(dry, wet, pressure))
    if carried <= _DRIEST:  # even bone-dry air would not cool the wet one so far
        raise OutsideValidRange(
            "wet_bulb_temperature", wet_bulb_temperature, wet_bulb_temperature, temperature, "K"
        )
    return relative_humidity(temperature=temperature, humidity_ratio=carried, pressure=pressure)


def moist_air_enthalpy(*, temperature: Kelvin, humidity_ratio: Dimensionless) -> JoulePerKilogram:
    """Heat in moist air with its vapour, per kilogram of dry air, counted from 0 °C and liquid water.

    Inputs:
        temperature: air temperature; 233.15 to 333.15
        humidity_ratio: water vapour per dry air, mass by mass; 0 to 0.4

    Source: ASHRAE Fundamentals 2017, ch. 1, equation 30, by psychrolib.

    >>> round(moist_air_enthalpy(temperature=298.15, humidity_ratio=0.01) / 1000, 1)  # kJ/kg
    50.6
    """
    _require_air(temperature)
    require("humidity_ratio", humidity_ratio, 0.0, 0.4, "1")
    return float(_handbook().GetMoistAirEnthalpy(temperature - ICE_POINT, humidity_ratio))


def moist_air_specific_volume(
    *, temperature: Kelvin, humidity_ratio: Dimensionless, pressure: Pascal = STANDARD_PRESSURE
) -> CubicMetrePerKilogram:
    """Volume that a kilogram of dry air takes together with its vapour.

    Inputs:
        temperature: air temperature; 233.15 to 333.15
        humidity_ratio: water vapour per dry air, mass by mass; 0 to 0.4
        pressure: absolute air pressure; 5e4 to 1.1e5

    Source: ASHRAE Fundamentals 2017, ch. 1, equation 26, by psychrolib.

    >>> round(moist_air_specific_volume(temperature=298.15, humidity_ratio=0.01), 3)
    0.858
    """
    _require_air(temperature, pressure)
    require("humidity_ratio", humidity_ratio, 0.0, 0.4, "1")
    return float(_handbook().GetMoistAirVolume(temperature - ICE_POINT, humidity_ratio, pressure))


def moist_air_density(
    *, temperature: Kelvin, humidity_ratio: Dimensionless, pressure: Pascal = STANDARD_PRESSURE
) -> KilogramPerCubicMetre:
    """Mass of a cubic metre of moist air, dry air and vapour together.

    Inputs:
        temperature: air temperature; 233.15 to 333.15
        humidity_ratio: water vapour per dry air, mass by mass; 0 to 0.4
        pressure: absolute air pressure; 5e4 to 1.1e5

    Source: ASHRAE Fundamentals 2017, ch. 1, equation 11, by psychrolib.

    >>> round(moist_air_density(temperature=298.15, humidity_ratio=0.01), 3)
    1.177
    """
    _require_air(temperature, pressure)
    require("humidity_ratio", humidity_ratio, 0.0, 0.4, "1")
    return float(_handbook().GetMoistAirDensity(temperature - ICE_POINT, humidity_ratio, pressure))


def pressure_at_altitude(altitude: Metre) -> Pascal:
    """Air pressure of the standard atmosphere at a height over the sea.

    Inputs:
        altitude: height over the sea; -500 to 5000

    Source: ASHRAE Fundamentals 2017, ch. 1, equation 3, by psychrolib.

    >>> round(pressure_at_altitude(1000.0))
    89875
    """
    require("altitude", altitude, -500.0, 5000.0, "m")
    return float(_handbook().GetStandardAtmPressure(altitude))
