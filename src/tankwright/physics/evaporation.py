"""Water that leaves an open surface: five published forms of one quantity, which differ by more than two to one.

Each gives kg/(m2 s) of still open water. A negative rate is water condensing out of moist air on colder water;
the data behind the forms hold none of that, and the forms are merely followed through zero.
"""

from __future__ import annotations

import math

from tankwright.physics.constants import (
    STANDARD_GRAVITY,
    STANDARD_PRESSURE,
    air_dynamic_viscosity,
)
from tankwright.physics.heat_arrays import (
    VAPOUR_GAS_CONSTANT,
    humidity_ratios,
    latent_heats,
    moist_air_densities,
    saturation_pressures,
    shah_rates,
)
from tankwright.physics.ranges import require
from tankwright.units import (
    Dimensionless,
    JoulePerKilogram,
    Kelvin,
    KilogramPerSquareMetreSecond,
    Metre,
    MetrePerSecond,
    Pascal,
)

_STILL_SHARE = 0.74  # of the handbook's form, measured on a still pool by Smith, Löf and Jones


def latent_heat(water_temperature: Kelvin) -> JoulePerKilogram:
    """Heat that a kilogram of water takes along when it evaporates at the temperature of the water.

    Not the 2257 kJ/kg of boiling water, which examples in print often use.

    Inputs:
        water_temperature: temperature of the water; 273.15 to 323.15

    Source: ASHRAE Fundamentals 2017, ch. 1, as it stands in equation 33.

    >>> round(latent_heat(299.15) / 1000)  # kJ/kg
    2439
    """
    require("water_temperature", water_temperature, 273.15, 323.15, "K")
    return float(latent_heats(water_temperature))


def _require_surface(water: Kelvin, air: Kelvin, humidity: Dimensionless) -> None:
    require("water_temperature", water, 280.15, 323.15, "K")
    require("air_temperature", air, 279.15, 308.15, "K")
    require("relative_humidity", humidity, 0.0, 1.0, "1")


def pool_evaporation_shah(
    *,
    water_temperature: Kelvin,
    air_temperature: Kelvin,
    relative_humidity: Dimensionless,
    pressure: Pascal = STANDARD_PRESSURE,
) -> KilogramPerSquareMetreSecond:
    """Evaporation from still open water in a room, by rising moist air or by slow room air, whichever is more.

    Tested by its author on surfaces from 0.07 to 425 m2 with a mean deviation of 18 %. Where the air over the water
    is less than 0.02 kg/m3 lighter than the room's, the rising part counts 15 % more, so the rate has a step there.

    Inputs:
        water_temperature: temperature of the water; 280.15 to 323.15
        air_temperature: temperature of the room air; 279.15 to 308.15
        relative_humidity: relative humidity of the room air; 0.28 to 0.95
        pressure: absolute air pressure; 7e4 to 1.1e5

    Source: M. M. Shah, HVAC&R Research 8 (2002), 125-146; constants from memory.

    >>> rate = pool_evaporation_shah(water_temperature=299.15, air_temperature=298.15, relative_humidity=0.6)
    >>> round(rate * 3600, 3)  # kg/(m2 h)
    0.097
    """
    require("relative_humidity", relative_humidity, 0.28, 0.95, "1")
    _require_surface(water_temperature, air_temperature, relative_humidity)
    require("pressure", pressure, 7e4, 1.1e5, "Pa")
    held = relative_humidity * saturation_pressures(air_temperature)
    return float(shah_rates(water_temperature, air_temperature, held, pressure))


def pool_evaporation_ashrae(
    *,
    water_temperature: Kelvin,
    air_temperature: Kelvin,
    relative_humidity: Dimensionless,
    activity_factor: Dimensionless = 1.0,
) -> KilogramPerSquareMetreSecond:
    """Evaporation from a pool in slow room air, as pool halls are designed.

    Inputs:
        water_temperature: temperature of the water; 280.15 to 323.15
        air_temperature: temperature of the room air; 279.15 to 308.15
        relative_humidity: relative humidity of the room air; 0 to 1
        activity_factor: 0.5 for a still private pool, 1 for a public one; 0 to 2

    Source: ASHRAE Applications, chapter on natatoriums, 4e-5 kg/(m2 s) per kPa times the activity; from memory.

    >>> rate = pool_evaporation_ashrae(water_temperature=299.15, air_temperature=298.15, relative_humidity=0.6)
    >>> round(rate * 3600, 2)  # kg/(m2 h)
    0.21
    """
    _require_surface(water_temperature, air_temperature, relative_humidity)
    require("activity_factor", activity_factor, 0.0, 2.0, "1")
    held = relative_humidity * saturation_pressures(air_temperature)
    return float(4e-8 * activity_factor * (saturation_pressures(water_temperature) - held))


