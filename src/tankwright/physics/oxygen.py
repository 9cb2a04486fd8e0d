"""Oxygen in the water: what it can hold, what surface and bubbles bring, and how long it lasts without air."""

from __future__ import annotations

from tankwright.physics import oxygen_course
from tankwright.physics.constants import ICE_POINT, STANDARD_PRESSURE, air_density
from tankwright.physics.ranges import require
from tankwright.units import (
    CubicMetre,
    CubicMetrePerSecond,
    Dimensionless,
    Kelvin,
    Kilogram,
    KilogramPerCubicMetre,
    KilogramPerSecond,
    Metre,
    MetrePerSecond,
    Pascal,
    PerMetre,
    PerSecond,
    Second,
    SquareMetre,
)

STILL_WATER_TRANSFER = 0.6 / 86400
"""m/s at 20 °C, oxygen through an open still surface: 0.6 m a day. Source: D. A. Chin (2006), Water-Quality
Engineering in Natural Systems, least reaeration rate 0.6 m/d over the depth."""

OXYGEN_IN_AIR = 0.2315
"""kg of oxygen in a kg of dry air. Source: 20.95 % by volume, molar masses 31.9988 and 28.964 g/mol."""

BUBBLE_TEMPERATURE_FACTOR = 1.024
"""Rise of transfer by bubbles for each kelvin over 20 °C. Source: IS 13166, as in clean-water tests of aerators."""

_TWENTY = ICE_POINT + 20.0


def oxygen_saturation(
    water_temperature: Kelvin, *, pressure: Pascal = STANDARD_PRESSURE, salinity: Dimensionless = 0.0
) -> KilogramPerCubicMetre:
    """Oxygen that water holds when it has settled with moist air.

    Inputs:
        water_temperature: water temperature; 273.15 to 313.15
        pressure: absolute pressure of the air; 50662.5 to 111457.5
        salinity: salt in the water, g in a kg, a plain number; 0 to 40

    Source: B. B. Benson and D. Krause (1984), Limnology and Oceanography 29(3), 620-632, in mg/L as adopted
    by US Geological Survey memorandum 2011.03; its form of the vapour pressure, ln Pwv, from memory.

    >>> round(oxygen_saturation(293.15) * 1000, 2)  # 20 °C, in mg/L
    9.09
    """
    require("water_temperature", water_temperature, 273.15, 313.15, "K")
    require("pressure", pressure, 50662.5, 111457.5, "Pa")
    require("salinity", salinity, 0.0, 40.0, "1")
    return float(oxygen_course.saturation_of(water_temperature, pressure=pressure, salinity=salinity))


def reaeration_coefficient(
    *,
    water_temperature: Kelvin,
    still_transfer: MetrePerSecond = STILL_WATER_TRANSFER,
    temperature_factor: Dimensionless = 1.025,
) -> MetrePerSecond:
    """Transfer velocity of oxygen through a surface at a temperature, from that at 20 °C.

    A tight lid or a film lowers it to about a half, stirring by air raises it two to five times.

    Inputs:
        water_temperature: water temperature; 273.15 to 313.15
        still_transfer: transfer velocity at 20 °C; 0 to 1e-3
        temperature_factor: rise for each kelvin; 1 to 1.06

    Source: D. A. Chin (2006), Water-Quality Engineering in Natural Systems: 0.6 m a day for still water,
    1.025 a kelvin.

    >>> round(reaeration_coefficient(water_temperature=299.15) * 86400, 3)  # 26 °C, metres a day
    0.696
    """
    require("water_temperature", water_temperature, 273.15, 313.15, "K")
    require("still_transfer", still_transfer, 0.0, 1e-3, "m/s")
    require("temperature_factor", temperature_factor, 1.0, 1.06, "1")
    return float(still_transfer * temperature_factor ** (water_temperature - _TWENTY))


