"""Carbon dioxide and pH from what a keeper measures: worked values, an independent program, what always holds.

PHREEQC (phreeqpython, its database phreeqc.dat) is the independent program. It has its own activity model, all
pairs of ions and its own constants; it is used by tests alone.
"""

import math

import phreeqpython
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.carbonate_balance import (
    calcite_saturation_index,
    co2_from_ph_and_alkalinity,
    co2_in_equilibrium_with_air,
    inorganic_carbon,
    ph_in_equilibrium_with_air,
    ph_of_closed_water,
)
from tankwright.physics.ranges import OutsideValidRange

GERMAN_DEGREE = 0.0178481  # kg CaCO3/m3
LIME = 0.100087  # kg/mol

temperatures = st.floats(273.15, 323.15)
alkalinities = st.floats(0.0, 0.5)
hardnesses = st.floats(0.0, 1.0)
strengths = st.floats(0.0, 50.0)


@pytest.fixture(scope="module")
def phreeqc():
    return phreeqpython.PhreeqPython(database="phreeqc.dat")


# Worked by hand from 44009 * alkalinity * 10^-pH / K1 at 25 C; printed to 0.1 mg/L.
@pytest.mark.parametrize(("kh", "ph", "plain"), [(4, 7.0, 14.1), (8, 7.0, 28.2), (4, 6.4, 56.2)])
def test_plain_form_is_that_of_the_charts(kh, ph, plain):
    assert round(co2_from_ph_and_alkalinity(ph=ph, alkalinity=kh * GERMAN_DEGREE) * 1000, 1) == plain


# PHREEQC runs of waters with calcium bicarbonate at 25 C, to 0.1 mg/L.
@pytest.mark.parametrize(
    ("kh", "ph", "published", "strength"), [(4, 7.0, 13.2, 2.12), (8, 7.0, 26.1, 4.2), (4, 6.4, 52.7, 2.12)]
)
def test_with_activity_it_is_that_of_the_geochemists(kh, ph, published, strength):
    alkalinity = kh * GERMAN_DEGREE
    got = co2_from_ph_and_alkalinity(
        ph=ph, alkalinity=alkalinity, ionic_strength=strength, hardness=alkalinity
    )
    assert got * 1000 == pytest.approx(published, rel=0.012)  # what else those waters held is not printed


@pytest.mark.parametrize("kh", [1, 4, 8, 12])
@pytest.mark.parametrize("ph", [6.4, 7.0, 8.0])
@pytest.mark.parametrize("celsius", [5, 18, 27])
@pytest.mark.parametrize("metal", ["Na", "Ca"])
def test_carbon_dioxide_agrees_with_phreeqc(phreeqc, kh, ph, celsius, metal):
    alkalinity = kh * GERMAN_DEGREE
    equivalents = 2 * alkalinity / LIME
    amount = equivalents if metal == "Na" else equivalents / 2
    water = phreeqc.add_solution(
        {"units": "mmol/kgw", "temp": celsius, "pH": ph, "Alkalinity": equivalents, metal: amount}
    )
    measured = {
        "ph": ph, "alkalinity": alkalinity, "temperature": celsius + 273.15, "ionic_strength": water.I * 1000,
        "hardness": alkalinity if metal == "Ca" else 0.0,
    }  # fmt: skip
    # 1 %: another activity model, and it pairs sodium too
    assert co2_from_ph_and_alkalinity(**measured) == pytest.approx(water.species["CO2"] * 44.009, rel=0.01)
    assert inorganic_carbon(**measured) == pytest.approx(water.total_element("C"), rel=0.01)
    water.forget()


# PHREEQC (vitens.dat), 420 ppm, 25 C: KH in degrees, pH.
AIRED = [(0.5, 7.43), (1, 7.73), (2, 8.03), (4, 8.32), (8, 8.60), (12, 8.76)]


