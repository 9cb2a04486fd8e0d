"""How long a new filter takes to grow in. The course itself: `nitrifier_growth`."""

from __future__ import annotations

import math

from tankwright.physics.nitrifier_growth import DAY, nitrifier_course, nitrifiers_measured_at
from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.units import Kelvin, KilogramPerCubicMetre, KilogramPerCubicMetreSecond, Second

CAUTION = (
    "Screening only: the seed is a guess and low pH or alkalinity stops growth. Only tests of ammonia and nitrite "
    "tell that a filter is ready for fish."
)

_LOOKED_AHEAD = tuple(days * DAY for days in (25, 50, 100, 200))


def time_until_cycled(
    *,
    dose: KilogramPerCubicMetreSecond,
    seed: KilogramPerCubicMetre,
    temperature: Kelvin,
    limit: KilogramPerCubicMetre = 0.25e-3,
    oxygen: KilogramPerCubicMetre = 7e-3,
    growth_temperature: Kelvin = 303.15,
) -> Second:
    """Time until a new filter holds both ammonia and nitrite below a limit on an even dose of ammonia.

    Refused when that takes more than 200 days. The seed is what decides: fit it to what you have seen.

    Inputs:
        dose: ammonia nitrogen given, over the volume of the tank; 1e-9 to 6e-8
        seed: bacteria of each kind at the start, perhaps 1e-7 in a new tank, 1e-4 with an old sponge; 1e-9 to 1e-2
        temperature: water temperature; 283.15 to 306.15
        limit: nitrogen of each, below which the filter counts as grown in; 1e-5 to 5e-3
        oxygen: oxygen in the water; 1e-3 to 1.5e-2
        growth_temperature: where the published growth was measured, 303.15 slow end, 293.15 fast; 288.15 to 303.15

    Source: two-step Monod growth; Blackburne and others (2007), Water Environment Research 79, 2437, for growth
    and yields; the rest from memory of the activated sludge models. Published spans: 1 to 8 weeks.

    >>> round(time_until_cycled(dose=2e-3 / 86400, seed=1e-5, temperature=299.15) / 86400)  # days
    26
    """
    require("dose", dose, 1e-9, 6e-8, "kg/(m**3*s)")
    require("seed", seed, 1e-9, 1e-2, "kg/m**3")
    require("temperature", temperature, 283.15, 306.15, "K")
    require("limit", limit, 1e-5, 5e-3, "kg/m**3")
    require("oxygen", oxygen, 1e-3, 1.5e-2, "kg/m**3")
    require("growth_temperature", growth_temperature, 288.15, 303.15, "K")
    kinds = nitrifiers_measured_at(growth_temperature)
    for (
        duration
    ) in _LOOKED_AHEAD:  # short looks are quick; one that shows it stay low as long again is enough
        cycled_at = nitrifier_course(
            dose=dose,
            seed=seed,
            temperature=temperature,
            duration=duration,
            limit=limit,
            oxygen=oxygen,
            kinds=kinds,
        ).cycled_at
        if cycled_at < duration / 2.0:
            return cycled_at
    if math.isinf(cycled_at):
        raise OutsideValidRange("time", cycled_at, 0.0, _LOOKED_AHEAD[-1], "s")
    return cycled_at