def surface_transfer(
    *,
    transfer_velocity: MetrePerSecond,
    surface_area: SquareMetre,
    saturation_level: KilogramPerCubicMetre,
    oxygen_level: KilogramPerCubicMetre,
) -> KilogramPerSecond:
    """Oxygen that goes into the water through its surface; negative when it goes out.

    Inputs:
        transfer_velocity: transfer velocity of the surface; 0 to 1e-3
        surface_area: open surface of the water; 0 to 1e4
        saturation_level: oxygen the water can hold; 1e-3 to 0.02
        oxygen_level: oxygen the water has; 0 to 0.05

    Source: two-film theory, W. K. Lewis and W. G. Whitman (1924), the film of water ruling; from memory.

    >>> round(surface_transfer(transfer_velocity=0.6 / 86400, surface_area=0.18, saturation_level=8.1e-3,
    ...                        oxygen_level=2e-3) * 3.6e9, 1)  # mg an hour
    27.4
    """
    require("transfer_velocity", transfer_velocity, 0.0, 1e-3, "m/s")
    require("surface_area", surface_area, 0.0, 1e4, "m**2")
    require("saturation_level", saturation_level, 1e-3, 0.02, "kg/m**3")
    require("oxygen_level", oxygen_level, 0.0, 0.05, "kg/m**3")
    return transfer_velocity * surface_area * (saturation_level - oxygen_level)


def oxygen_level_steady(
    *,
    respiration: KilogramPerSecond,
    transfer_velocity: MetrePerSecond,
    surface_area: SquareMetre,
    saturation_level: KilogramPerCubicMetre,
) -> KilogramPerCubicMetre:
    """Oxygen level at which the surface alone just covers what is used; 0 when it cannot.

    Inputs:
        respiration: oxygen used in the water; 0 to 1
        transfer_velocity: transfer velocity of the surface; 1e-9 to 1e-3
        surface_area: open surface of the water; 1e-4 to 1e4
        saturation_level: oxygen the water can hold; 1e-3 to 0.02

    Source: oxygen balance of stirred water, textbook form.

    >>> round(oxygen_level_steady(respiration=20e-6 / 3600, transfer_velocity=0.6 / 86400, surface_area=0.18,
    ...                           saturation_level=8.114e-3) * 1000, 1)  # mg/L
    3.7
    """
    require("respiration", respiration, 0.0, 1.0, "kg/s")
    require("transfer_velocity", transfer_velocity, 1e-9, 1e-3, "m/s")
    require("surface_area", surface_area, 1e-4, 1e4, "m**2")
    require("saturation_level", saturation_level, 1e-3, 0.02, "kg/m**3")
    return float(
        oxygen_course.steady_level(
            transfer=transfer_velocity * surface_area, saturation=saturation_level, demand=respiration
        )
    )


def oxygen_level_after(
    *,
    duration: Second,
    respiration: KilogramPerSecond,
    tank_volume: CubicMetre,
    transfer_velocity: MetrePerSecond,
    surface_area: SquareMetre,
    saturation_level: KilogramPerCubicMetre,
    start_level: KilogramPerCubicMetre,
) -> KilogramPerCubicMetre:
    """Oxygen level once the air has been off for a time; 0 when all is used.

    Inputs:
        duration: time without air; 0 to 1e7
        respiration: oxygen used in the water, taken as steady; 0 to 1
        tank_volume: volume of the water; 1e-6 to 1e6
        transfer_velocity: transfer velocity of the surface; 0 to 1e-3
        surface_area: open surface of the water; 0 to 1e4
        saturation_level: oxygen the water can hold; 1e-3 to 0.02
        start_level: oxygen the water has when the air stops; 0 to 0.05

    Source: oxygen balance of stirred water, solved, textbook form.

    >>> round(oxygen_level_after(duration=3600.0, respiration=40e-6 / 3600, tank_volume=0.06,
    ...     transfer_velocity=0.6 / 86400, surface_area=0.18, saturation_level=8.114e-3,
    ...     start_level=8.114e-3) * 1000, 2)  # mg/L after an hour
    7.47
    """
    require("duration", duration, 0.0, 1e7, "s")
    require("start_level", start_level, 0.0, 0.05, "kg/m**3")
    require("respiration", respiration, 0.0, 1.0, "kg/s")
    _require_tank(tank_volume, transfer_velocity, surface_area, saturation_level)
    return float(
        oxygen_course.level_after(
            duration=duration,
            transfer=transfer_velocity * surface_area,
            volume=tank_volume,
            saturation=saturation_level,
            start=start_level,
            demand=respiration,
        )
    )


