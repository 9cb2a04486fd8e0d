"""The constants of the carbonate system: as printed, and as they go with temperature."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics import carbonate
from tankwright.physics.ranges import OutsideValidRange

PUBLISHED = Path(__file__).parent.parent / "published"
PRINTED = [
    (name, float(value))
    for name, value in (
        line.split(",")
        for line in (PUBLISHED / "carbonate_constants_25c.csv").read_text(encoding="utf-8").splitlines()[2:]
    )
]
ALL = sorted(name for name in vars(carbonate) if name.startswith("log_"))


@pytest.mark.parametrize(("name", "printed"), PRINTED)
def test_constants_at_25_degrees_are_those_of_the_paper(name, printed):
    assert round(getattr(carbonate, name)(298.15), 3) == printed


# The printed equations of Plummer and Busenberg (1982) worked out apart from this program, to four decimals.
@pytest.mark.parametrize(
    ("celsius", "henry", "first", "second", "calcite"),
    [
        (10, -1.2694, -6.4633, -10.4879, -8.4105),
        (20, -1.4069, -6.3819, -10.3756, -8.4533),
        (26, -1.4796, -6.3466, -10.3202, -8.4855),
        (30, -1.5244, -6.3281, -10.2879, -8.5098),
    ],
)
def test_constants_follow_the_temperature(celsius, henry, first, second, calcite):
    t = celsius + 273.15
    assert round(carbonate.log_henry_constant(t), 4) == henry
    assert round(carbonate.log_first_dissociation(t), 4) == first
    assert round(carbonate.log_second_dissociation(t), 4) == second
    assert round(carbonate.log_calcite_solubility(t), 4) == calcite


# phreeqc.dat, after Plummer and Busenberg: 1.106 and 3.224 at 25 C.
def test_pairs_of_calcium_are_those_of_the_paper():
    assert round(carbonate.log_bicarbonate_pairing(298.15), 3) == 1.106
    assert round(carbonate.log_carbonate_pairing(298.15), 3) == 3.224


# IAPWS R11-07, table of pKw at saturation, from memory: 14.95, 13.995, 13.26 at 0, 25, 50 C. The older equation
# used here lies 0.015 off at its ends.
@pytest.mark.parametrize(("celsius", "printed"), [(0, -14.95), (25, -13.995), (50, -13.26)])
def test_water_dissociates_as_printed(celsius, printed):
    assert carbonate.log_water_dissociation(celsius + 273.15) == pytest.approx(printed, abs=0.0155)


# Mean activity coefficients of KCl at 25 C, Robinson and Stokes (1959), from memory: 0.965 at 0.001, 0.901 at 0.01.
@pytest.mark.parametrize(("strength", "printed"), [(1.0, 0.965), (10.0, 0.901)])
def test_activity_of_a_plain_salt_is_that_of_the_tables(strength, printed):
    got = carbonate.activity_coefficient(temperature=298.15, ionic_strength=strength)
    assert got == pytest.approx(printed, abs=0.0015)  # Davies has one curve for all salts


def test_nothing_dissolved_damps_nothing():
    assert carbonate.activity_coefficient(temperature=290.0, ionic_strength=0.0, charge=2.0) == 1.0


@given(st.floats(273.15, 322.0), st.floats(0.0, 90.0))
def test_more_salt_and_more_charge_damp_more(temperature, strength):
    def at(salt, charge):
        return carbonate.activity_coefficient(temperature=temperature, ionic_strength=salt, charge=charge)

    assert at(strength + 1.0, 1.0) < at(strength, 1.0)
    assert at(strength + 1.0, 2.0) == pytest.approx(at(strength + 1.0, 1.0) ** 4)


@given(st.floats(273.15, 322.15))
def test_warm_water_holds_less_gas_and_less_lime(temperature):
    warmer = temperature + 1.0
    assert carbonate.log_henry_constant(warmer) < carbonate.log_henry_constant(temperature)
    assert carbonate.log_calcite_solubility(warmer) < carbonate.log_calcite_solubility(temperature)
    assert carbonate.log_first_dissociation(warmer) > carbonate.log_first_dissociation(temperature)


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("celsius", [-1.0, 60.0])
def test_ice_and_water_too_hot_for_fish_are_refused(name, celsius):
    with pytest.raises(OutsideValidRange):
        getattr(carbonate, name)(celsius + 273.15)