@pytest.mark.parametrize(("kh", "printed"), AIRED)
def test_ph_of_water_that_has_stood_is_that_of_the_table(kh, printed):
    alkalinity = kh * GERMAN_DEGREE
    strength = 2 * alkalinity / LIME  # sodium bicarbonate
    got = ph_in_equilibrium_with_air(alkalinity=alkalinity, ionic_strength=strength)
    assert got == pytest.approx(
        printed, abs=0.015
    )  # its Henry constant is 1.5 % larger: 0.006; printed: 0.005
    assert co2_in_equilibrium_with_air() * 1000 == pytest.approx(
        0.64, abs=0.015
    )  # the same 1.5 %, printed: 0.005


@pytest.mark.parametrize("kh", [kh for kh, _ in AIRED])
def test_stuffy_air_lowers_the_ph_by_a_third_to_half(kh):
    alkalinity = kh * GERMAN_DEGREE
    fresh = ph_in_equilibrium_with_air(alkalinity=alkalinity)
    for share, drop in ((800e-6, 0.3), (1500e-6, 0.55)):
        stuffy = ph_in_equilibrium_with_air(alkalinity=alkalinity, carbon_dioxide_share=share)
        assert fresh - stuffy == pytest.approx(drop, abs=0.055)  # printed as "0.3 to 0.55"


# PHREEQC (vitens.dat), 25 C: pure water with calcite; with and without carbon dioxide. 0.01 in pH and 0.02 in
# the index are the difference of the constants and activities.
def test_lime_with_gas_gives_the_printed_ph_and_is_saturated():
    hardness = 1.655e-3 * LIME * 1000
    salts = {"alkalinity": hardness, "ionic_strength": 4.9}
    ph = ph_in_equilibrium_with_air(**salts, hardness=hardness, carbon_dioxide_share=0.01)
    assert ph == pytest.approx(7.292, abs=0.01)
    assert calcite_saturation_index(ph=7.292, **salts, calcium_hardness=hardness) == pytest.approx(
        0, abs=0.02
    )


def test_lime_in_a_closed_bottle_gives_the_printed_ph_and_is_saturated():
    hardness = 0.123e-3 * LIME * 1000
    salts = {"alkalinity": hardness, "ionic_strength": 0.35}
    assert ph_of_closed_water(**salts, carbon=0.123, hardness=hardness) == pytest.approx(9.907, abs=0.01)
    assert calcite_saturation_index(ph=9.907, **salts, calcium_hardness=hardness) == pytest.approx(
        0, abs=0.02
    )


def test_pure_water_in_air_is_as_acid_as_printed():
    ph = ph_in_equilibrium_with_air(alkalinity=0.0, carbon_dioxide_share=10**-3.5)
    assert ph == pytest.approx(5.656, abs=0.005)


def test_pure_water_in_a_bottle_is_neutral():
    assert ph_of_closed_water(alkalinity=0.0, carbon=0.0) == pytest.approx(13.995 / 2, abs=0.001)


@given(st.floats(6.0, 9.0), st.floats(0.01, 0.5), temperatures, strengths, hardnesses)
def test_a_closed_water_gives_back_its_ph(ph, alkalinity, temperature, strength, hardness):
    kept = {
        "alkalinity": alkalinity, "temperature": temperature, "ionic_strength": strength, "hardness": hardness,
    }  # fmt: skip
    carbon = inorganic_carbon(ph=ph, **kept)
    assert ph_of_closed_water(carbon=carbon, **kept) == pytest.approx(ph, abs=1e-6)


@given(alkalinities, temperatures, strengths, hardnesses, st.floats(3e-4, 2e-3))
def test_standing_water_holds_what_the_air_gives(alkalinity, temperature, strength, hardness, share):
    kept = {
        "alkalinity": alkalinity, "temperature": temperature, "ionic_strength": strength, "hardness": hardness,
    }  # fmt: skip
    ph = ph_in_equilibrium_with_air(carbon_dioxide_share=share, **kept)
    given_by_air = co2_in_equilibrium_with_air(temperature=temperature, carbon_dioxide_share=share)
    held = co2_from_ph_and_alkalinity(ph=ph, **kept)
    # the root is good to 1e-15 in pH; what is left of a tiny alkalinity after acid is taken off is not
    assert held == pytest.approx(given_by_air, rel=1e-6)
    assert ph_of_closed_water(carbon=inorganic_carbon(ph=ph, **kept), **kept) == pytest.approx(ph, abs=1e-6)