def time_without_air(
    *,
    respiration: KilogramPerSecond,
    tank_volume: CubicMetre,
    transfer_velocity: MetrePerSecond,
    surface_area: SquareMetre,
    saturation_level: KilogramPerCubicMetre,
    start_level: KilogramPerCubicMetre,
    lowest_level: KilogramPerCubicMetre,
) -> Second:
    """Time from the stop of the air until the water has fallen to an oxygen level; infinite when it never does.

    Hangs on the transfer velocity more than on the volume: work it out for a covered and for a moved surface.

    Inputs:
        respiration: oxygen used in the water, taken as steady; 0 to 1
        tank_volume: volume of the water; 1e-6 to 1e6
        transfer_velocity: transfer velocity of the surface; 0 to 1e-3
        surface_area: open surface of the water; 0 to 1e4
        saturation_level: oxygen the water can hold; 1e-3 to 0.02
        start_level: oxygen the water has when the air stops; 0 to 0.05
        lowest_level: oxygen level that must not be passed; 0 to 0.02

    Source: oxygen balance of stirred water, solved for the time, textbook form.

    >>> round(time_without_air(respiration=40e-6 / 3600, tank_volume=0.06, transfer_velocity=0.6 / 86400,
    ...     surface_area=0.18, saturation_level=8.114e-3, start_level=8.114e-3, lowest_level=2e-3) / 3600, 1)
    15.5
    """
    require("start_level", start_level, 0.0, 0.05, "kg/m**3")
    require("lowest_level", lowest_level, 0.0, 0.02, "kg/m**3")
    require("respiration", respiration, 0.0, 1.0, "kg/s")
    _require_tank(tank_volume, transfer_velocity, surface_area, saturation_level)
    return float(
        oxygen_course.time_to_level(
            level=lowest_level,
            transfer=transfer_velocity * surface_area,
            volume=tank_volume,
            saturation=saturation_level,
            start=start_level,
            demand=respiration,
        )
    )


def mass_held_without_air(
    *,
    duration: Second,
    respiration_rate: PerSecond,
    tank_volume: CubicMetre,
    transfer_velocity: MetrePerSecond,
    surface_area: SquareMetre,
    saturation_level: KilogramPerCubicMetre,
    lowest_level: KilogramPerCubicMetre,
) -> Kilogram:
    """Fish that a tank full of oxygen can hold for a time without air, before it falls under a level.

    Inputs:
        duration: time without air; 1 to 1e7
        respiration_rate: oxygen used by fish for their mass, such as mg/kg/h; 1e-9 to 1e-4
        tank_volume: volume of the water; 1e-6 to 1e6
        transfer_velocity: transfer velocity of the surface; 0 to 1e-3
        surface_area: open surface of the water; 0 to 1e4
        saturation_level: oxygen the water can hold, and starts with; 1e-3 to 0.02
        lowest_level: oxygen level that must not be passed; 0 to 0.02

    Source: oxygen balance of stirred water, solved for the demand, textbook form.

    >>> round(mass_held_without_air(duration=15.5 * 3600, respiration_rate=500e-6 / 3600, tank_volume=0.06,
    ...     transfer_velocity=0.6 / 86400, surface_area=0.18, saturation_level=8.114e-3, lowest_level=2e-3), 3)
    0.08
    """
    require("duration", duration, 1.0, 1e7, "s")
    require("respiration_rate", respiration_rate, 1e-9, 1e-4, "1/s")
    require("lowest_level", lowest_level, 0.0, 0.02, "kg/m**3")
    _require_tank(tank_volume, transfer_velocity, surface_area, saturation_level)
    demand = oxygen_course.largest_demand(
        duration=duration,
        level=lowest_level,
        transfer=transfer_velocity * surface_area,
        volume=tank_volume,
        saturation=saturation_level,
        start=saturation_level,
    )
    return float(demand) / respiration_rate


