"""Chlorine and chloramine of the mains: what takes them out, and how fast untreated water builds up in a tank."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.physics.water_arrays import approached, time_to_approach
from tankwright.units import (
    CubicMetre,
    CubicMetrePerSecond,
    Dimensionless,
    Kilogram,
    KilogramPerCubicMetre,
    PerSecond,
    Second,
)

CAUTION = (
    "Screening only: the real demand changes with pH, time and the form of the chlorine. Measure total chlorine "
    "after dosing and before the water meets a fish."
)

CHLORINE_LIMIT = 2e-5
"""kg/m3 (0.02 mg/L) of total chlorine, below which it is already called toxic to aquatic life. Source: WEF Manual
of Practice 8 / ASCE 76."""

NITROGEN_OF_CHLORAMINE = 14.007 / 70.906
"""kg of ammonia nitrogen a kg of monochloramine counted as Cl2, 0.198. Source: molar masses of N and Cl2."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Agent:
    """What takes chlorine out: kg of it a kg of chlorine, with the bounds theory gives, and if it does chloramine."""

    name: str
    field: float
    least: float
    most: float
    note: str


_BISULFITE, _METABISULFITE, _SULFITE, _CALCIUM = 104.06, 190.11, 126.04, 152.2
_CHLORINE, _THIOSULFATE, _ASCORBIC, _ASCORBATE = 70.906, 248.18, 176.12, 198.11

AGENTS: Final = MappingProxyType({
    agent.name: agent
    for agent in (
        Agent(name="sodium bisulfite", field=1.61, least=_BISULFITE / _CHLORINE, most=1.61, note="takes oxygen too"),
        Agent(name="sodium metabisulfite", field=1.47, least=_METABISULFITE / 2 / _CHLORINE, most=1.47,
              note="takes oxygen too"),
        Agent(name="sodium sulfite", field=1.96, least=_SULFITE / _CHLORINE, most=1.96, note="takes oxygen too"),
        Agent(name="sodium thiosulfate", field=1.9, least=_THIOSULFATE / 4 / _CHLORINE,
              most=2 * _THIOSULFATE / _CHLORINE, note="slow with chloramine; leaves its ammonia"),
        Agent(name="calcium thiosulfate", field=1.22, least=_CALCIUM / 4 / _CHLORINE,
              most=2 * _CALCIUM / _CHLORINE, note="slow with chloramine; leaves its ammonia"),
        Agent(name="ascorbic acid", field=2.5, least=_ASCORBIC / _CHLORINE, most=2.5,
              note="hardly works on chloramine; takes alkalinity"),
        Agent(name="sodium ascorbate", field=2.8, least=_ASCORBATE / _CHLORINE, most=2.8,
              note="hardly works on chloramine"),
    )
})  # fmt: skip
"""Agents by name. `field` is kg a kg of chlorine at pH 7, Table 7-2 of the AWWA field guide Disinfection of
Pipelines and Storage Facilities; `least` and `most` are bounds by the molar masses, of the thiosulfates from all
the way to sulfate to no further than tetrathionate. Chloramine: Basu and De Souza (2011), Journal of Water
Supply 60, 167. "Takes oxygen" and "takes alkalinity": chemistry, from memory."""


def thiosulfate_dose(
    *, chlorine: KilogramPerCubicMetre, water_volume: CubicMetre, per_chlorine: Dimensionless = 1.9
) -> Kilogram:
    """Sodium thiosulfate to take the chlorine out of a volume of water.

    By theory the need lies anywhere from 0.875 (all the way to sulfate) to 7.0 (only to tetrathionate), crystals
    with five waters. It falls as pH rises. Common hobby practice doses 7, the careful end. Of chloramine it
    leaves the ammonia.

    Inputs:
        chlorine: total chlorine measured, as Cl2; 0 to 0.1
        water_volume: volume of new water; 0 to 1e6
        per_chlorine: kg of thiosulfate a kg of chlorine; 0.875 to 7

    Source: 1.9 at pH 7: AWWA field guide Disinfection of Pipelines and Storage Facilities, Table 7-2; the
    bounds: molar masses, 248.18 over 70.906.

    >>> round(thiosulfate_dose(chlorine=2e-3, water_volume=0.1) * 1e6)  # mg for 100 L at 2 mg/L
    380
    """
    require("chlorine", chlorine, 0.0, 0.1, "kg/m**3")
    require("water_volume", water_volume, 0.0, 1e6, "m**3")
    require("per_chlorine", per_chlorine, 0.875, 7.0, "1")
    return chlorine * water_volume * per_chlorine


