"""How long a battery with an inverter runs a load, and what a generator must give and drinks: screening figures only.

Batteries burn, short circuits weld, exhaust kills: makers' sheets, local code and licensed people decide what is built.
"""

from __future__ import annotations

import math

from tankwright.physics.ranges import require
from tankwright.units import (
    Ampere,
    Coulomb,
    CubicMetrePerSecond,
    Dimensionless,
    JoulePerCubicMetre,
    Kelvin,
    PerKelvin,
    Second,
    Watt,
)

CAUTION = (
    "Screening only. Mains, batteries and generators can kill and burn: never back-feed a house from a socket, have a"
    " licensed person connect what feeds a circuit, run an engine outdoors and far from every opening, and hang up a"
    " carbon monoxide alarm."
)

RATED_TEMPERATURE = 293.15
"""K, at which a capacity is stated here. Source: IEC 60896, 20 °C, from memory; many labels mean 25 °C."""

PETROL_HEAT = 32e9
"""J/m3, the lower heating value of petrol. Source: 43 MJ/kg and 745 kg/m3, from memory."""


def battery_time(
    *,
    capacity: Coulomb,
    rated_time: Second,
    current: Ampere,
    peukert_exponent: Dimensionless,
    usable_share: Dimensionless = 1.0,
) -> Second:
    """Time until a steady current has taken the usable share of a battery, by Peukert's law in its rated form.

    t = H (C / (I H))^k, times the share. A current below the rated one is taken to get the rated charge and no more.

    Inputs:
        capacity: charge it gives when emptied in the rated time; 1 to 1e10
        rated_time: time to empty that the capacity is stated for; 60 to 2e6
        current: what is drawn; 1e-6 to 1e6
        peukert_exponent: 1 for a battery that gives all at any current; 1 to 1.6
        usable_share: how much of it one takes out, 1 for all; 0.05 to 1

    Source: W. Peukert (1897), Elektrotechnische Zeitschrift 18, 287, from memory; rated form by algebra.

    >>> hours = 3600.0
    >>> round(battery_time(capacity=100 * hours, rated_time=20 * hours, current=10.0, peukert_exponent=1.2) / hours, 2)
    8.71
    """
    require("capacity", capacity, 1.0, 1e10, "A*s")
    require("rated_time", rated_time, 60.0, 2e6, "s")
    require("current", current, 1e-6, 1e6, "A")
    require("peukert_exponent", peukert_exponent, 1.0, 1.6, "1")
    require("usable_share", usable_share, 0.05, 1.0, "1")
    drawn_over_rated = current * rated_time / capacity
    exponent = peukert_exponent if drawn_over_rated > 1.0 else 1.0
    return usable_share * rated_time * math.pow(drawn_over_rated, -exponent)


def battery_capacity(
    *,
    duration: Second,
    rated_time: Second,
    current: Ampere,
    peukert_exponent: Dimensionless,
    usable_share: Dimensionless = 1.0,
) -> Coulomb:
    """Capacity of a battery whose usable share a steady current takes in a given time.

    Inputs:
        duration: how long it is to last; 1 to 1e8
        rated_time: time to empty that the capacity is stated for; 60 to 2e6
        current: what is drawn; 1e-6 to 1e6
        peukert_exponent: 1 for a battery that gives all at any current; 1 to 1.6
        usable_share: how much of it one takes out, 1 for all; 0.05 to 1

    Source: Peukert's law as in `battery_time`, solved for the capacity.

    >>> hours = 3600.0
    >>> round(battery_capacity(duration=8 * hours, rated_time=20 * hours, current=10.0, peukert_exponent=1.2) / hours)
    93
    """
    require("duration", duration, 1.0, 1e8, "s")
    require("rated_time", rated_time, 60.0, 2e6, "s")
    require("current", current, 1e-6, 1e6, "A")
    require("peukert_exponent", peukert_exponent, 1.0, 1.6, "1")
    require("usable_share", usable_share, 0.05, 1.0, "1")
    share = duration / (usable_share * rated_time)
    return current * rated_time * math.pow(share, 1.0 / peukert_exponent if share < 1.0 else 1.0)


def peukert_exponent(
    *, first_current: Ampere, first_time: Second, second_current: Ampere, second_time: Second
) -> Dimensionless:
    """Peukert's exponent from two discharges of one battery at two currents.

    Inputs:
        first_current: of the first discharge; 1e-6 to 1e6
        first_time: until it was empty; 1 to 1e8
        second_current: of the second, not the same; 1e-6 to 1e6
        second_time: until it was empty; 1 to 1e8

    Source: Peukert's law with two unknowns, as battery makers' manuals give it.

    >>> round(peukert_exponent(first_current=9.0, first_time=20.0, second_current=25.0, second_time=6.25), 2)
    1.14
    """
    require("first_current", first_current, 1e-6, 1e6, "A")
    require("second_current", second_current, 1e-6, 1e6, "A")
    require("first_time", first_time, 1.0, 1e8, "s")
    require("second_time", second_time, 1.0, 1e8, "s")
    ratio = second_current / first_current
    require("ratio of the currents", max(ratio, 1.0 / ratio), 1.01, 1e12, "1")
    return math.log(first_time / second_time) / math.log(ratio)


