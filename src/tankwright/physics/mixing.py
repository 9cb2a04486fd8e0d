"""Fresh water dripped into a full tank or changed at a stroke: how much of the old is truly replaced, how cold
it gets, and when it spills."""

from __future__ import annotations

import math

from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.physics.water_arrays import approached, mean_decay
from tankwright.units import (
    CubicMetre,
    CubicMetrePerSecond,
    Dimensionless,
    Kelvin,
    Second,
    Watt,
    WattPerKelvin,
)

WATER_HEAT_CAPACITY = 998.2 * 4181.0
"""J/(m3 K), what a volume of water holds for each kelvin. Source: density at 20 °C (Kell, 1975) times the
specific heat at 25 °C of the IAPWS formulation, from memory; it changes by 0.5 % from 5 to 30 °C."""


def water_replaced(*, inflow_volume: CubicMetre, tank_volume: CubicMetre) -> Dimensionless:
    """Share of the old water that has left a well mixed, overflowing tank once a volume has run in.

    Inputs:
        inflow_volume: volume of new water run in; 0 to 1e6
        tank_volume: volume of water in the tank; 1e-6 to 1e6

    Source: mass balance of a stirred tank, 1 - exp(-inflow / volume), textbook form.

    >>> round(water_replaced(inflow_volume=0.1, tank_volume=0.1), 3)  # a whole tank of new water
    0.632
    """
    require("inflow_volume", inflow_volume, 0.0, 1e6, "m**3")
    require("tank_volume", tank_volume, 1e-6, 1e6, "m**3")
    return -math.expm1(-inflow_volume / tank_volume)


def inflow_for_replacement(*, replaced_share: Dimensionless, tank_volume: CubicMetre) -> CubicMetre:
    """Volume to run into a well mixed, overflowing tank to replace a share of its water.

    Inputs:
        replaced_share: share of the old water to replace; 0 to 0.999999
        tank_volume: volume of water in the tank; 1e-6 to 1e6

    Source: mass balance of a stirred tank, textbook form, solved for the inflow.

    >>> round(inflow_for_replacement(replaced_share=0.5, tank_volume=0.1), 4)
    0.0693
    """
    require("replaced_share", replaced_share, 0.0, 0.999999, "1")
    require("tank_volume", tank_volume, 1e-6, 1e6, "m**3")
    return -tank_volume * math.log1p(-replaced_share)


def time_to_spill(*, freeboard_volume: CubicMetre, inflow: CubicMetrePerSecond) -> Second:
    """Time until a tank whose overflow is blocked runs over its rim.

    Inputs:
        freeboard_volume: room between the water and the lowest point of the rim; 0 to 1e6
        inflow: volume flow into the tank; 1e-12 to 10

    Source: volume over flow.

    >>> round(time_to_spill(freeboard_volume=5.4e-3, inflow=4 / 3.6e6) / 60)  # 3 cm at 4 L/h, minutes
    81
    """
    require("freeboard_volume", freeboard_volume, 0.0, 1e6, "m**3")
    require("inflow", inflow, 1e-12, 10.0, "m**3/s")
    return freeboard_volume / inflow


def drip_efficiency(*, turnovers: Dimensionless) -> Dimensionless:
    """Share of the dripped water that takes the place of old water; the rest leaves as new water.

    Inputs:
        turnovers: volume run in over the volume of the tank; 0 to 1e3

    Source: mass balance of a stirred tank, (1 - exp(-x)) / x, textbook form.

    >>> round(drip_efficiency(turnovers=0.5), 3)
    0.787
    """
    require("turnovers", turnovers, 0.0, 1e3, "1")
    return float(mean_decay(turnovers))


def drip_over_batch(*, replaced_share: Dimensionless) -> Dimensionless:
    """Volume to drip over the volume to change at a stroke, for the same share of old water replaced.

    Inputs:
        replaced_share: share of the old water to replace; 0.000001 to 0.999999

    Source: mass balance of a stirred tank, -ln(1 - share) / share, textbook form.

    >>> round(drip_over_batch(replaced_share=0.5), 3)
    1.386
    """
    require("replaced_share", replaced_share, 1e-6, 0.999999, "1")
    return -math.log1p(-replaced_share) / replaced_share


def remaining_after_changes(*, changed_share: Dimensionless, changes: Dimensionless) -> Dimensionless:
    """Share of the old water left after a number of equal changes at a stroke.

    Inputs:
        changed_share: share of the water changed each time; 0 to 1
        changes: number of changes; 0 to 1e5

    Source: (1 - share) to the power of the changes, textbook form.

    >>> round(remaining_after_changes(changed_share=0.25, changes=4), 4)
    0.3164
    """
    require("changed_share", changed_share, 0.0, 1.0, "1")
    require("changes", changes, 0.0, 1e5, "1")
    return float((1.0 - changed_share) ** changes)


