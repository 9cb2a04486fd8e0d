"""Ammonia: how much of it is the poisonous gas, and how much of it is held to be too much."""

from __future__ import annotations

from tankwright.physics.ranges import require
from tankwright.physics.water_arrays import acute_ammonia, chronic_ammonia, unionised_share
from tankwright.units import Dimensionless, Kelvin, KilogramPerCubicMetre, MolePerCubicMetre

CAUTION = (
    "A screening of the water, not of the fish: species, stage, oxygen and how fast it came all count. Measure, "
    "and where a fish is ill ask someone licensed to treat it."
)


def unionised_ammonia_fraction(
    *, ph: Dimensionless, temperature: Kelvin, ionic_strength: MolePerCubicMetre = 0.0
) -> Dimensionless:
    """Share of the dissolved ammonia that is NH3, the poisonous form, and not ammonium.

    The correction for dissolved salts reads high, by at most 7 % of a full speciation within its range.

    Inputs:
        ph: pH of the water; 4 to 11
        temperature: water temperature; 273.15 to 323.15
        ionic_strength: ionic strength, 2 in common tap water, 86 in common salt at 5 g/L; 0 to 100

    Source: K. Emerson, R. C. Russo, R. E. Lund and R. V. Thurston (1975), Journal of the Fisheries Research
    Board of Canada 32, 2379-2383, pKa = 0.09018 + 2729.92/T (2727.92 is a misprint that is about); activity
    of ammonium by C. W. Davies (1962), Ion Association, from memory.

    >>> round(unionised_ammonia_fraction(ph=8.0, temperature=298.15), 4)
    0.0537
    """
    require("ph", ph, 4.0, 11.0, "1")
    require("temperature", temperature, 273.15, 323.15, "K")
    require("ionic_strength", ionic_strength, 0.0, 100.0, "mol/m**3")
    return float(unionised_share(ph, temperature, ionic_strength))


def ammonia_acute_criterion(*, ph: Dimensionless, temperature: Kelvin) -> KilogramPerCubicMetre:
    """Total ammonia nitrogen that an hour's mean should not pass, waters without trout and salmon.

    Mussels and snails set it, so it is careful for fish. Below pH 6.5 ammonia harms less: the value at 6.5 is
    then on the careful side. Waters of trout and salmon have another, stricter equation, not given here.

    Inputs:
        ph: pH of the water; 6.5 to 9
        temperature: water temperature; 273.15 to 303.15

    Source: US EPA 822-R-13-001 (2013), Aquatic Life Ambient Water Quality Criteria for Ammonia, Freshwater;
    equation from memory, anchored at the printed 17 mg/L at pH 7 and 20 °C.

    >>> round(ammonia_acute_criterion(ph=8.0, temperature=298.15) * 1000, 2)  # mg/L
    2.58
    """
    _require_table(ph, temperature)
    return float(acute_ammonia(ph, temperature))


def ammonia_chronic_criterion(*, ph: Dimensionless, temperature: Kelvin) -> KilogramPerCubicMetre:
    """Total ammonia nitrogen that a mean of thirty days should not pass; no four days above 2.5 times it.

    Mussels and snails set it, so it is careful for fish. Below pH 6.5 the value at 6.5 is on the careful side.

    Inputs:
        ph: pH of the water; 6.5 to 9
        temperature: water temperature; 273.15 to 303.15

    Source: US EPA 822-R-13-001 (2013), Aquatic Life Ambient Water Quality Criteria for Ammonia, Freshwater;
    equation from memory, anchored at the printed 1.9 mg/L at pH 7 and 20 °C.

    >>> round(ammonia_chronic_criterion(ph=8.0, temperature=298.15) * 1000, 2)  # mg/L
    0.56
    """
    _require_table(ph, temperature)
    return float(chronic_ammonia(ph, temperature))


def _require_table(ph: float, temperature: float) -> None:
    require("ph", ph, 6.5, 9.0, "1")
    require("temperature", temperature, 273.15, 303.15, "K")
