"""Gas of cold water: against later measurements of solubility, and what must hold of any warming."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.constants import STANDARD_PRESSURE
from tankwright.physics.dissolved_gas import GAS_LIMIT, gas_supersaturation

ZERO = 273.15


def share(cold: float, warm: float, pressure: float = STANDARD_PRESSURE) -> float:
    return gas_supersaturation(
        cold_temperature=cold + ZERO, warm_temperature=warm + ZERO, saturation_pressure=pressure
    )


def nitrogen(celsius: float) -> float:
    """µmol/kg in fresh water; R. C. Hamme and S. R. Emerson (2004), Deep-Sea Research I 51, 1517, from memory."""
    scaled = math.log((298.15 - celsius) / (ZERO + celsius))
    return math.exp(6.42931 + 2.92704 * scaled + 4.32531 * scaled**2 + 4.69149 * scaled**3)


def oxygen(celsius: float) -> float:
    """mg/L; Benson and Krause (1984), Limnology and Oceanography 29, 620."""
    t = ZERO + celsius
    return math.exp(-139.34411 + 1.575701e5 / t - 6.642308e7 / t**2 + 1.2438e10 / t**3 - 8.621949e11 / t**4)


@pytest.mark.parametrize(("cold", "warm"), [(5, 25), (10, 25), (10, 28), (15, 26), (20, 25)])
def test_later_measurements_of_solubility_agree(cold: float, warm: float) -> None:
    vapour = 10 ** (8.07131 - 1730.63 / (233.426 + warm)) / 760  # Antoine's equation
    gases = 0.79 * nitrogen(cold) / nitrogen(warm) + 0.21 * oxygen(cold) / oxygen(warm)
    # 1 %: the later nitrogen lies up to 1.5 % above that of Weiss, more in warm water
    assert share(cold, warm) == pytest.approx(gases * (1 - vapour) + vapour, rel=0.01)


@given(st.floats(0.0, 36.0))
def test_unwarmed_water_holds_what_it_can_keep(celsius: float) -> None:
    assert share(celsius, celsius) == pytest.approx(1.0, abs=1e-12)


@given(st.floats(0.0, 34.0), st.floats(0.0, 34.0))
def test_the_more_it_is_warmed_the_more_is_too_much(cold: float, warm: float) -> None:
    assert share(cold, warm + 1.0) > share(cold, warm) > share(cold + 1.0, warm)


def test_winter_mains_warmed_to_the_tank_pass_the_limit() -> None:
    assert share(10, 25) == pytest.approx(1.3, abs=0.05)
    assert share(10, 25) > GAS_LIMIT
    assert share(20, 24) < GAS_LIMIT


def test_air_drawn_in_under_pressure_is_worse() -> None:
    assert share(20, 20, 2 * STANDARD_PRESSURE) == pytest.approx(2.0)