def capacity_when_cold(
    *, temperature: Kelvin, coefficient: PerKelvin = 0.006, rated_temperature: Kelvin = RATED_TEMPERATURE
) -> Dimensionless:
    """What a lead battery gives at another temperature, as a share of what it gives at the one of its label.

    Inputs:
        temperature: of the battery; 253.15 to 323.15
        coefficient: share lost for each kelvin, 0.006 for discharges over hours, 0.01 within the hour; 0 to 0.02
        rated_temperature: the capacity is stated for; 283.15 to 303.15

    Source: the correction of capacity tests, C = Ct / (1 + k (t - 20 °C)), k as battery makers print it; the same
    stands in IEC 60896, from memory. Lithium cells lose less above freezing and must not be charged below it.

    >>> capacity_when_cold(temperature=283.15)
    0.94
    """
    require("temperature", temperature, 253.15, 323.15, "K")
    require("coefficient", coefficient, 0.0, 0.02, "1/K")
    require("rated_temperature", rated_temperature, 283.15, 303.15, "K")
    return 1.0 + coefficient * (temperature - rated_temperature)


def capacity_left(*, capacity: Coulomb, aged_share: Dimensionless, cold_share: Dimensionless) -> Coulomb:
    """The charge a battery still holds of the charge on its label, aged and cold.

    Inputs:
        capacity: on its label; 0 to 1e10
        aged_share: what age has left of it, 0.8 when it is to be replaced; 0.1 to 1
        cold_share: what its temperature leaves, as `capacity_when_cold` gives it; 0.3 to 1.3

    Source: product of shares; 0.8 at the end of its life as in IEEE 485 (a factor of 1.25 on its size), from memory.

    >>> round(capacity_left(capacity=100.0, aged_share=0.8, cold_share=0.94), 1)
    75.2
    """
    require("capacity", capacity, 0.0, 1e10, "A*s")
    require("aged_share", aged_share, 0.1, 1.0, "1")
    require("cold_share", cold_share, 0.3, 1.3, "1")
    return capacity * aged_share * cold_share


def inverter_input(*, load: Watt, efficiency: Dimensionless, idle: Watt) -> Watt:
    """Power an inverter takes from its battery to feed a load.

    Inputs:
        load: power of what is plugged in; 0 to 1e6
        efficiency: share of its power it passes on, idling apart; 0.3 to 1
        idle: what it takes with nothing plugged in; 0 to 1e4

    Source: common practice, no source: a straight line through its idling.

    >>> round(inverter_input(load=71.0, efficiency=0.88, idle=6.0), 1)
    86.7
    """
    require("load", load, 0.0, 1e6, "W")
    require("efficiency", efficiency, 0.3, 1.0, "1")
    require("idle", idle, 0.0, 1e4, "W")
    return load / efficiency + idle


def generator_rating(
    *, running: Watt, largest_motor: Watt, starting_factor: Dimensionless, loaded_share: Dimensionless
) -> Watt:
    """Lasting power a generator must have: for what runs, and for the largest motor starting last.

    Inputs:
        running: power of everything that runs at once; 0 to 1e6
        largest_motor: running power of the largest motor among it, 0 without one; 0 to 1e6
        starting_factor: what a motor takes as it starts, times what it takes running; 1 to 8
        loaded_share: how much of its lasting power to load for hours; 0.3 to 1

    Source: common practice, no source: running power over the share, or running and starting power, the greater.

    >>> generator_rating(running=1571.0, largest_motor=71.0, starting_factor=3.0, loaded_share=0.8)
    1963.75
    """
    require("running", running, 0.0, 1e6, "W")
    require("largest_motor", largest_motor, 0.0, running, "W")
    require("starting_factor", starting_factor, 1.0, 8.0, "1")
    require("loaded_share", loaded_share, 0.3, 1.0, "1")
    return max(running / loaded_share, running + (starting_factor - 1.0) * largest_motor)


def generator_fuel(
    *,
    load: Watt,
    rating: Watt,
    efficiency: Dimensionless,
    idle_share: Dimensionless,
    fuel_heat: JoulePerCubicMetre = PETROL_HEAT,
) -> CubicMetrePerSecond:
    """Fuel a generator drinks: a straight line from idling to full load.

    Inputs:
        load: mean power drawn; 0 to 1e6
        rating: its lasting power; 1 to 1e6
        efficiency: of its fuel's heat at full load, 0.12 to 0.25 for small petrol ones; 0.05 to 0.5
        idle_share: what it drinks without a load over what it drinks at full load, 0.3 to 0.6; 0 to 1
        fuel_heat: heat in a volume of fuel, petrol's by default; 5e9 to 4e10

    Source: the line and its share of 0.3 to 0.6 from measurements of a small generator in a public log (2009).

    >>> round(generator_fuel(load=500.0, rating=1000.0, efficiency=0.2, idle_share=0.4) * 3.6e6, 2)  # L/h
    0.39
    """
    require("rating", rating, 1.0, 1e6, "W")
    require("load", load, 0.0, rating, "W")
    require("efficiency", efficiency, 0.05, 0.5, "1")
    require("idle_share", idle_share, 0.0, 1.0, "1")
    require("fuel_heat", fuel_heat, 5e9, 4e10, "J/m**3")
    full = rating / (efficiency * fuel_heat)
    return full * (idle_share + (1.0 - idle_share) * load / rating)