def pool_evaporation_smith(
    *, water_temperature: Kelvin, air_temperature: Kelvin, relative_humidity: Dimensionless
) -> KilogramPerSquareMetreSecond:
    """Evaporation from an undisturbed pool, as measured: 74 % of the handbook's design form.

    Inputs:
        water_temperature: temperature of the water; 280.15 to 323.15
        air_temperature: temperature of the room air; 279.15 to 308.15
        relative_humidity: relative humidity of the room air; 0 to 1

    Source: C. C. Smith, G. Löf and R. Jones, ASHRAE Transactions 104 (1998), part 1A.

    >>> rate = pool_evaporation_smith(water_temperature=299.15, air_temperature=298.15, relative_humidity=0.6)
    >>> round(rate * 3600, 3)  # kg/(m2 h)
    0.156
    """
    return _STILL_SHARE * pool_evaporation_ashrae(
        water_temperature=water_temperature,
        air_temperature=air_temperature,
        relative_humidity=relative_humidity,
    )


def pool_evaporation_engineering(
    *,
    water_temperature: Kelvin,
    air_temperature: Kelvin,
    relative_humidity: Dimensionless,
    air_speed: MetrePerSecond = 0.0,
    pressure: Pascal = STANDARD_PRESSURE,
) -> KilogramPerSquareMetreSecond:
    """Evaporation from open water with air moving over it, by the rule of tables: the highest of the five.

    Inputs:
        water_temperature: temperature of the water; 280.15 to 323.15
        air_temperature: temperature of the room air; 279.15 to 308.15
        relative_humidity: relative humidity of the room air; 0 to 1
        air_speed: speed of the air over the water; 0 to 5
        pressure: absolute air pressure; 7e4 to 1.1e5

    Source: common practice, (25 + 19 v) kg/(m2 h) times the difference of humidity ratios; author unknown.

    >>> rate = pool_evaporation_engineering(
    ...     water_temperature=299.15, air_temperature=298.15, relative_humidity=0.6
    ... )
    >>> round(rate * 3600, 3)  # kg/(m2 h)
    0.236
    """
    _require_surface(water_temperature, air_temperature, relative_humidity)
    require("air_speed", air_speed, 0.0, 5.0, "m/s")
    require("pressure", pressure, 7e4, 1.1e5, "Pa")
    held = relative_humidity * saturation_pressures(air_temperature)
    at_water = humidity_ratios(saturation_pressures(water_temperature), pressure)
    return float((25.0 + 19.0 * air_speed) / 3600.0 * (at_water - humidity_ratios(held, pressure)))


def pool_evaporation_bower_saylor(
    *,
    water_temperature: Kelvin,
    air_temperature: Kelvin,
    relative_humidity: Dimensionless,
    width: Metre,
    pressure: Pascal = STANDARD_PRESSURE,
) -> KilogramPerSquareMetreSecond:
    """Evaporation from a still laboratory tank by rising moist air alone.

    Holds only where the air over the water is lighter than the room's. Use it beside `pool_evaporation_shah`: it
    was measured on tanks of 0.15 to 0.61 m, the size of an aquarium.

    Inputs:
        water_temperature: temperature of the water; 280.15 to 323.15
        air_temperature: temperature of the room air; 279.15 to 308.15
        relative_humidity: relative humidity of the room air; 0 to 1
        width: width of the water surface; 0.15 to 0.61
        pressure: absolute air pressure; 7e4 to 1.1e5

    Source: S. M. Bower and J. R. Saylor, International Journal of Heat and Mass Transfer 52 (2009), 3055-3063,
    Sh = 0.230 Sc^(1/3) Ra^0.321; coefficients from memory. Diffusivity of vapour 21.1 mm2/s at 0 °C, growing as
    T^1.94 (Pruppacher and Klett 1978, from memory); thermal diffusivity of air 22 mm2/s at 300 K, as T^1.8.

    >>> rate = pool_evaporation_bower_saylor(
    ...     water_temperature=299.15, air_temperature=298.15, relative_humidity=0.6, width=0.42
    ... )
    >>> round(rate * 3600, 3)  # kg/(m2 h)
    0.096
    """
    _require_surface(water_temperature, air_temperature, relative_humidity)
    require("width", width, 0.15, 0.61, "m")
    require("pressure", pressure, 7e4, 1.1e5, "Pa")
    over_water = float(saturation_pressures(water_temperature))
    held = relative_humidity * float(saturation_pressures(air_temperature))
    light = float(moist_air_densities(water_temperature, over_water, pressure))
    heavy = float(moist_air_densities(air_temperature, held, pressure))
    require("density_difference", heavy - light, 1e-6, 1.0, "kg/m**3")
    mean, film = 0.5 * (light + heavy), 0.5 * (water_temperature + air_temperature)
    thinner = STANDARD_PRESSURE / pressure
    viscosity = air_dynamic_viscosity(film) / mean
    vapour_diffusivity = 2.11e-5 * (film / 273.15) ** 1.94 * thinner
    heat_diffusivity = 2.2e-5 * (film / 300.0) ** 1.8 * thinner
    rayleigh = STANDARD_GRAVITY * (heavy - light) / mean * width**3 / (viscosity * heat_diffusivity)
    sherwood = 0.230 * math.cbrt(viscosity / vapour_diffusivity) * rayleigh**0.321
    difference = over_water / water_temperature - held / air_temperature
    return float(sherwood * vapour_diffusivity / width * difference / VAPOUR_GAS_CONSTANT)
