"""Gas that cold water brings along: warmed in the tank it holds more than it can keep, and fish get bubbles."""

from __future__ import annotations

import math
from typing import Final

from tankwright.physics.constants import STANDARD_PRESSURE
from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Kelvin, Pascal

GAS_LIMIT = 1.10
"""Total pressure of dissolved gas over the pressure of the air, not to be passed. Source: US EPA, Quality Criteria
for Water 1986, 110 %, from memory. Fry are hurt below it."""

# Share of dry air, and the four coefficients of ln C (mL/L, from moist air at one atmosphere), fresh water.
_GASES: Final = (
    (0.78084, (-172.4965, 248.4262, 143.0738, -21.7120)),  # nitrogen
    (0.20946, (-173.4292, 249.6339, 143.3483, -21.8492)),  # oxygen
    (0.00934, (-173.5146, 245.4510, 141.8222, -21.8020)),  # argon
)
_OTHERS = 1.0 - sum(
    share for share, _ in _GASES
)  # carbon dioxide and the rest, taken to behave like nitrogen


def gas_supersaturation(
    *,
    cold_temperature: Kelvin,
    warm_temperature: Kelvin,
    saturation_pressure: Pascal = STANDARD_PRESSURE,
    air_pressure: Pascal = STANDARD_PRESSURE,
) -> Dimensionless:
    """Total pressure of the dissolved gas over that of the air, once cold water is warmed and none has left.

    The worst case: a drip that falls through air, or water stood and stirred, has let much of it go.

    Inputs:
        cold_temperature: temperature at which the water took up its air; 273.15 to 309.15
        warm_temperature: temperature in the tank; 273.15 to 309.15
        saturation_pressure: absolute pressure at which it took up its air, more where a pump draws air; 5e4 to 1e6
        air_pressure: pressure of the air at the tank; 5e4 to 1.1e5

    Source: R. F. Weiss (1970), Deep-Sea Research 17, 721-735, equation 4 for nitrogen, oxygen and argon, measured
    up to 36 °C, used so by J. Colt (1984), Computation of Dissolved Gas Concentrations in Water; vapour pressure of
    water as the USGS tables of dissolved oxygen have it, from memory.

    >>> round(gas_supersaturation(cold_temperature=283.15, warm_temperature=298.15), 2)
    1.33
    """
    require("cold_temperature", cold_temperature, 273.15, 309.15, "K")
    require("warm_temperature", warm_temperature, 273.15, 309.15, "K")
    require("saturation_pressure", saturation_pressure, 5e4, 1e6, "Pa")
    require("air_pressure", air_pressure, 5e4, 1.1e5, "Pa")
    cold_vapour, warm_vapour = _vapour_pressure(cold_temperature), _vapour_pressure(warm_temperature)
    # Solubility a pascal of the dry gas is what moist air gives, over the pressure the vapour leaves it.
    dry_ratio = (STANDARD_PRESSURE - warm_vapour) / (STANDARD_PRESSURE - cold_vapour)
    dissolved = saturation_pressure - cold_vapour
    gas_pressure = 0.0
    for index, (share, coefficients) in enumerate(_GASES):
        kept = share + (_OTHERS if index == 0 else 0.0)
        less_soluble = math.exp(_ln_solubility(coefficients, cold_temperature)
                                - _ln_solubility(coefficients, warm_temperature))  # fmt: skip
        gas_pressure += kept * dissolved * less_soluble * dry_ratio
    return (gas_pressure + warm_vapour) / air_pressure


def _ln_solubility(coefficients: tuple[float, float, float, float], temperature: float) -> float:
    first, second, third, fourth = coefficients
    hundreds = temperature / 100.0
    return first + second / hundreds + third * math.log(hundreds) + fourth * hundreds


def _vapour_pressure(temperature: float) -> float:
    return STANDARD_PRESSURE * math.exp(11.8571 - 3840.70 / temperature - 216961.0 / temperature**2)
