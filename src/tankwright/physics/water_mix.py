"""Waters poured together: the share that gives a target, and what their conductivity says of their salts.

Hardness, alkalinity, carbon, chloride, nitrate add up by shares. Conductivity nearly does: ions hinder each
other more in the harder water, so a blend conducts more than the straight line says. Tap waters among each
other to 4 %; half hard and half purified water to 6 %, a fifth of very hard water to 11 %.
"""

from __future__ import annotations

import math

from tankwright.physics.carbonate import MOST_IONIC_STRENGTH, activity_coefficient
from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, MolePerCubicMetre, SiemensPerMetre

_IONIC_STRENGTH_OF_CONDUCTIVITY = 160.0
"""mol/m3 for each S/m, that is 1.6e-5 mol/L for each uS/cm."""

# Charge and molar conductivity of an equivalent without limit of dilution, S m2/mol, 25 °C. Source: R. A. Robinson
# and R. H. Stokes, Electrolyte Solutions, 2nd edition (1959), appendix 6.2; from memory.
_IONS = {
    "calcium": (2, 59.50e-4), "magnesium": (2, 53.05e-4), "sodium": (1, 50.10e-4), "potassium": (1, 73.50e-4),
    "bicarbonate": (1, 44.50e-4), "chloride": (1, 76.35e-4), "sulfate": (2, 80.02e-4),
    "nitrate": (1, 71.46e-4),
}  # fmt: skip


def blend_share(*, target: Dimensionless, first: Dimensionless, second: Dimensionless) -> Dimensionless:
    """Share of the first of two waters that brings a blend of them to a target.

    For whatever adds up by shares (hardness, alkalinity, chloride, nearly conductivity), never for pH. All
    three in the same unit. A target that no blend of the two reaches is refused.

    Inputs:
        target: what the blend shall have; 0 to 1e6
        first: what the first water has; 0 to 1e6
        second: what the second water has; 0 to 1e6

    Source: mass balance.

    >>> round(blend_share(target=4.0, first=16.0, second=0.5), 3)  # °dKH: tap water and purified water
    0.226
    """
    require("target", target, 0.0, 1e6, "1")
    require("first", first, 0.0, 1e6, "1")
    require("second", second, 0.0, 1e6, "1")
    require("target", target, min(first, second), max(first, second), "1")
    return 1.0 if first == second else (target - second) / (first - second)


def ionic_strength_from_conductivity(conductivity: SiemensPerMetre) -> MolePerCubicMetre:
    """Ionic strength of a fresh water from its conductivity at 25 °C, to about a quarter.

    Inputs:
        conductivity: electrical conductivity at 25 °C, as meters show it; 0 to 0.6

    Source: 1.6e-5 mol/L for each uS/cm, V. L. Snoeyink and D. Jenkins (1980), Water Chemistry; from memory.

    >>> round(ionic_strength_from_conductivity(0.05), 2)  # 500 uS/cm
    8.0
    """
    require("conductivity", conductivity, 0.0, 0.6, "S/m")
    return _IONIC_STRENGTH_OF_CONDUCTIVITY * conductivity


def conductivity_from_ions(
    *,
    calcium: MolePerCubicMetre = 0.0,
    magnesium: MolePerCubicMetre = 0.0,
    sodium: MolePerCubicMetre = 0.0,
    potassium: MolePerCubicMetre = 0.0,
    bicarbonate: MolePerCubicMetre = 0.0,
    chloride: MolePerCubicMetre = 0.0,
    sulfate: MolePerCubicMetre = 0.0,
    nitrate: MolePerCubicMetre = 0.0,
) -> SiemensPerMetre:
    """Conductivity at 25 °C of a water whose ions are known, as from a supplier's report.

    Ions that pair (calcium with sulfate, bicarbonate) are taken as free: up to 7 % high in hard water. Acid is
    left out: low for rain.

    Inputs:
        calcium: amount of calcium; 0 to 20
        magnesium: amount of magnesium; 0 to 20
        sodium: amount of sodium; 0 to 100
        potassium: amount of potassium; 0 to 100
        bicarbonate: amount of bicarbonate, about the alkalinity in equivalents; 0 to 100
        chloride: amount of chloride; 0 to 100
        sulfate: amount of sulfate; 0 to 20
        nitrate: amount of nitrate; 0 to 100

    Source: conductivities of ions of Robinson and Stokes (1959), damped by the activity coefficient to the power
    0.6 over the root of the charge, C. A. J. Appelo (2010), Specific conductance; both from memory.

    >>> round(conductivity_from_ions(potassium=1.0, chloride=1.0) * 1e4, 1)  # 147 uS/cm is certified
    146.7
    """
    amounts = {
        "calcium": calcium, "magnesium": magnesium, "sodium": sodium, "potassium": potassium,
        "bicarbonate": bicarbonate, "chloride": chloride, "sulfate": sulfate, "nitrate": nitrate,
    }  # fmt: skip
    for name, amount in amounts.items():
        require(name, amount, 0.0, 20.0 if _IONS[name][0] == 2 else 100.0, "mol/m**3")
    strength = sum(amount * _IONS[name][0] ** 2 for name, amount in amounts.items()) / 2.0
    require("ionic_strength", strength, 0.0, MOST_IONIC_STRENGTH, "mol/m**3")
    total = 0.0
    for name, amount in amounts.items():
        charge, conductivity = _IONS[name]
        damping = activity_coefficient(temperature=298.15, ionic_strength=strength, charge=charge)
        total += charge * conductivity * amount * float(damping ** (0.6 / math.sqrt(charge)))
    return total
