"""What fish weigh at a length, when their eggs hatch, and what brine shrimp eggs give."""

from __future__ import annotations

from tankwright.physics.ranges import require
from tankwright.units import (
    CubicMetre,
    Dimensionless,
    Kelvin,
    KelvinSecond,
    Kilogram,
    Metre,
    PerKilogram,
    Second,
)

ZEBRAFISH_BASE_TEMPERATURE = 273.15 + 0.57 / 0.055
"""K, at which the eggs of Danio rerio would stand still, 10.36 °C. Source: Kimmel et al. (1995), hours at
T °C = hours at 28.5 °C / (0.055 T - 0.57)."""

ZEBRAFISH_HEAT_SUM = 60.0 * 3600.0 / 0.055
"""K s over the base to hatching, 45 degree-days. Source: Kimmel et al. (1995), the middle of 48 to 72 hours
at 28.5 °C."""

SMALL_HATCHER = 0.020
"""m3, under which brine shrimp eggs may stand closer. Source: FAO Fisheries Technical Paper 361 (1996)."""


def length_weight(
    length: Metre, *, coefficient: Dimensionless = 0.01, exponent: Dimensionless = 3.04
) -> Kilogram:
    """Wet mass of a fish of a length, each species with two constants of its own.

    The constants belong to one way of measuring, with the tail or without; turn the length into it first.

    Inputs:
        length: length of the fish; 1e-3 to 2
        coefficient: a of W = a L^b as published, in grams and centimetres, a plain number; 1e-4 to 0.2
        exponent: b of W = a L^b; 2.5 to 3.5

    Source: R. Froese (2006), Journal of Applied Ichthyology 22(4), 241-253; the constants of a spindle-shaped
    fish, 0.01 and 3.04, from memory of FishBase.

    >>> round(length_weight(0.035) * 1000, 2)  # grams at 3.5 cm
    0.45
    """
    require("length", length, 1e-3, 2.0, "m")
    require("coefficient", coefficient, 1e-4, 0.2, "1")
    require("exponent", exponent, 2.5, 3.5, "1")
    return float(1e-3 * coefficient * (100.0 * length) ** exponent)


def hatch_time(
    water_temperature: Kelvin,
    *,
    base_temperature: Kelvin = ZEBRAFISH_BASE_TEMPERATURE,
    heat_sum: KelvinSecond = ZEBRAFISH_HEAT_SUM,
    coldest: Kelvin = 298.15,
    warmest: Kelvin = 306.15,
) -> Second:
    """Time from laying to hatching; Danio rerio unless the two constants of another fish are given.

    Eggs of one batch hatch over about a fifth of the time before and after.

    Inputs:
        water_temperature: water temperature; 273.15 to 313.15
        base_temperature: temperature at which the eggs would stand still; 253.15 to 303.15
        heat_sum: kelvins over the base, times the time to hatching; 1e4 to 1e9
        coldest: lowest temperature at which the two constants were found; 273.15 to 313.15
        warmest: highest temperature at which they were found; 273.15 to 313.15

    Source: C. B. Kimmel and others (1995), Developmental Dynamics 203(3), 253-310, for 25 to 33 °C, written
    as a heat sum.

    >>> round(hatch_time(299.15) / 3600)  # hours at 26 °C
    70
    """
    require("base_temperature", base_temperature, 253.15, 303.15, "K")
    require("heat_sum", heat_sum, 1e4, 1e9, "K*s")
    require("coldest", coldest, 273.15, 313.15, "K")
    require("warmest", warmest, 273.15, 313.15, "K")
    require("water_temperature", water_temperature, 273.15, 313.15, "K")
    require("water_temperature", water_temperature, coldest, warmest, "K")
    require("base_temperature", base_temperature, 253.15, water_temperature - 1.0, "K")
    return heat_sum / (water_temperature - base_temperature)


def artemia_cysts(water_volume: CubicMetre) -> Kilogram:
    """The most brine shrimp eggs to hatch in one vessel: 5 g in a litre under 20 litres, 2 g from there on.

    Inputs:
        water_volume: water in the vessel; 1e-5 to 10

    Source: P. Lavens and P. Sorgeloos (1996), FAO Fisheries Technical Paper 361.

    >>> artemia_cysts(0.002)  # 10 g in 2 litres
    0.01
    """
    require("water_volume", water_volume, 1e-5, 10.0, "m**3")
    return water_volume * (5.0 if water_volume < SMALL_HATCHER else 2.0)


def artemia_hatch(
    *,
    cysts: Kilogram,
    water_volume: CubicMetre,
    water_temperature: Kelvin,
    salinity: Dimensionless,
    yield_of_cysts: PerKilogram = 2.5e8,
) -> Dimensionless:
    """Brine shrimp that hatch from eggs, in number, ready after 18 to 24 hours; some batches take 48.

    Colder water hatches slower; over 33 °C the eggs are lost.

    Inputs:
        cysts: dry eggs put in; 0 to 50
        water_volume: water in the vessel; 1e-5 to 10
        water_temperature: water temperature; 298.15 to 301.15
        salinity: salt in the water, g in a kg, a plain number; 5 to 35
        yield_of_cysts: shrimp from a kg of eggs, 2e8 to 3e8 of good ones; 0 to 4e8

    Source: P. Lavens and P. Sorgeloos (1996), FAO Fisheries Technical Paper 361, for temperature, salt, time
    and crowding; G. D. Treece (2000), SRAC Publication 702, for the yield.

    >>> artemia_hatch(cysts=2e-3, water_volume=1e-3, water_temperature=299.15, salinity=25.0)
    500000.0
    """
    require("cysts", cysts, 0.0, 50.0, "kg")
    require("water_volume", water_volume, 1e-5, 10.0, "m**3")
    require("water_temperature", water_temperature, 298.15, 301.15, "K")
    require("salinity", salinity, 5.0, 35.0, "1")
    require("yield_of_cysts", yield_of_cysts, 0.0, 4e8, "1/kg")
    require("cysts", cysts, 0.0, artemia_cysts(water_volume), "kg")
    return cysts * yield_of_cysts
