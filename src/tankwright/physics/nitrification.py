"""From feed to ammonia to nitrate: what is made, what the filter turns over, where the water settles."""

from __future__ import annotations

import math

from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.physics.water_arrays import approached, media_capacity, settled_ammonia
from tankwright.units import (
    CubicMetre,
    CubicMetrePerSecond,
    Dimensionless,
    Kelvin,
    KilogramPerCubicMetre,
    KilogramPerCubicMetreSecond,
    KilogramPerSecond,
    Second,
)

AMMONIA_OF_PROTEIN = 0.092
"""kg of ammonia nitrogen a kg of protein fed: 0.16 nitrogen x 0.80 x 0.80 x 0.90. Source: M. B. Timmons and
J. M. Ebeling, Recirculating Aquaculture, from memory."""

OXYGEN_OF_NITROGEN = 2.0 * 31.998 / 14.007
"""kg of oxygen a kg of ammonia nitrogen turned to nitrate, 4.57. Source: stoichiometry without growth."""

ALKALINITY_OF_NITROGEN = 100.087 / 14.007
"""kg of alkalinity as CaCO3 a kg of ammonia nitrogen, 7.14. Source: stoichiometry, two acids a nitrogen."""

NITRATE_OF_NITROGEN = 62.004 / 14.007
"""kg of nitrate a kg of nitrate nitrogen, 4.427. Source: molar masses."""


def ammonia_from_feed(*, feed: KilogramPerSecond, protein_share: Dimensionless = 0.45) -> KilogramPerSecond:
    """Ammonia nitrogen that fish and leavings give off when fed.

    Inputs:
        feed: dry food fed; 0 to 1e-3
        protein_share: share of protein in the food, on its label; 0.05 to 0.9

    Source: M. B. Timmons and J. M. Ebeling, Recirculating Aquaculture, feed x protein x 0.092, from memory.

    >>> round(ammonia_from_feed(feed=0.010 / 86400, protein_share=0.45) * 86400e3, 3)  # 10 g/d, g/d
    0.414
    """
    require("feed", feed, 0.0, 1e-3, "kg/s")
    require("protein_share", protein_share, 0.05, 0.9, "1")
    return feed * protein_share * AMMONIA_OF_PROTEIN


def oxygen_for_nitrification(*, nitrogen: KilogramPerSecond) -> KilogramPerSecond:
    """Oxygen used where ammonia nitrogen is turned to nitrate; 6 to 8 % less where the bacteria grow much.

    Inputs:
        nitrogen: ammonia nitrogen turned over; 0 to 1e-3

    Source: stoichiometry, 2 O2 a nitrogen, 4.57 kg/kg.

    >>> round(oxygen_for_nitrification(nitrogen=1e-6) * 1e6, 2)
    4.57
    """
    require("nitrogen", nitrogen, 0.0, 1e-3, "kg/s")
    return nitrogen * OXYGEN_OF_NITROGEN


def alkalinity_for_nitrification(*, nitrogen: KilogramPerSecond) -> KilogramPerSecond:
    """Alkalinity, as calcium carbonate, used where ammonia nitrogen is turned to nitrate.

    Inputs:
        nitrogen: ammonia nitrogen turned over; 0 to 1e-3

    Source: stoichiometry, 2 acids a nitrogen, 7.14 kg/kg as CaCO3.

    >>> round(alkalinity_for_nitrification(nitrogen=1e-6) * 1e6, 2)
    7.15
    """
    require("nitrogen", nitrogen, 0.0, 1e-3, "kg/s")
    return nitrogen * ALKALINITY_OF_NITROGEN


def nitrate_from_nitrogen(*, nitrogen: KilogramPerCubicMetre) -> KilogramPerCubicMetre:
    """Nitrate, as most test kits count it, of a concentration of nitrate nitrogen.

    Inputs:
        nitrogen: nitrate nitrogen; 0 to 10

    Source: molar masses, 62.004 over 14.007.

    >>> round(nitrate_from_nitrogen(nitrogen=0.010) * 1000, 1)  # 10 mg N/L
    44.3
    """
    require("nitrogen", nitrogen, 0.0, 10.0, "kg/m**3")
    return nitrogen * NITRATE_OF_NITROGEN


