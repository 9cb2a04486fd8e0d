"""Heat through walls and floors, and how a body of water cools, warms and is kept warm."""

from __future__ import annotations

import math

from tankwright.physics.layers import Layer, combined_resistance
from tankwright.physics.ranges import require
from tankwright.units import (
    Dimensionless,
    JoulePerKelvin,
    Kelvin,
    Metre,
    Second,
    SquareMetre,
    SquareMetreKelvinPerWatt,
    Watt,
    WattPerKelvin,
    WattPerMetreKelvin,
    WattPerSquareMetreKelvin,
)

# m2 K/W, EN ISO 6946, by the way the heat goes; from memory
INNER_SURFACE_WALL = 0.13
"""Heat going sideways through a wall."""
INNER_SURFACE_CEILING = 0.10
"""Heat going up through a ceiling."""
INNER_SURFACE_FLOOR = 0.17
"""Heat going down through a floor."""
OUTER_SURFACE = 0.04
"""Outside, whichever way."""


def layer_resistance(*, thickness: Metre, conductivity: WattPerMetreKelvin) -> SquareMetreKelvinPerWatt:
    """How well a layer of one material holds heat back.

    Inputs:
        thickness: thickness of the layer; 0 to 10
        conductivity: heat conductivity of the material; 0.001 to 500

    Source: Fourier's law, EN ISO 6946, 6.7.1.1.

    >>> round(layer_resistance(thickness=0.05, conductivity=0.0355), 2)  # 5 cm of expanded polystyrene
    1.41
    """
    require("thickness", thickness, 0.0, 10.0, "m")
    require("conductivity", conductivity, 0.001, 500.0, "W/(m*K)")
    return thickness / conductivity


def wall_transmittance(
    *,
    layers_resistance: SquareMetreKelvinPerWatt,
    inner_surface_resistance: SquareMetreKelvinPerWatt = INNER_SURFACE_WALL,
    outer_surface_resistance: SquareMetreKelvinPerWatt = OUTER_SURFACE,
) -> WattPerSquareMetreKelvin:
    """Heat through a square metre of wall, ceiling or floor per kelvin from air to air, its U-value.

    Inputs:
        layers_resistance: sum of the resistances of its layers, see layer-resistance; 0 to 100
        inner_surface_resistance: 0.13 for a wall, 0.10 for a ceiling, 0.17 for a floor; 0.05 to 0.3
        outer_surface_resistance: 0.04 outside, as the inner one towards an unheated room; 0.02 to 0.3

    Source: EN ISO 6946; surface resistances from memory.

    >>> round(wall_transmittance(layers_resistance=1.46), 2)
    0.61
    """
    require("layers_resistance", layers_resistance, 0.0, 100.0, "m**2*K/W")
    _require_surfaces(inner_surface_resistance, outer_surface_resistance)
    return 1.0 / (inner_surface_resistance + layers_resistance + outer_surface_resistance)


def _require_surfaces(inner: SquareMetreKelvinPerWatt, outer: SquareMetreKelvinPerWatt) -> None:
    require("inner_surface_resistance", inner, 0.05, 0.3, "m**2*K/W")
    require("outer_surface_resistance", outer, 0.02, 0.3, "m**2*K/W")


def bridged_wall_transmittance(
    *,
    layers_resistance: SquareMetreKelvinPerWatt,
    insulation_resistance: SquareMetreKelvinPerWatt,
    stud_resistance: SquareMetreKelvinPerWatt,
    stud_share: Dimensionless,
    inner_surface_resistance: SquareMetreKelvinPerWatt = INNER_SURFACE_WALL,
    outer_surface_resistance: SquareMetreKelvinPerWatt = OUTER_SURFACE,
) -> WattPerSquareMetreKelvin:
    """Heat through a wall whose insulation stands between studs, per square metre and kelvin, its U-value.

    Inputs:
        layers_resistance: sum of the resistances of all other layers; 0 to 100
        insulation_resistance: resistance of the insulation between the studs; 0.001 to 100
        stud_resistance: resistance of the studs, as thick as the insulation; 0.001 to 100
        stud_share: share of the area that is stud; 0 to 1
        inner_surface_resistance: 0.13 for a wall, 0.10 for a ceiling, 0.17 for a floor; 0.05 to 0.3
        outer_surface_resistance: 0.04 outside, as the inner one towards an unheated room; 0.02 to 0.3

    Source: EN ISO 6946, combined method (6.7.2): the mean of the upper and the lower limit; from memory.

    >>> wool, stud = 0.14 / 0.038, 0.14 / 0.13
    >>> others = 0.102 / 0.77 + 0.18 + 0.009 / 0.13 + 0.0125 / 0.25
    >>> round(
    ...     bridged_wall_transmittance(
    ...         layers_resistance=others, insulation_resistance=wool, stud_resistance=stud, stud_share=0.15
    ...     ),
    ...     3,
    ... )
    0.295
    """
    require("layers_resistance", layers_resistance, 0.0, 100.0, "m**2*K/W")
    require("insulation_resistance", insulation_resistance, 0.001, 100.0, "m**2*K/W")
    require("stud_resistance", stud_resistance, 0.001, 100.0, "m**2*K/W")
    require("stud_share", stud_share, 0.0, 1.0, "1")
    _require_surfaces(inner_surface_resistance, outer_surface_resistance)
    between = Layer(
        resistance=insulation_resistance, bridge_resistance=stud_resistance, bridge_share=stud_share
    )
    wall = (Layer(resistance=layers_resistance), between) if layers_resistance > 0.0 else (between,)
    return 1.0 / combined_resistance(
        wall, inner_surface=inner_surface_resistance, outer_surface=outer_surface_resistance
    )