def remaining_after_turnovers(
    *, turnovers: Dimensionless, tanks_in_row: Dimensionless = 1.0
) -> Dimensionless:
    """Share of the old water left in the last of equal tanks fed one from the other.

    What the first tank lets go arrives in the last: the reason to feed tanks side by side.

    Inputs:
        turnovers: volume run in over the volume of one tank; 0 to 100
        tanks_in_row: number of tanks, the last one counted, a whole number; 1 to 100

    Source: stirred tanks in series, exp(-x) times the sum of x^k / k! for k below the number, textbook form.

    >>> round(remaining_after_turnovers(turnovers=1.0, tanks_in_row=3.0), 4)
    0.9197
    """
    require("turnovers", turnovers, 0.0, 100.0, "1")
    require("tanks_in_row", tanks_in_row, 1.0, 100.0, "1")
    count = round(tanks_in_row)
    if count != tanks_in_row:
        raise OutsideValidRange("tanks_in_row", tanks_in_row, count, count, "1")
    term = total = math.exp(-turnovers)
    for earlier in range(1, count):
        term *= turnovers / earlier
        total += term
    return min(total, 1.0)


def cold_fill_temperature(
    *, tank_temperature: Kelvin, source_temperature: Kelvin, changed_share: Dimensionless
) -> Kelvin:
    """Temperature of a tank right after a share of it was changed at a stroke.

    Inputs:
        tank_temperature: temperature of the tank before; 273.15 to 323.15
        source_temperature: temperature of the new water; 273.15 to 323.15
        changed_share: share of the water changed; 0 to 1

    Source: heat balance of mixing, glass and gravel left out (careful: they soften the drop).

    >>> round(cold_fill_temperature(tank_temperature=299.15, source_temperature=288.15, changed_share=0.25) - 273.15, 2)
    23.25
    """
    require("tank_temperature", tank_temperature, 273.15, 323.15, "K")
    require("source_temperature", source_temperature, 273.15, 323.15, "K")
    require("changed_share", changed_share, 0.0, 1.0, "1")
    return tank_temperature - changed_share * (tank_temperature - source_temperature)


def steady_drip_temperature(
    *,
    inflow: CubicMetrePerSecond,
    source_temperature: Kelvin,
    room_temperature: Kelvin,
    heat_loss: WattPerKelvin,
    heater_power: Watt = 0.0,
) -> Kelvin:
    """Temperature at which a tank settles between its drip, its room and its heater.

    Inputs:
        inflow: new water dripped in; 0 to 1
        source_temperature: temperature of the new water; 273.15 to 323.15
        room_temperature: temperature of the room; 253.15 to 323.15
        heat_loss: heat the tank gives to the room for each kelvin above it; 0.001 to 1e5
        heater_power: heat put into the tank all the time; 0 to 1e5

    Source: heat balance of a stirred tank.

    >>> settled = steady_drip_temperature(inflow=0.0, source_temperature=283.15, room_temperature=297.15,
    ...                                   heat_loss=7.0, heater_power=14.0)
    >>> round(settled - 273.15, 6)
    26.0
    """
    require("inflow", inflow, 0.0, 1.0, "m**3/s")
    require("source_temperature", source_temperature, 273.15, 323.15, "K")
    require("room_temperature", room_temperature, 253.15, 323.15, "K")
    require("heat_loss", heat_loss, 0.001, 1e5, "W/K")
    require("heater_power", heater_power, 0.0, 1e5, "W")
    carried = WATER_HEAT_CAPACITY * inflow
    warmth = carried * source_temperature + heat_loss * room_temperature + heater_power
    return warmth / (carried + heat_loss)


def drip_temperature_drop(
    *,
    tank_temperature: Kelvin,
    source_temperature: Kelvin,
    room_temperature: Kelvin,
    inflow: CubicMetrePerSecond,
    tank_volume: CubicMetre,
    time: Second,
    heat_loss: WattPerKelvin = 0.0,
    heater_power: Watt = 0.0,
) -> Kelvin:
    """How far a tank has cooled since a run of the drip began; below nought where it has warmed.

    Inputs:
        tank_temperature: temperature of the tank before; 273.15 to 323.15
        source_temperature: temperature of the new water; 273.15 to 323.15
        room_temperature: temperature of the room; 253.15 to 323.15
        inflow: new water dripped in; 0 to 1
        tank_volume: volume of water in the tank; 1e-4 to 1e6
        time: how long the run has lasted; 0 to 1e8
        heat_loss: heat the tank gives to the room for each kelvin above it; 0 to 1e5
        heater_power: heat put into the tank all the while; 0 to 1e5

    Source: heat balance of a stirred tank, closed form.

    >>> drop = drip_temperature_drop(tank_temperature=299.15, source_temperature=288.15, room_temperature=299.15,
    ...                              inflow=0.06 / 3600, tank_volume=0.06, time=3600)  # a whole tank in an hour
    >>> round(drop, 2)
    6.95
    """
    require("tank_temperature", tank_temperature, 273.15, 323.15, "K")
    require("source_temperature", source_temperature, 273.15, 323.15, "K")
    require("room_temperature", room_temperature, 253.15, 323.15, "K")
    require("inflow", inflow, 0.0, 1.0, "m**3/s")
    require("tank_volume", tank_volume, 1e-4, 1e6, "m**3")
    require("time", time, 0.0, 1e8, "s")
    require("heat_loss", heat_loss, 0.0, 1e5, "W/K")
    require("heater_power", heater_power, 0.0, 1e5, "W")
    store = WATER_HEAT_CAPACITY * tank_volume
    carried = WATER_HEAT_CAPACITY * inflow
    cooling = carried * (tank_temperature - source_temperature)
    cooling += heat_loss * (tank_temperature - room_temperature) - heater_power
    return float(approached(0.0, cooling / store, (carried + heat_loss) / store, time))