def nitrification_capacity(
    *,
    media_volume: CubicMetre,
    rate: KilogramPerCubicMetreSecond,
    temperature: Kelvin = 298.15,
    temperature_factor: Dimensionless = 1.03,
) -> KilogramPerSecond:
    """Ammonia nitrogen that grown-in filter media turn over at most, when there is plenty of it.

    Inputs:
        media_volume: volume of the sponge or other media; 0 to 100
        rate: turned over in a volume of media at 25 °C, sponges perhaps 50 to 150 g/m3 a day; 0 to 1e-3
        temperature: water temperature; 278.15 to 308.15
        temperature_factor: how the rate grows with each kelvin, films 1.01 to 1.05, free cells 1.10; 1 to 1.15

    Source: rate x volume; sponge rates are assumed, no source at the ammonia of an aquarium; the factor for
    films, which are short of oxygen inside, after S. Zhu and S. Chen (2002), Aquacultural Engineering 26, 221,
    from memory. An ammonia test shows the truth.

    >>> round(nitrification_capacity(media_volume=1e-3, rate=0.1 / 86400) * 86400e6)  # mg/d
    100
    """
    require("media_volume", media_volume, 0.0, 100.0, "m**3")
    require("rate", rate, 0.0, 1e-3, "kg/(m**3*s)")
    require("temperature", temperature, 278.15, 308.15, "K")
    require("temperature_factor", temperature_factor, 1.0, 1.15, "1")
    return float(media_capacity(media_volume, rate, temperature, temperature_factor))


def nitrification_rate(
    *,
    capacity: KilogramPerSecond,
    ammonia: KilogramPerCubicMetre,
    half_saturation: KilogramPerCubicMetre = 1e-3,
) -> KilogramPerSecond:
    """Ammonia nitrogen that a filter turns over at the little ammonia a tank should have.

    Inputs:
        capacity: what it turns over when there is plenty; 0 to 1e-2
        ammonia: total ammonia nitrogen; 0 to 1
        half_saturation: ammonia at which half the capacity works, 0.5 to 1 mg/L; 1e-5 to 1e-2

    Source: Monod's law, C / (K + C); half saturation of the activated sludge models, from memory.

    >>> round(nitrification_rate(capacity=1e-6, ammonia=0.5e-3) * 1e6, 3)  # a third
    0.333
    """
    require("capacity", capacity, 0.0, 1e-2, "kg/s")
    require("ammonia", ammonia, 0.0, 1.0, "kg/m**3")
    require("half_saturation", half_saturation, 1e-5, 1e-2, "kg/m**3")
    return capacity * ammonia / (half_saturation + ammonia)


def steady_ammonia(
    *,
    load: KilogramPerSecond,
    capacity: KilogramPerSecond,
    half_saturation: KilogramPerCubicMetre = 1e-3,
    inflow: CubicMetrePerSecond = 0.0,
    source_ammonia: KilogramPerCubicMetre = 0.0,
) -> KilogramPerCubicMetre:
    """Total ammonia nitrogen at which filter and drip together keep up with what is made.

    Inputs:
        load: ammonia nitrogen made; 0 to 1e-3
        capacity: what the filter turns over when there is plenty; 0 to 1e-2
        half_saturation: ammonia at which half the capacity works, 0.5 to 1 mg/L; 1e-5 to 1e-2
        inflow: new water dripped in; 0 to 1
        source_ammonia: ammonia nitrogen of the new water; 0 to 0.1

    Source: mass balance of a stirred tank with Monod's law; without inflow K load / (capacity - load).

    >>> daily = 1e-6 / 86400  # 1 mg/d
    >>> round(steady_ammonia(load=50 * daily, capacity=150 * daily) * 1000, 3)  # mg/L
    0.5
    """
    require("load", load, 0.0, 1e-3, "kg/s")
    require("capacity", capacity, 0.0, 1e-2, "kg/s")
    require("half_saturation", half_saturation, 1e-5, 1e-2, "kg/m**3")
    require("inflow", inflow, 0.0, 1.0, "m**3/s")
    require("source_ammonia", source_ammonia, 0.0, 0.1, "kg/m**3")
    settled = float(settled_ammonia(load + inflow * source_ammonia, capacity, half_saturation, inflow))
    if math.isinf(settled):
        raise OutsideValidRange("load", load, 0.0, capacity, "kg/s")
    return settled


def steady_nitrate(
    *, load: KilogramPerSecond, inflow: CubicMetrePerSecond, source_nitrate: KilogramPerCubicMetre = 0.0
) -> KilogramPerCubicMetre:
    """Nitrate at which a tank with a steady drip settles; load and answer both as NO3 or both as nitrogen.

    Inputs:
        load: nitrate made; 0 to 1e-2
        inflow: new water dripped in; 1e-12 to 1
        source_nitrate: nitrate of the new water; 0 to 1

    Source: mass balance of a stirred tank; plants and denitrification, which help, left out.

    >>> week = 604800.0
    >>> round(steady_nitrate(load=1e-3 / week, inflow=0.05 / week) * 1000, 6)  # 10 mg/L and half of 100 L a week
    20.0
    """
    require("load", load, 0.0, 1e-2, "kg/s")
    require("inflow", inflow, 1e-12, 1.0, "m**3/s")
    require("source_nitrate", source_nitrate, 0.0, 1.0, "kg/m**3")
    return source_nitrate + load / inflow


