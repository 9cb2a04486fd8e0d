"""The constants of carbonic acid and calcium carbonate in water, and how strongly its salts damp its ions.

Every constant is given as its decimal logarithm, as it is printed. They hold for amounts in mol per kg of
water and, for the gas, atmospheres. The source goes to 90 °C; water for fish is asked for from 0 to 50 °C.
"""

from __future__ import annotations

import math

from tankwright.physics.constants import ICE_POINT, water_density
from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Kelvin, MolePerCubicMetre

COLDEST = ICE_POINT
HOTTEST = ICE_POINT + 50.0
"""K, the waters this file is asked about."""

MOST_IONIC_STRENGTH = 100.0
"""mol/m3. Davies' equation is trusted to about 0.1 mol/kg, some 6 mS/cm: brackish is refused."""


def log_henry_constant(temperature: Kelvin) -> Dimensionless:
    """Decimal logarithm of the solubility of carbon dioxide, mol per kg of water and atmosphere.

    Inputs:
        temperature: water temperature; 273.15 to 323.15

    Source: L. N. Plummer and E. Busenberg (1982), Geochimica et Cosmochimica Acta 46, 1011-1040.

    >>> round(log_henry_constant(298.15), 3)
    -1.468
    """
    return _analytic(temperature, 108.3865, 0.01985076, -6919.53, -40.45154, 669365.0)


def log_first_dissociation(temperature: Kelvin) -> Dimensionless:
    """Decimal logarithm of the first dissociation constant of carbonic acid, CO2 to HCO3-, mol/kg.

    Inputs:
        temperature: water temperature; 273.15 to 323.15

    Source: L. N. Plummer and E. Busenberg (1982), Geochimica et Cosmochimica Acta 46, 1011-1040.

    >>> round(log_first_dissociation(298.15), 3)
    -6.352
    """
    return _analytic(temperature, -356.3094, -0.06091964, 21834.37, 126.8339, -1684915.0)


def log_second_dissociation(temperature: Kelvin) -> Dimensionless:
    """Decimal logarithm of the second dissociation constant of carbonic acid, HCO3- to CO3--, mol/kg.

    Inputs:
        temperature: water temperature; 273.15 to 323.15

    Source: L. N. Plummer and E. Busenberg (1982), Geochimica et Cosmochimica Acta 46, 1011-1040.

    >>> round(log_second_dissociation(298.15), 3)
    -10.329
    """
    return _analytic(temperature, -107.8871, -0.03252849, 5151.79, 38.92561, -563713.9)


def log_calcite_solubility(temperature: Kelvin) -> Dimensionless:
    """Decimal logarithm of the solubility product of calcite, the lime of kettles and coral sand, (mol/kg)2.

    Inputs:
        temperature: water temperature; 273.15 to 323.15

    Source: L. N. Plummer and E. Busenberg (1982), Geochimica et Cosmochimica Acta 46, 1011-1040.

    >>> round(log_calcite_solubility(298.15), 2)
    -8.48
    """
    return _analytic(temperature, -171.9065, -0.077993, 2839.319, 71.595, 0.0)


def log_aragonite_solubility(temperature: Kelvin) -> Dimensionless:
    """Decimal logarithm of the solubility product of aragonite, the lime of shells, (mol/kg)2.

    Inputs:
        temperature: water temperature; 273.15 to 323.15

    Source: L. N. Plummer and E. Busenberg (1982), Geochimica et Cosmochimica Acta 46, 1011-1040.

    >>> round(log_aragonite_solubility(298.15), 3)
    -8.336
    """
    return _analytic(temperature, -171.9773, -0.077993, 2903.293, 71.595, 0.0)


def log_vaterite_solubility(temperature: Kelvin) -> Dimensionless:
    """Decimal logarithm of the solubility product of vaterite, the loosest calcium carbonate, (mol/kg)2.

    Inputs:
        temperature: water temperature; 273.15 to 323.15

    Source: L. N. Plummer and E. Busenberg (1982), Geochimica et Cosmochimica Acta 46, 1011-1040.

    >>> round(log_vaterite_solubility(298.15), 3)
    -7.913
    """
    return _analytic(temperature, -172.1295, -0.077993, 3074.688, 71.595, 0.0)