def bubble_transfer(
    *,
    air_flow: CubicMetrePerSecond,
    depth: Metre,
    water_temperature: Kelvin,
    efficiency_per_depth: PerMetre = 0.025,
) -> CubicMetrePerSecond:
    """Water that rising bubbles bring to saturation in a second: kLa times volume, alike to velocity x surface.

    Inputs:
        air_flow: free air at 20 °C and one atmosphere; 0 to 1
        depth: water over the outlet of the air; 0 to 6
        water_temperature: water temperature; 273.15 to 313.15
        efficiency_per_depth: share of the oxygen dissolved for each metre of depth in clean water without
            oxygen, 0.02 to 0.025 coarse, 0.065 fine; 0 to 0.15

    Source: clean-water test of aerators (IS 13166) backwards; efficiencies of EPA/625/1-89/023, from memory.

    >>> round(bubble_transfer(air_flow=60e-3 / 3600, depth=0.3, water_temperature=299.15) * 3.6e6, 1)  # L/h
    15.9
    """
    require("air_flow", air_flow, 0.0, 1.0, "m**3/s")
    require("depth", depth, 0.0, 6.0, "m")
    require("water_temperature", water_temperature, 273.15, 313.15, "K")
    require("efficiency_per_depth", efficiency_per_depth, 0.0, 0.15, "1/m")
    blown_in = air_flow * air_density(_TWENTY) * OXYGEN_IN_AIR
    at_twenty = efficiency_per_depth * depth * blown_in / oxygen_saturation(_TWENTY)
    return float(at_twenty * BUBBLE_TEMPERATURE_FACTOR ** (water_temperature - _TWENTY))


def oxygen_from_bubbles(
    *,
    air_flow: CubicMetrePerSecond,
    depth: Metre,
    water_temperature: Kelvin,
    oxygen_level: KilogramPerCubicMetre,
    efficiency_per_depth: PerMetre = 0.025,
    pressure: Pascal = STANDARD_PRESSURE,
) -> KilogramPerSecond:
    """Oxygen that rising bubbles alone bring into fresh water; the stirring of its surface brings more.

    Inputs:
        air_flow: free air at 20 °C and one atmosphere; 0 to 1
        depth: water over the outlet of the air; 0 to 6
        water_temperature: water temperature; 273.15 to 313.15
        oxygen_level: oxygen the water has; 0 to 0.05
        efficiency_per_depth: share of the oxygen dissolved for each metre of depth in clean water without
            oxygen, 0.02 to 0.025 coarse, 0.065 fine; 0 to 0.15
        pressure: absolute pressure of the air; 50662.5 to 111457.5

    Source: clean-water test of aerators (IS 13166) backwards; efficiencies of EPA/625/1-89/023, from memory.

    >>> round(oxygen_from_bubbles(air_flow=60e-3 / 3600, depth=0.3, water_temperature=299.15,
    ...                           oxygen_level=7e-3) * 3.6e9)  # mg an hour
    18
    """
    require("oxygen_level", oxygen_level, 0.0, 0.05, "kg/m**3")
    saturation = oxygen_saturation(water_temperature, pressure=pressure)
    brought = bubble_transfer(
        air_flow=air_flow,
        depth=depth,
        water_temperature=water_temperature,
        efficiency_per_depth=efficiency_per_depth,
    )
    return brought * (saturation - oxygen_level)


def _require_tank(volume: float, velocity: float, area: float, saturation: float) -> None:
    require("tank_volume", volume, 1e-6, 1e6, "m**3")
    require("transfer_velocity", velocity, 0.0, 1e-3, "m/s")
    require("surface_area", area, 0.0, 1e4, "m**2")
    require("saturation_level", saturation, 1e-3, 0.02, "kg/m**3")