def slab_transmittance(
    *,
    area: SquareMetre,
    exposed_perimeter: Metre,
    insulation_resistance: SquareMetreKelvinPerWatt = 0.0,
    wall_thickness: Metre = 0.3,
    ground_conductivity: WattPerMetreKelvin = 1.5,
    surface_resistances: SquareMetreKelvinPerWatt = INNER_SURFACE_FLOOR + OUTER_SURFACE,
) -> WattPerSquareMetreKelvin:
    """Heat through a floor on the ground per square metre and kelvin to the yearly mean outdoors.

    Inputs:
        area: floor area; 1 to 1e4
        exposed_perimeter: length of its edges towards outdoors; 0.5 to 1000
        insulation_resistance: resistance of all-over insulation and floor covering; 0 to 20
        wall_thickness: thickness of the walls standing on the edges; 0.01 to 2
        ground_conductivity: 1.5 for clay or silt, 2.0 for sand or gravel, 3.5 for rock; 0.3 to 5
        surface_resistances: of the floor and of the ground outside, together; 0 to 0.5

    Source: EN ISO 13370, slab on ground; surface resistances 0.17 and 0.04 m2 K/W; from memory.

    >>> round(slab_transmittance(area=21.0, exposed_perimeter=19.0), 3)  # a garage of 6 m x 3.5 m
    0.996
    """
    require("area", area, 1.0, 1e4, "m**2")
    require("exposed_perimeter", exposed_perimeter, 0.5, 1000.0, "m")
    require("insulation_resistance", insulation_resistance, 0.0, 20.0, "m**2*K/W")
    require("wall_thickness", wall_thickness, 0.01, 2.0, "m")
    require("ground_conductivity", ground_conductivity, 0.3, 5.0, "W/(m*K)")
    require("surface_resistances", surface_resistances, 0.0, 0.5, "m**2*K/W")
    breadth = 2.0 * area / exposed_perimeter
    resistance = insulation_resistance + surface_resistances
    equivalent = wall_thickness + ground_conductivity * resistance  # metres of ground that hold back as much
    if equivalent < breadth:
        curve = math.pi * breadth
        return 2.0 * ground_conductivity / (curve + equivalent) * math.log(curve / equivalent + 1.0)
    return ground_conductivity / (0.457 * breadth + equivalent)


def cooling_time_constant(*, heat_capacity: JoulePerKelvin, loss: WattPerKelvin) -> Second:
    """Time in which a difference of temperature falls to 37 % once the heating is off.

    Inputs:
        heat_capacity: heat that warms the body by a kelvin, 4.17e6 J/K for a cubic metre of water; 1 to 1e12
        loss: heat lost per kelvin of difference; 1e-6 to 1e9

    Source: Newton's law of cooling.

    >>> round(cooling_time_constant(heat_capacity=250.1e3, loss=7.0) / 3600, 1)  # 60 L, hours
    9.9
    """
    require("heat_capacity", heat_capacity, 1.0, 1e12, "J/K")
    require("loss", loss, 1e-6, 1e9, "W/K")
    return heat_capacity / loss