@given(st.floats(0.001, 0.4), st.floats(5.0, 8.5), hardnesses)
def test_more_alkalinity_more_gas_less_ph_less_gas(alkalinity, ph, hardness):
    def held(**changed):
        return co2_from_ph_and_alkalinity(
            **({"ph": ph, "alkalinity": alkalinity, "hardness": hardness} | changed)
        )

    assert held(alkalinity=alkalinity * 1.1) > held() > held(ph=ph + 0.1)
    assert held(hardness=hardness + 0.1) < held()


@given(alkalinities, st.floats(0.0, 20.0), st.floats(3e-4, 2e-3))
def test_alkalinity_raises_ph_and_carbon_lowers_it(alkalinity, carbon, share):
    more = alkalinity + 0.01
    assert ph_of_closed_water(alkalinity=more, carbon=carbon + 12.0) > ph_of_closed_water(
        alkalinity=alkalinity, carbon=carbon + 12.0
    )
    assert ph_of_closed_water(alkalinity=more, carbon=carbon + 13.0) < ph_of_closed_water(
        alkalinity=more, carbon=carbon + 12.0
    )
    aired = [ph_in_equilibrium_with_air(alkalinity=a, carbon_dioxide_share=share) for a in (alkalinity, more)]
    assert aired[0] < aired[1]


@given(st.floats(6.0, 9.0), st.floats(0.01, 0.4), st.floats(0.01, 0.4))
def test_a_step_of_ph_is_a_step_of_the_lime_index(ph, alkalinity, hardness):
    salts = {"alkalinity": alkalinity, "calcium_hardness": hardness}
    step = calcite_saturation_index(ph=ph + 0.1, **salts) - calcite_saturation_index(ph=ph, **salts)
    assert 0.0 < step <= 0.1 + 1e-9
    if ph < 7.5:
        assert step == pytest.approx(0.1, abs=0.005)  # above, carbonate takes its part of the alkalinity


def test_half_the_pressure_dissolves_half_the_gas():
    whole, half = (
        co2_in_equilibrium_with_air(atmospheric_pressure=pressure) for pressure in (101325.0, 101325.0 / 2)
    )
    assert half == pytest.approx(whole / 2)


@pytest.mark.parametrize(
    "wrong",
    [{"ph": 15.0}, {"ph": 3.0}, {"alkalinity": -0.01}, {"alkalinity": math.nan}, {"hardness": -0.1},
     {"temperature": 333.15}, {"ionic_strength": 200.0}],
)  # fmt: skip
def test_what_is_no_fresh_water_is_refused(wrong):
    good = {"ph": 7.0, "alkalinity": 0.1, "hardness": 0.1, "temperature": 298.15, "ionic_strength": 5.0}
    for function in (co2_from_ph_and_alkalinity, inorganic_carbon):
        with pytest.raises(OutsideValidRange) as caught:
            function(**(good | wrong))
        assert caught.value.quantity in wrong


def test_a_ph_higher_than_the_alkalinity_allows_is_refused_with_the_highest_possible():
    with pytest.raises(OutsideValidRange) as caught:
        inorganic_carbon(ph=10.0, alkalinity=0.001)
    assert caught.value.quantity == "ph"
    assert caught.value.high == pytest.approx(13.995 + math.log10(0.002 / LIME / 1000), abs=0.001)


def test_lye_is_refused_by_name():
    with pytest.raises(OutsideValidRange) as caught:
        ph_of_closed_water(alkalinity=1.0, carbon=0.0)
    assert caught.value.quantity == "alkalinity"