def nitrate_after(
    *,
    start_nitrate: KilogramPerCubicMetre,
    load: KilogramPerSecond,
    tank_volume: CubicMetre,
    time: Second,
    inflow: CubicMetrePerSecond = 0.0,
    source_nitrate: KilogramPerCubicMetre = 0.0,
) -> KilogramPerCubicMetre:
    """Nitrate after a time under a steady drip, or with no change of water at all.

    Inputs:
        start_nitrate: nitrate at the start; 0 to 10
        load: nitrate made; 0 to 1e-2
        tank_volume: volume of water in the tank; 1e-6 to 1e6
        time: time gone by; 0 to 3.2e8
        inflow: new water dripped in; 0 to 1
        source_nitrate: nitrate of the new water; 0 to 1

    Source: mass balance of a stirred tank, closed form.

    >>> week = 604800.0
    >>> after = nitrate_after(start_nitrate=0.0, load=1e-3 / week, tank_volume=0.1, time=2 * week, inflow=0.05 / week)
    >>> round(after * 1000, 2)
    12.64
    """
    require("start_nitrate", start_nitrate, 0.0, 10.0, "kg/m**3")
    require("load", load, 0.0, 1e-2, "kg/s")
    require("tank_volume", tank_volume, 1e-6, 1e6, "m**3")
    require("time", time, 0.0, 3.2e8, "s")
    require("inflow", inflow, 0.0, 1.0, "m**3/s")
    require("source_nitrate", source_nitrate, 0.0, 1.0, "kg/m**3")
    gain = (load + inflow * source_nitrate) / tank_volume
    return float(approached(start_nitrate, gain, inflow / tank_volume, time))


def nitrate_before_change(
    *,
    rise: KilogramPerCubicMetre,
    changed_share: Dimensionless,
    source_nitrate: KilogramPerCubicMetre = 0.0,
) -> KilogramPerCubicMetre:
    """Nitrate just before each change of water, the peak, once many like it have been made.

    Inputs:
        rise: nitrate made from one change to the next, over the volume of the tank; 0 to 10
        changed_share: share of the water changed each time; 0.001 to 1
        source_nitrate: nitrate of the new water; 0 to 1

    Source: geometric series of equal changes, source + rise / share.

    >>> round(nitrate_before_change(rise=0.010, changed_share=0.25) * 1000, 6)
    40.0
    """
    require("rise", rise, 0.0, 10.0, "kg/m**3")
    require("changed_share", changed_share, 0.001, 1.0, "1")
    require("source_nitrate", source_nitrate, 0.0, 1.0, "kg/m**3")
    return source_nitrate + rise / changed_share


def nitrate_after_changes(
    *,
    rise: KilogramPerCubicMetre,
    changed_share: Dimensionless,
    changes: Dimensionless,
    start_nitrate: KilogramPerCubicMetre = 0.0,
    source_nitrate: KilogramPerCubicMetre = 0.0,
) -> KilogramPerCubicMetre:
    """Nitrate just after the last of a number of equal changes, each with its rise before it.

    Inputs:
        rise: nitrate made from one change to the next, over the volume of the tank; 0 to 10
        changed_share: share of the water changed each time; 0.001 to 1
        changes: number of changes; 0 to 1e5
        start_nitrate: nitrate at the start; 0 to 10
        source_nitrate: nitrate of the new water; 0 to 1

    Source: geometric series of equal changes.

    >>> round(nitrate_after_changes(rise=0.010, changed_share=0.25, changes=1000) * 1000, 6)
    30.0
    """
    require("rise", rise, 0.0, 10.0, "kg/m**3")
    require("changed_share", changed_share, 0.001, 1.0, "1")
    require("changes", changes, 0.0, 1e5, "1")
    require("start_nitrate", start_nitrate, 0.0, 10.0, "kg/m**3")
    require("source_nitrate", source_nitrate, 0.0, 1.0, "kg/m**3")
    settled = source_nitrate + rise * (1.0 - changed_share) / changed_share
    return float(settled + (start_nitrate - settled) * (1.0 - changed_share) ** changes)


def change_for_nitrate(
    *,
    load: KilogramPerSecond,
    target_nitrate: KilogramPerCubicMetre,
    source_nitrate: KilogramPerCubicMetre = 0.0,
) -> CubicMetrePerSecond:
    """New water to drip in so that nitrate settles at a target; none is enough when the source has no less.

    Inputs:
        load: nitrate made; 0 to 1e-2
        target_nitrate: nitrate wanted; 1e-6 to 10
        source_nitrate: nitrate of the new water; 0 to 1

    Source: mass balance of a stirred tank, solved for the inflow.

    >>> week = 604800.0
    >>> round(change_for_nitrate(load=1e-3 / week, target_nitrate=0.020) * week * 1000, 6)  # L a week
    50.0
    """
    require("load", load, 0.0, 1e-2, "kg/s")
    require("target_nitrate", target_nitrate, 1e-6, 10.0, "kg/m**3")
    require("source_nitrate", source_nitrate, 0.0, 1.0, "kg/m**3")
    if target_nitrate <= source_nitrate:
        raise OutsideValidRange("target_nitrate", target_nitrate, source_nitrate, 10.0, "kg/m**3")
    return load / (target_nitrate - source_nitrate)
