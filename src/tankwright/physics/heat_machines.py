"""Dehumidifiers, heat pumps and air conditioners away from the conditions on their labels.

Each gives a factor on the label's number. The curves are means of machines tested in a laboratory. The limits of those
tests are not to hand: the ranges here are the rooms and weathers of common use in which the curves stay plausible.
"""

from __future__ import annotations

from tankwright.physics.heat_arrays import cooling_ratios, dehumidifier_ratios, heating_ratios
from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Kelvin


def _drying(air_temperature: Kelvin, relative_humidity: Dimensionless) -> tuple[float, float]:
    require("air_temperature", air_temperature, 283.15, 305.15, "K")
    require("relative_humidity", relative_humidity, 0.4, 0.8, "1")
    capacity, efficiency = dehumidifier_ratios(air_temperature, relative_humidity)
    require("capacity_ratio", float(capacity), 0.0, 2.0, "1")  # in cold dry air the curves fall below nothing
    require("efficiency_ratio", float(efficiency), 0.0, 2.0, "1")
    return float(capacity), float(efficiency)


def dehumidifier_capacity_ratio(
    *, air_temperature: Kelvin, relative_humidity: Dimensionless
) -> Dimensionless:
    """Water a dehumidifier takes out in a day over what its label says for 26.7 °C and 60 %.

    Inputs:
        air_temperature: temperature of the room air; 283.15 to 305.15
        relative_humidity: relative humidity of the room air; 0.4 to 0.8

    Source: J. Winkler, D. Christensen and J. Tomerlin (2011), NREL laboratory test; coefficients as several public
    programs carry them, range common practice.

    >>> round(dehumidifier_capacity_ratio(air_temperature=293.15, relative_humidity=0.6), 3)
    0.718
    """
    return _drying(air_temperature, relative_humidity)[0]


def dehumidifier_efficiency_ratio(
    *, air_temperature: Kelvin, relative_humidity: Dimensionless
) -> Dimensionless:
    """Water a dehumidifier takes out per energy over what its label says for 26.7 °C and 60 %.

    Inputs:
        air_temperature: temperature of the room air; 283.15 to 305.15
        relative_humidity: relative humidity of the room air; 0.4 to 0.8

    Source: J. Winkler, D. Christensen and J. Tomerlin (2011), NREL laboratory test; coefficients as several public
    programs carry them, range common practice.

    >>> round(dehumidifier_efficiency_ratio(air_temperature=293.15, relative_humidity=0.6), 3)
    0.826
    """
    return _drying(air_temperature, relative_humidity)[1]


def dehumidifier_part_load_factor(running_share: Dimensionless) -> Dimensionless:
    """Efficiency of a dehumidifier that switches on and off over that of one that runs through.

    Inputs:
        running_share: share of its capacity that is asked for; 0 to 1

    Source: J. Winkler, D. Christensen and J. Tomerlin (2011), NREL, 0.90 + 0.10 times the share; from memory.

    >>> round(dehumidifier_part_load_factor(0.5), 2)
    0.95
    """
    require("running_share", running_share, 0.0, 1.0, "1")
    return 0.90 + 0.10 * running_share


def _require_winter(indoor: Kelvin, outdoor: Kelvin) -> None:
    require("indoor_temperature", indoor, 288.15, 301.15, "K")
    require("outdoor_temperature", outdoor, 255.15, 294.15, "K")


def heat_pump_capacity_ratio(*, indoor_temperature: Kelvin, outdoor_temperature: Kelvin) -> Dimensionless:
    """Heat an air-source heat pump gives over what its label says for 21.1 °C inside and 8.3 °C outside.

    Inputs:
        indoor_temperature: temperature of the room air; 288.15 to 301.15
        outdoor_temperature: temperature outdoors; 255.15 to 294.15

    Source: D. Cutler et al. (2013), NREL, single-speed machines; coefficients as several public programs carry
    them, range common practice.

    >>> round(heat_pump_capacity_ratio(indoor_temperature=299.15, outdoor_temperature=263.15), 3)
    0.578
    """
    _require_winter(indoor_temperature, outdoor_temperature)
    return float(heating_ratios(indoor_temperature, outdoor_temperature)[0])


def heat_pump_efficiency_ratio(*, indoor_temperature: Kelvin, outdoor_temperature: Kelvin) -> Dimensionless:
    """Heat per energy (COP) of an air-source heat pump over its label for 21.1 °C inside and 8.3 °C outside.

    Inputs:
        indoor_temperature: temperature of the room air; 288.15 to 301.15
        outdoor_temperature: temperature outdoors; 255.15 to 294.15

    Source: D. Cutler et al. (2013), NREL, single-speed machines; coefficients as several public programs carry
    them, range common practice.

    >>> round(heat_pump_efficiency_ratio(indoor_temperature=299.15, outdoor_temperature=263.15), 2)
    0.63
    """
    _require_winter(indoor_temperature, outdoor_temperature)
    return 1.0 / float(heating_ratios(indoor_temperature, outdoor_temperature)[1])


def _require_summer(wet_bulb: Kelvin, outdoor: Kelvin) -> None:
    require("indoor_wet_bulb", wet_bulb, 286.15, 298.15, "K")
    require("outdoor_temperature", outdoor, 291.15, 319.15, "K")


def air_conditioner_capacity_ratio(*, indoor_wet_bulb: Kelvin, outdoor_temperature: Kelvin) -> Dimensionless:
    """Cold an air conditioner gives over what its label says for a wet bulb of 19.4 °C and 35 °C outside.

    Inputs:
        indoor_wet_bulb: wet bulb temperature of the room air, see wet-bulb; 286.15 to 298.15
        outdoor_temperature: temperature outdoors; 291.15 to 319.15

    Source: D. Cutler et al. (2013), NREL, single-speed machines; coefficients as several public programs carry
    them, range common practice.

    >>> round(air_conditioner_capacity_ratio(indoor_wet_bulb=295.15, outdoor_temperature=308.15), 3)
    1.091
    """
    _require_summer(indoor_wet_bulb, outdoor_temperature)
    return float(cooling_ratios(indoor_wet_bulb, outdoor_temperature)[0])


def air_conditioner_efficiency_ratio(
    *, indoor_wet_bulb: Kelvin, outdoor_temperature: Kelvin
) -> Dimensionless:
    """Cold per energy of an air conditioner over its label for a wet bulb of 19.4 °C and 35 °C outside.

    Inputs:
        indoor_wet_bulb: wet bulb temperature of the room air, see wet-bulb; 286.15 to 298.15
        outdoor_temperature: temperature outdoors; 291.15 to 319.15

    Source: D. Cutler et al. (2013), NREL, single-speed machines; coefficients as several public programs carry
    them, range common practice.

    >>> round(air_conditioner_efficiency_ratio(indoor_wet_bulb=295.15, outdoor_temperature=308.15), 2)
    1.1
    """
    _require_summer(indoor_wet_bulb, outdoor_temperature)
    return 1.0 / float(cooling_ratios(indoor_wet_bulb, outdoor_temperature)[1])