def ascorbate_dose(
    *, chlorine: KilogramPerCubicMetre, water_volume: CubicMetre, per_chlorine: Dimensionless = 2.8
) -> Kilogram:
    """Sodium ascorbate (or with 2.5 ascorbic acid) to take the free chlorine out of a volume of water.

    It hardly works on chloramine. Ascorbic acid takes alkalinity with it, the sodium salt does not.

    Inputs:
        chlorine: free chlorine measured, as Cl2; 0 to 0.1
        water_volume: volume of new water; 0 to 1e6
        per_chlorine: kg of agent a kg of chlorine, 2.8 the sodium salt, 2.5 the acid; 2.48 to 6

    Source: AWWA field guide Disinfection of Pipelines and Storage Facilities, Table 7-2; theory 2.484 and 2.794
    by molar masses; chloramine: Basu and De Souza (2011), Journal of Water Supply 60, 167.

    >>> round(ascorbate_dose(chlorine=2e-3, water_volume=0.1) * 1e6)  # mg for 100 L at 2 mg/L
    560
    """
    require("chlorine", chlorine, 0.0, 0.1, "kg/m**3")
    require("water_volume", water_volume, 0.0, 1e6, "m**3")
    require("per_chlorine", per_chlorine, 2.48, 6.0, "1")
    return chlorine * water_volume * per_chlorine


def ammonia_from_chloramine(*, chloramine: KilogramPerCubicMetre) -> KilogramPerCubicMetre:
    """Ammonia nitrogen that chloramine leaves behind once its chlorine is taken out.

    Inputs:
        chloramine: monochloramine measured, as Cl2; 0 to 0.1

    Source: molar masses, 14.007 over 70.906, one nitrogen for each chlorine molecule's worth.

    >>> round(ammonia_from_chloramine(chloramine=3e-3) * 1000, 2)  # 3 mg/L
    0.59
    """
    require("chloramine", chloramine, 0.0, 0.1, "kg/m**3")
    return chloramine * NITROGEN_OF_CHLORAMINE


def chlorine_in_dripped_tank(
    *,
    inflow: CubicMetrePerSecond,
    tank_volume: CubicMetre,
    source_chlorine: KilogramPerCubicMetre,
    time: Second,
    decay: PerSecond = 0.0,
    demand: KilogramPerCubicMetre = 0.0,
    start_chlorine: KilogramPerCubicMetre = 0.0,
) -> KilogramPerCubicMetre:
    """Chlorine in a stirred tank some time after untreated mains water began to drip in.

    Inputs:
        inflow: new water dripped in; 0 to 1
        tank_volume: volume of water in the tank; 1e-6 to 1e6
        source_chlorine: total chlorine of the new water; 0 to 0.1
        time: time since it began; 0 to 1e9
        decay: share that fades each second in the tank, 0 the worst case; 0 to 1
        demand: chlorine that dirt takes at once out of each volume of new water; 0 to 0.1
        start_chlorine: chlorine in the tank at the start; 0 to 0.1

    Source: mass balance of a stirred tank, closed form; decay of the first order.

    >>> tenth_a_day = 0.006 / 86400
    >>> after = chlorine_in_dripped_tank(inflow=tenth_a_day, tank_volume=0.06, source_chlorine=2e-3, time=6 * 3600)
    >>> round(after * 1000, 2)  # mg/L
    0.05
    """
    _require_drip(inflow, tank_volume, source_chlorine, decay, demand)
    require("time", time, 0.0, 1e9, "s")
    require("start_chlorine", start_chlorine, 0.0, 0.1, "kg/m**3")
    turnover = inflow / tank_volume
    gain = turnover * max(source_chlorine - demand, 0.0)
    return float(approached(start_chlorine, gain, turnover + decay, time))


