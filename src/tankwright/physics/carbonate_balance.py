"""Carbon dioxide, bicarbonate and carbonate in a water: from what a keeper measures, and what pH follows from them.

Alkalinity and carbon are kept when waters are poured together; pH is not, it is solved for. Hardness is taken
as calcium where it binds carbonate (magnesium binds it about as firmly); borate, phosphate, humic acids and
sulfate pairs are left out. Litres are taken as kilograms of water: under 1 % up to 45 °C.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tankwright.physics import carbonate
from tankwright.physics.constants import STANDARD_PRESSURE
from tankwright.physics.numerics import root
from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.units import Dimensionless, Kelvin, KilogramPerCubicMetre, MolePerCubicMetre, Pascal

CALCIUM_CARBONATE_MOLAR_MASS = 0.100087
"""kg/mol, CaCO3; one mole is one of hardness and two equivalents of alkalinity. Source: IUPAC atomic weights."""

CARBON_DIOXIDE_MOLAR_MASS = 0.044009
"""kg/mol, CO2. Source: IUPAC atomic weights."""

LOWEST_PH, HIGHEST_PH = 4.0, 10.5
_SOLVED_LOWEST, _SOLVED_HIGHEST = 2.0, 12.0


def co2_from_ph_and_alkalinity(
    *,
    ph: Dimensionless,
    alkalinity: KilogramPerCubicMetre,
    temperature: Kelvin = 298.15,
    ionic_strength: MolePerCubicMetre = 0.0,
    hardness: KilogramPerCubicMetre = 0.0,
) -> KilogramPerCubicMetre:
    """Dissolved carbon dioxide of a water of measured pH and carbonate hardness.

    With ionic strength and hardness at 0 it is the plain form of the charts, 5 to 8 % high in tap water.

    Inputs:
        ph: measured pH; 4 to 10.5
        alkalinity: carbonate hardness, as CaCO3; 0 to 1
        temperature: water temperature; 273.15 to 323.15
        ionic_strength: half the sum of amount times charge squared of all ions; 0 to 100
        hardness: general hardness, as CaCO3; 0 to 2

    Source: equilibrium of carbonic acid, constants of Plummer and Busenberg (1982), Davies' equation.

    >>> round(co2_from_ph_and_alkalinity(ph=7.0, alkalinity=0.0714) * 1000, 1)  # 4 °dKH, mg/L
    14.1
    """
    require("ph", ph, LOWEST_PH, HIGHEST_PH, "1")
    _require_salts(alkalinity, hardness)
    system = _System.of(temperature, ionic_strength, hardness)
    bicarbonate = system.bicarbonate_from_alkalinity(ph, _equivalents(alkalinity))
    return CARBON_DIOXIDE_MOLAR_MASS * 1000.0 * system.dioxide(ph, bicarbonate)


def inorganic_carbon(
    *,
    ph: Dimensionless,
    alkalinity: KilogramPerCubicMetre,
    temperature: Kelvin = 298.15,
    ionic_strength: MolePerCubicMetre = 0.0,
    hardness: KilogramPerCubicMetre = 0.0,
) -> MolePerCubicMetre:
    """All carbon of carbonic acid and its ions in a water of measured pH and carbonate hardness.

    Inputs:
        ph: measured pH; 4 to 10.5
        alkalinity: carbonate hardness, as CaCO3; 0 to 1
        temperature: water temperature; 273.15 to 323.15
        ionic_strength: half the sum of amount times charge squared of all ions; 0 to 100
        hardness: general hardness, as CaCO3; 0 to 2

    Source: equilibrium of carbonic acid, constants of Plummer and Busenberg (1982), Davies' equation.

    >>> round(inorganic_carbon(ph=7.0, alkalinity=0.0714), 2)
    1.75
    """
    require("ph", ph, LOWEST_PH, HIGHEST_PH, "1")
    _require_salts(alkalinity, hardness)
    system = _System.of(temperature, ionic_strength, hardness)
    bicarbonate = system.bicarbonate_from_alkalinity(ph, _equivalents(alkalinity))
    return 1000.0 * system.carbon(ph, bicarbonate)


def ph_of_closed_water(
    *,
    alkalinity: KilogramPerCubicMetre,
    carbon: MolePerCubicMetre,
    temperature: Kelvin = 298.15,
    ionic_strength: MolePerCubicMetre = 0.0,
    hardness: KilogramPerCubicMetre = 0.0,
) -> Dimensionless:
    """pH of a water that neither takes carbon dioxide from the air nor gives it, from its alkalinity and carbon.

    Inputs:
        alkalinity: carbonate hardness, as CaCO3; 0 to 1
        carbon: all carbon of carbonic acid and its ions; 0 to 100
        temperature: water temperature; 273.15 to 323.15
        ionic_strength: half the sum of amount times charge squared of all ions; 0 to 100
        hardness: general hardness, as CaCO3; 0 to 2

    Source: equilibrium of carbonic acid, constants of Plummer and Busenberg (1982), Davies' equation.

    >>> round(ph_of_closed_water(alkalinity=0.0714, carbon=1.7465), 2)
    7.0
    """
    require("carbon", carbon, 0.0, 100.0, "mol/m**3")
    _require_salts(alkalinity, hardness)
    system, wanted = _System.of(temperature, ionic_strength, hardness), _equivalents(alkalinity)

    def alkalinity_at(ph: float) -> float:
        return system.alkalinity(ph, system.bicarbonate_from_carbon(ph, carbon / 1000.0))

    most = alkalinity_at(_SOLVED_HIGHEST) * 1000.0 * CALCIUM_CARBONATE_MOLAR_MASS / 2.0
    require("alkalinity", alkalinity, 0.0, most, "kg/m**3")  # above it is lye, not fresh water
    return root(lambda ph: alkalinity_at(ph) - wanted, _SOLVED_LOWEST, _SOLVED_HIGHEST)


def ph_in_equilibrium_with_air(
    *,
    alkalinity: KilogramPerCubicMetre,
    temperature: Kelvin = 298.15,
    carbon_dioxide_share: Dimensionless = 420e-6,
    ionic_strength: MolePerCubicMetre = 0.0,
    hardness: KilogramPerCubicMetre = 0.0,
    atmospheric_pressure: Pascal = STANDARD_PRESSURE,
) -> Dimensionless:
    """pH of a water that has stood or been stirred in air until it gives and takes no more carbon dioxide.

    Inputs:
        alkalinity: carbonate hardness, as CaCO3; 0 to 1
        temperature: water temperature; 273.15 to 323.15
        carbon_dioxide_share: share of carbon dioxide in the air of the room; 1e-6 to 0.1
        ionic_strength: half the sum of amount times charge squared of all ions; 0 to 100
        hardness: general hardness, as CaCO3; 0 to 2
        atmospheric_pressure: absolute pressure of the surrounding air; 5e4 to 1.1e5

    Source: equilibrium of carbonic acid with the air, constants of Plummer and Busenberg (1982), Davies' equation.

    >>> round(ph_in_equilibrium_with_air(alkalinity=0.0714, ionic_strength=2.0), 2)  # 4 °dKH
    8.32
    """
    _require_salts(alkalinity, hardness)
    system, wanted = _System.of(temperature, ionic_strength, hardness), _equivalents(alkalinity)
    dissolved = co2_in_equilibrium_with_air(
        temperature=temperature,
        carbon_dioxide_share=carbon_dioxide_share,
        atmospheric_pressure=atmospheric_pressure,
    )
    dioxide = dissolved / (1000.0 * CARBON_DIOXIDE_MOLAR_MASS)

    def excess(ph: float) -> float:
        return system.alkalinity(ph, dioxide / system.dioxide(ph, 1.0)) - wanted

    return root(excess, _SOLVED_LOWEST, _SOLVED_HIGHEST)


def co2_in_equilibrium_with_air(
    *,
    temperature: Kelvin = 298.15,
    carbon_dioxide_share: Dimensionless = 420e-6,
    atmospheric_pressure: Pascal = STANDARD_PRESSURE,
) -> KilogramPerCubicMetre:
    """Dissolved carbon dioxide of any fresh water that has settled with the air.

    Inputs:
        temperature: water temperature; 273.15 to 323.15
        carbon_dioxide_share: share of carbon dioxide in the air of the room; 1e-6 to 0.1
        atmospheric_pressure: absolute pressure of the surrounding air; 5e4 to 1.1e5

    Source: Henry's law, constant of Plummer and Busenberg (1982).

    >>> round(co2_in_equilibrium_with_air() * 1000, 2)  # mg/L at 25 °C
    0.63
    """
    require("carbon_dioxide_share", carbon_dioxide_share, 1e-6, 0.1, "1")
    require("atmospheric_pressure", atmospheric_pressure, 5e4, 1.1e5, "Pa")
    pressure = carbon_dioxide_share * atmospheric_pressure / STANDARD_PRESSURE
    solubility = 10.0 ** carbonate.log_henry_constant(temperature)
    return float(CARBON_DIOXIDE_MOLAR_MASS * 1000.0 * solubility * pressure)


def calcite_saturation_index(
    *,
    ph: Dimensionless,
    alkalinity: KilogramPerCubicMetre,
    calcium_hardness: KilogramPerCubicMetre,
    temperature: Kelvin = 298.15,
    ionic_strength: MolePerCubicMetre = 0.0,
) -> Dimensionless:
    """How far a water is from leaving lime: above 0 it can scale, below 0 it dissolves lime, a whole step is tenfold.

    Of general hardness two thirds to four fifths is calcium in most tap waters; sulfate lowers the index a little.

    Inputs:
        ph: measured pH; 4 to 10.5
        alkalinity: carbonate hardness, as CaCO3; 1e-4 to 1
        calcium_hardness: the calcium part of the general hardness, as CaCO3; 1e-4 to 2
        temperature: water temperature; 273.15 to 323.15
        ionic_strength: half the sum of amount times charge squared of all ions; 0 to 100

    Source: ion product over solubility product, constants of Plummer and Busenberg (1982), Davies' equation.

    >>> round(calcite_saturation_index(ph=8.2, alkalinity=0.2, calcium_hardness=0.15, ionic_strength=8.0), 1)
    0.9
    """
    require("ph", ph, LOWEST_PH, HIGHEST_PH, "1")
    require("alkalinity", alkalinity, 1e-4, 1.0, "kg/m**3")
    require("calcium_hardness", calcium_hardness, 1e-4, 2.0, "kg/m**3")
    system = _System.of(temperature, ionic_strength, calcium_hardness)
    bicarbonate = system.bicarbonate_from_alkalinity(ph, _equivalents(alkalinity))
    product = system.calcium_activity(ph, bicarbonate) * system.carbonate_activity(ph, bicarbonate)
    return math.log10(product) - carbonate.log_calcite_solubility(temperature)


@dataclass(frozen=True, slots=True, kw_only=True)
class _System:
    """The equilibria of one water: constants of amounts (activities already put in), in mol/kg.

    Calcium lies free or paired, so the amounts of bicarbonate and of free calcium hang on each other. With `x`
    the bicarbonate, every total of it is x * (weight + bound * calcium) and calcium is total / (1 + paired * x):
    a quadratic with one positive root.
    """

    first: float
    second: float
    water: float
    pair: float
    carbonate_pair: float
    single: float
    double: float
    calcium: float

    @classmethod
    def of(cls, temperature: Kelvin, ionic_strength: float, hardness: float) -> _System:
        one, two = (
            carbonate.activity_coefficient(
                temperature=temperature, ionic_strength=ionic_strength, charge=charge
            )
            for charge in (1.0, 2.0)
        )
        return cls(
            first=10.0 ** carbonate.log_first_dissociation(temperature) / one,
            second=10.0 ** carbonate.log_second_dissociation(temperature) * one / two,
            water=10.0 ** carbonate.log_water_dissociation(temperature),
            pair=10.0 ** carbonate.log_bicarbonate_pairing(temperature) * two,
            carbonate_pair=10.0 ** carbonate.log_carbonate_pairing(temperature) * two * two,
            single=one,
            double=two,
            calcium=hardness / CALCIUM_CARBONATE_MOLAR_MASS / 1000.0,
        )

    def bicarbonate_from_alkalinity(self, ph: float, alkalinity: float) -> float:
        bound = alkalinity - self._from_water(ph)
        if bound < -1e-15:
            highest = root(lambda other: alkalinity - self._from_water(other), _SOLVED_LOWEST, 14.0)
            raise OutsideValidRange("ph", ph, LOWEST_PH, highest, "1")  # more lye than alkalinity in all
        ratio = self._ratio(ph)
        return self._bicarbonate(
            max(bound, 0.0), 1.0 + 2.0 * ratio, self.pair + 2.0 * self.carbonate_pair * ratio, ph
        )

    def bicarbonate_from_carbon(self, ph: float, carbon: float) -> float:
        weight = 1.0 + self._ratio(ph) + self.dioxide(ph, 1.0)
        return self._bicarbonate(carbon, weight, self._paired(ph), ph)

    def alkalinity(self, ph: float, bicarbonate: float) -> float:
        ratio, calcium = self._ratio(ph), self._free_calcium(ph, bicarbonate)
        bound = 1.0 + 2.0 * ratio + calcium * (self.pair + 2.0 * self.carbonate_pair * ratio)
        return bicarbonate * bound + self._from_water(ph)

    def carbon(self, ph: float, bicarbonate: float) -> float:
        paired = self._free_calcium(ph, bicarbonate) * self._paired(ph)
        return bicarbonate * (1.0 + self._ratio(ph) + paired) + self.dioxide(ph, bicarbonate)

    def dioxide(self, ph: float, bicarbonate: float) -> float:
        return float(bicarbonate * 10.0**-ph / self.first)

    def calcium_activity(self, ph: float, bicarbonate: float) -> float:
        return self.double * self._free_calcium(ph, bicarbonate)

    def carbonate_activity(self, ph: float, bicarbonate: float) -> float:
        return self.double * self._ratio(ph) * bicarbonate

    def _ratio(self, ph: float) -> float:
        """Carbonate over bicarbonate."""
        return float(self.second / 10.0**-ph)

    def _paired(self, ph: float) -> float:
        """Paired over free calcium, for each mol/kg of bicarbonate."""
        return self.pair + self.carbonate_pair * self._ratio(ph)

    def _from_water(self, ph: float) -> float:
        """Hydroxide less hydrogen ions."""
        return float((self.water / 10.0**-ph - 10.0**-ph) / self.single)

    def _free_calcium(self, ph: float, bicarbonate: float) -> float:
        return self.calcium / (1.0 + self._paired(ph) * bicarbonate)

    def _bicarbonate(self, total: float, weight: float, bound: float, ph: float) -> float:
        paired = self._paired(ph)
        middle = weight + self.calcium * bound - total * paired
        deep = math.sqrt(middle * middle + 4.0 * weight * paired * total)
        # of the two forms of the root the one without a difference of near numbers
        return 2.0 * total / (middle + deep) if middle > 0.0 else (deep - middle) / (2.0 * weight * paired)


def _equivalents(alkalinity: KilogramPerCubicMetre) -> float:
    """Alkalinity in equivalents a kg of water."""
    return 2.0 * alkalinity / CALCIUM_CARBONATE_MOLAR_MASS / 1000.0


def _require_salts(alkalinity: float, hardness: float) -> None:
    require("alkalinity", alkalinity, 0.0, 1.0, "kg/m**3")
    require("hardness", hardness, 0.0, 2.0, "kg/m**3")