def temperature_after(
    *,
    start_temperature: Kelvin,
    surrounding_temperature: Kelvin,
    duration: Second,
    time_constant: Second,
) -> Kelvin:
    """Temperature of unheated, well mixed water after a while, in surroundings that stay as they are.

    Inputs:
        start_temperature: temperature at the start; 250 to 373.15
        surrounding_temperature: temperature around it; 220 to 373.15
        duration: time since the start; 0 to 1e9
        time_constant: see cooling-time-constant; 1 to 1e12

    Source: Newton's law of cooling, solved.

    >>> after = temperature_after(
    ...     start_temperature=299.15, surrounding_temperature=291.15, duration=6 * 3600, time_constant=35733
    ... )
    >>> round(after - 273.15, 2)
    22.37
    """
    require("start_temperature", start_temperature, 250.0, 373.15, "K")
    require("surrounding_temperature", surrounding_temperature, 220.0, 373.15, "K")
    require("duration", duration, 0.0, 1e9, "s")
    require("time_constant", time_constant, 1.0, 1e12, "s")
    above = start_temperature - surrounding_temperature
    return surrounding_temperature + above * math.exp(-duration / time_constant)


def time_to_cool(
    *,
    start_temperature: Kelvin,
    end_temperature: Kelvin,
    surrounding_temperature: Kelvin,
    time_constant: Second,
) -> Second:
    """Time in which unheated water cools to a temperature.

    Inputs:
        start_temperature: temperature at the start; 250 to 373.15
        end_temperature: temperature at the end, no more than at the start; 250 to 373.15
        surrounding_temperature: temperature around it, below the end; 220 to 373.15
        time_constant: see cooling-time-constant; 1 to 1e12

    Source: Newton's law of cooling, solved for the time.

    >>> hours = time_to_cool(
    ...     start_temperature=299.15,
    ...     end_temperature=295.15,
    ...     surrounding_temperature=273.15,
    ...     time_constant=87.8 * 3600,
    ... )
    >>> round(hours / 3600, 1)  # a room full of water
    14.7
    """
    require("start_temperature", start_temperature, 250.0, 373.15, "K")
    require("end_temperature", end_temperature, 250.0, 373.15, "K")
    require("end_temperature", end_temperature, 250.0, start_temperature, "K")
    require("surrounding_temperature", surrounding_temperature, 220.0, 373.15, "K")
    require("surrounding_temperature", surrounding_temperature, 220.0, end_temperature - 1e-6, "K")
    require("time_constant", time_constant, 1.0, 1e12, "s")
    above, left = start_temperature - surrounding_temperature, end_temperature - surrounding_temperature
    return time_constant * math.log(above / left)


def heater_size(
    *,
    water_temperature: Kelvin,
    room_temperature: Kelvin,
    loss: WattPerKelvin,
    heat_capacity: JoulePerKelvin,
    start_temperature: Kelvin,
    warm_up_time: Second,
    margin: Dimensionless = 1.25,
) -> Watt:
    """Power of a heater that keeps a tank warm in its coldest room and warms it up in a given time.

    The whole loss counts during the whole warm-up, so the answer lies a little over the exact one.

    Inputs:
        water_temperature: temperature to keep; 273.15 to 323.15
        room_temperature: coldest room, no warmer than the water; 223.15 to 323.15
        loss: heat lost per kelvin of difference; 1e-3 to 1e6
        heat_capacity: heat that warms tank and water by a kelvin; 1 to 1e12
        start_temperature: water at the start of the warm-up, no warmer than wanted; 273.15 to 323.15
        warm_up_time: time allowed for the warm-up; 60 to 1e8
        margin: factor on the whole; 1 to 3

    Source: heat balance; margin of 1.25 to 1.5 common practice, no source.

    >>> watts = heater_size(
    ...     water_temperature=299.15,
    ...     room_temperature=291.15,
    ...     loss=7.0,
    ...     heat_capacity=250.1e3,
    ...     start_temperature=295.15,
    ...     warm_up_time=24 * 3600,
    ... )
    >>> round(watts)
    84
    """
    require("water_temperature", water_temperature, 273.15, 323.15, "K")
    require("room_temperature", room_temperature, 223.15, 323.15, "K")
    require("room_temperature", room_temperature, 223.15, water_temperature, "K")
    require("loss", loss, 1e-3, 1e6, "W/K")
    require("heat_capacity", heat_capacity, 1.0, 1e12, "J/K")
    require("start_temperature", start_temperature, 273.15, 323.15, "K")
    require("start_temperature", start_temperature, 273.15, water_temperature, "K")
    require("warm_up_time", warm_up_time, 60.0, 1e8, "s")
    require("margin", margin, 1.0, 3.0, "1")
    steady = loss * (water_temperature - room_temperature)
    return margin * (steady + heat_capacity * (water_temperature - start_temperature) / warm_up_time)