def log_bicarbonate_pairing(temperature: Kelvin) -> Dimensionless:
    """Decimal logarithm of the constant by which calcium and bicarbonate pair, Ca++ + HCO3- to CaHCO3+.

    Inputs:
        temperature: water temperature; 273.15 to 323.15

    Source: L. N. Plummer and E. Busenberg (1982), Geochimica et Cosmochimica Acta 46, 1011-1040.

    >>> round(log_bicarbonate_pairing(298.15), 1)
    1.1
    """
    return _analytic(temperature, 1209.120, 0.31294, -34765.05, -478.782, 0.0)


def log_carbonate_pairing(temperature: Kelvin) -> Dimensionless:
    """Decimal logarithm of the constant by which calcium and carbonate pair in solution, Ca++ + CO3-- to CaCO3.

    Inputs:
        temperature: water temperature; 273.15 to 323.15

    Source: L. N. Plummer and E. Busenberg (1982), Geochimica et Cosmochimica Acta 46, 1011-1040.

    >>> round(log_carbonate_pairing(298.15), 1)
    3.2
    """
    return _analytic(temperature, -1228.732, -0.299444, 35512.75, 485.818, 0.0)


def log_water_dissociation(temperature: Kelvin) -> Dimensionless:
    """Decimal logarithm of the ion product of water, (mol/kg)2.

    Inputs:
        temperature: water temperature; 273.15 to 323.15

    Source: W. L. Marshall and E. U. Franck (1981), Journal of Physical and Chemical Reference Data 10(2),
    295-304; coefficients from memory, checked against printed values.

    >>> round(log_water_dissociation(298.15), 2)
    -13.99
    """
    require("temperature", temperature, COLDEST, HOTTEST, "K")
    t = temperature
    fixed = -4.098 - 3245.2 / t + 2.2362e5 / t**2 - 3.984e7 / t**3
    return fixed + (13.957 - 1262.3 / t + 8.5641e5 / t**2) * math.log10(water_density(t) / 1000.0)


def activity_coefficient(
    *, temperature: Kelvin, ionic_strength: MolePerCubicMetre, charge: Dimensionless = 1.0
) -> Dimensionless:
    """Share of its amount with which an ion acts in water that holds other ions, by Davies' equation.

    Inputs:
        temperature: water temperature; 273.15 to 323.15
        ionic_strength: half the sum of amount times charge squared of all ions; 0 to 100
        charge: number of charges of the ion, its sign left out; 0 to 3

    Source: C. W. Davies (1962), Ion Association, with 0.3; the Debye-Hueckel slope from the permittivity of
    C. G. Malmberg and A. A. Maryott (1956), Journal of Research NBS 56, 1; both from memory.

    >>> round(activity_coefficient(temperature=298.15, ionic_strength=10.0), 3)
    0.902
    """
    require("temperature", temperature, COLDEST, HOTTEST, "K")
    require("ionic_strength", ionic_strength, 0.0, MOST_IONIC_STRENGTH, "mol/m**3")
    require("charge", charge, 0.0, 3.0, "1")
    root = math.sqrt(ionic_strength / 1000.0)
    damping = root / (1.0 + root) - 0.3 * ionic_strength / 1000.0
    return float(10.0 ** (-_debye_hueckel_slope(temperature) * charge**2 * damping))


def _debye_hueckel_slope(temperature: Kelvin) -> float:
    t = temperature - ICE_POINT
    permittivity = 87.740 + t * (-0.40008 + t * (9.398e-4 - 1.410e-6 * t))
    density = water_density(temperature) / 1000.0
    return 1.82483e6 * math.sqrt(density / (permittivity * temperature) ** 3)


def _analytic(
    temperature: Kelvin, fixed: float, slope: float, inverse: float, logarithm: float, inverse_square: float
) -> float:
    require("temperature", temperature, COLDEST, HOTTEST, "K")
    t = temperature
    return fixed + slope * t + inverse / t + logarithm * math.log10(t) + inverse_square / t**2
