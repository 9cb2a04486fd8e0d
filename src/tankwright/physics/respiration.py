"""Oxygen that fish use, by their mass and the temperature of the water."""

from __future__ import annotations

import math

from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Kelvin, Kilogram, KilogramPerSecond, PerSecond

OXYGEN_MOLAR_MASS = 31.9988e-3
"""kg/mol, O2. Source: standard atomic weights."""


def respiration_rate(
    *, fish_mass: Kilogram, water_temperature: Kelvin, activity: Dimensionless = 1.0
) -> PerSecond:
    """Oxygen a fish uses for its mass, kg in a kg and second; resting unless told otherwise.

    A line between many species. It was drawn for fish of 50 g: for those under a few grams it is stretched
    far and may be half as much or as little again.

    Inputs:
        fish_mass: wet mass of one fish; 1e-5 to 10
        water_temperature: water temperature at which the fish live; 273.15 to 313.15
        activity: times the resting use, 1.5 to 2.5 for fed and moving fish (common practice); 1 to 5

    Source: A. Clarke and N. M. Johnston (1999), Journal of Animal Ecology 68(5), 893-905: 69 teleosts,
    ln R = 15.7 - 5.02 (1000/T) mmol/h at 50 g, and R as mass to the power 0.80.

    >>> round(respiration_rate(fish_mass=1e-3, water_temperature=298.15) * 3.6e9)  # mg/kg/h
    449
    """
    require("fish_mass", fish_mass, 1e-5, 10.0, "kg")
    require("water_temperature", water_temperature, 273.15, 313.15, "K")
    require("activity", activity, 1.0, 5.0, "1")
    millimole_an_hour = math.exp(15.7 - 5020.0 / water_temperature) * math.pow(fish_mass / 0.050, 0.80)
    return activity * millimole_an_hour * 1e-3 / 3600.0 * OXYGEN_MOLAR_MASS / fish_mass


def fish_oxygen_demand(
    *,
    fish_mass: Kilogram,
    total_mass: Kilogram,
    water_temperature: Kelvin,
    activity: Dimensionless = 1.0,
) -> KilogramPerSecond:
    """Oxygen that fish of one size use together; resting unless told otherwise.

    A line between many species. It was drawn for fish of 50 g: for those under a few grams it is stretched
    far and may be half as much or as little again.

    Inputs:
        fish_mass: wet mass of one fish; 1e-5 to 10
        total_mass: wet mass of all of them; 0 to 1e5
        water_temperature: water temperature at which the fish live; 273.15 to 313.15
        activity: times the resting use, 1.5 to 2.5 for fed and moving fish (common practice); 1 to 5

    Source: A. Clarke and N. M. Johnston (1999), Journal of Animal Ecology 68(5), 893-905: 69 teleosts,
    ln R = 15.7 - 5.02 (1000/T) mmol/h at 50 g, and R as mass to the power 0.80.

    >>> round(fish_oxygen_demand(fish_mass=1e-3, total_mass=0.08, water_temperature=298.15) * 3.6e9, 1)  # mg/h
    35.9
    """
    require("total_mass", total_mass, 0.0, 1e5, "kg")
    rate = respiration_rate(fish_mass=fish_mass, water_temperature=water_temperature, activity=activity)
    return rate * total_mass


def respiration_when_warmed(
    *,
    respiration: KilogramPerSecond,
    old_temperature: Kelvin,
    new_temperature: Kelvin,
    tenfold_factor: Dimensionless = 2.40,
) -> KilogramPerSecond:
    """Oxygen that the same fish use once their water is warmer or colder; steeper than between species.

    Inputs:
        respiration: oxygen they use at the old temperature; 0 to 1
        old_temperature: water temperature they are used to; 273.15 to 313.15
        new_temperature: water temperature they come to; 273.15 to 313.15
        tenfold_factor: Q10, times as much for ten kelvin more; 1 to 5

    Source: A. Clarke and N. M. Johnston (1999), Journal of Animal Ecology 68(5), 893-905: median of 14
    studies within one species, 2.40.

    >>> round(respiration_when_warmed(respiration=1e-8, old_temperature=298.15, new_temperature=303.15), 11)
    1.549e-08
    """
    require("respiration", respiration, 0.0, 1.0, "kg/s")
    require("old_temperature", old_temperature, 273.15, 313.15, "K")
    require("new_temperature", new_temperature, 273.15, 313.15, "K")
    require("tenfold_factor", tenfold_factor, 1.0, 5.0, "1")
    return float(respiration * tenfold_factor ** ((new_temperature - old_temperature) / 10.0))