def time_to_chlorine(
    *,
    inflow: CubicMetrePerSecond,
    tank_volume: CubicMetre,
    source_chlorine: KilogramPerCubicMetre,
    limit: KilogramPerCubicMetre = CHLORINE_LIMIT,
    decay: PerSecond = 0.0,
    demand: KilogramPerCubicMetre = 0.0,
) -> Second:
    """Time from clean water until dripped mains water has brought a tank to a limit of chlorine.

    Refused where the tank settles below the limit: then there is no such time.

    Inputs:
        inflow: new water dripped in; 0 to 1
        tank_volume: volume of water in the tank; 1e-6 to 1e6
        source_chlorine: total chlorine of the new water; 0 to 0.1
        limit: chlorine not to be reached; 1e-7 to 0.1
        decay: share that fades each second in the tank, 0 the worst case; 0 to 1
        demand: chlorine that dirt takes at once out of each volume of new water; 0 to 0.1

    Source: mass balance of a stirred tank, solved for the time; limit of 0.02 mg/L from WEF Manual of
    Practice 8 / ASCE 76.

    >>> tenth_a_day = 0.006 / 86400
    >>> round(time_to_chlorine(inflow=tenth_a_day, tank_volume=0.06, source_chlorine=2e-3) / 3600, 1)  # hours
    2.4
    """
    _require_drip(inflow, tank_volume, source_chlorine, decay, demand)
    require("limit", limit, 1e-7, 0.1, "kg/m**3")
    turnover = inflow / tank_volume
    gain = turnover * max(source_chlorine - demand, 0.0)
    time = float(time_to_approach(0.0, gain, turnover + decay, limit))
    if math.isinf(time):
        settled = gain / (turnover + decay) if gain > 0.0 else 0.0
        raise OutsideValidRange("limit", limit, 0.0, settled, "kg/m**3")
    return time


def _require_drip(
    inflow: float, tank_volume: float, source_chlorine: float, decay: float, demand: float
) -> None:
    require("inflow", inflow, 0.0, 1.0, "m**3/s")
    require("tank_volume", tank_volume, 1e-6, 1e6, "m**3")
    require("source_chlorine", source_chlorine, 0.0, 0.1, "kg/m**3")
    require("decay", decay, 0.0, 1.0, "1/s")
    require("demand", demand, 0.0, 0.1, "kg/m**3")


def carbon_life(
    *,
    carbon_volume: CubicMetre,
    capacity: KilogramPerCubicMetre,
    chlorine: KilogramPerCubicMetre,
    used_share: Dimensionless = 0.5,
) -> CubicMetre:
    """Water a carbon filter takes the chlorine out of before it should be changed.

    Only within the flow its maker allows. Chloramine wears it out far sooner: give the capacity for chloramine.

    Inputs:
        carbon_volume: volume of the carbon; 0 to 10
        capacity: chlorine that a volume of carbon takes until it breaks through, from its maker; 0 to 1000
        chlorine: total chlorine of the water, measured; 1e-5 to 0.1
        used_share: share of the capacity used up before the change, the rest is the margin; 0.05 to 1

    Source: mass balance; changing at half the life is a house margin, common practice, no source.

    >>> round(carbon_life(carbon_volume=1e-3, capacity=100.0, chlorine=1e-3))  # m3 for 1 L at 1 mg/L
    50
    """
    require("carbon_volume", carbon_volume, 0.0, 10.0, "m**3")
    require("capacity", capacity, 0.0, 1000.0, "kg/m**3")
    require("chlorine", chlorine, 1e-5, 0.1, "kg/m**3")
    require("used_share", used_share, 0.05, 1.0, "1")
    return carbon_volume * capacity * used_share / chlorine
