"""Ammonia: the equation against printed tables and a full speciation, the criteria against their printed anchors."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import phreeqc
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.ammonia import (
    ammonia_acute_criterion,
    ammonia_chronic_criterion,
    unionised_ammonia_fraction,
)
from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.water_arrays import acute_ammonia, chronic_ammonia, unionised_share

PUBLISHED = Path(__file__).parent.parent / "published"
ZERO = 273.15


def share(ph: float, celsius: float, salts: float = 0.0) -> float:
    return unionised_ammonia_fraction(ph=ph, temperature=celsius + ZERO, ionic_strength=salts)


def ifas_cells() -> list[tuple[float, float, float]]:
    lines = (PUBLISHED / "unionised_ammonia_ifas.csv").read_text(encoding="utf-8").splitlines()[1:]
    return [
        (float(row["ph"]), float(celsius), float(value))
        for row in csv.DictReader(lines)
        for celsius, value in row.items()
        if celsius != "ph"
    ]


@pytest.mark.parametrize(("ph", "celsius", "printed"), ifas_cells())
def test_the_table_of_the_extension_sheet(ph: float, celsius: float, printed: float) -> None:
    # 0.00006 and not 0.00005: the sheet was rounded from a rounded pKa
    assert share(ph, celsius) == pytest.approx(printed, abs=0.00006)


def test_a_cell_of_the_extension_sheet_is_a_misprint() -> None:
    # FA-16 prints 0.0096 at pH 7.4 and 20 °C. Its own neighbours say so: between pH 7.0 and 7.6 the share of so
    # little gas grows by ten to the power of the pH, and 0.0039 and 0.0155 both lead to 0.0098
    assert round(share(7.4, 20.0), 4) == 0.0098
    assert pytest.approx(0.0098, abs=0.00006) == 0.0155 / 10**0.2


# pKa of Emerson et al. (1975) at 0, 10, 15, 20, 25 and 30 °C: 10.0844, 9.7314, 9.5641, 9.4025, 9.2464, 9.0954
@pytest.mark.parametrize(
    ("celsius", "acid_exponent"),
    [(0, 10.0844), (10, 9.7314), (15, 9.5641), (20, 9.4025), (25, 9.2464), (30, 9.0954)],
)
def test_half_is_gas_where_the_ph_is_the_acid_exponent(celsius: float, acid_exponent: float) -> None:
    assert share(acid_exponent, celsius) == pytest.approx(0.5, abs=0.5e-4 * 0.6)


def test_the_misprinted_coefficient_would_be_noticed() -> None:
    # 2727.92 for 2729.92, as one manual page has it, gives 0.05092 at pH 8 and 24 °C
    assert round(share(8.0, 24.0), 5) == 0.05017


# Trussell (1972), per cent, as printed in test-kit manuals; another fit of the constant than Emerson's
@pytest.mark.parametrize(
    ("ph", "celsius", "percent"),
    [(7, 20, 0.40), (8, 20, 3.83), (8.5, 20, 11.18), (7, 25, 0.55), (8, 25, 5.28), (8.5, 25, 14.97)],
)
def test_the_older_table_agrees_within_its_own_constant(ph: float, celsius: float, percent: float) -> None:
    # the two constants lie up to 2 % apart, 0.016 of a per cent where the share is small (0.55 against 0.564)
    assert 100 * share(ph, celsius) == pytest.approx(percent, rel=0.02, abs=0.016)


def speciated(ph: float, celsius: float, salt: float) -> float:
    """Share of NH3 by PHREEQC with phreeqc.dat, where ammonia is N(-3); salt in mmol/kg of NaCl."""
    engine = phreeqc.Phreeqc()
    engine.LoadDatabase(str(Path(phreeqc.__file__).parent / "databases" / "phreeqc.dat"))
    engine.RunString(
        f"SOLUTION 1\n temp {celsius}\n pH {ph}\n units mmol/kgw\n N(-3) 0.01\n Na {salt}\n Cl {salt}\n"
        "SELECTED_OUTPUT\n -reset false\n -totals N(-3)\n -molalities NH3 NH4+\nEND\n"
    )
    out = engine.GetSelectedOutput()
    total, gas, ion = (out[key][0] for key in ("N(-3)(mol/kgw)", "m_NH3(mol/kgw)", "m_NH4+(mol/kgw)"))
    assert total == pytest.approx(1e-5)  # a wrong name of the component would be silently nought
    assert gas + ion == pytest.approx(total)
    return float(gas / total)


@pytest.mark.parametrize(("ph", "celsius"), [(8.5, 15.0), (9.0, 15.0), (8.0, 24.0), (7.0, 30.0), (6.5, 20.0)])
def test_dilute_water_agrees_with_a_full_speciation(ph: float, celsius: float) -> None:
    # another constant of its own and the activity of some 1e-5 mol/L: 0.5 % apart
    assert share(ph, celsius) == pytest.approx(speciated(ph, celsius, 0.0), rel=0.005)


@pytest.mark.parametrize("salt", [2.0, 20.0, 86.0])
def test_dissolved_salts_take_gas_away_as_a_full_speciation_has_it(salt: float) -> None:
    ours = share(8.0, 24.0, salt) / share(8.0, 24.0)
    theirs = speciated(8.0, 24.0, salt) / speciated(8.0, 24.0, 0.0)
    assert ours < 1.0
    assert ours == pytest.approx(theirs, rel=0.065)  # Davies against their ion sizes: 6.2 % at 5 g/L of salt


@given(st.floats(4.0, 10.9), st.floats(0.0, 49.0))
def test_more_is_gas_in_warmer_and_in_less_acid_water(ph: float, celsius: float) -> None:
    assert 0.0 < share(ph, celsius) < share(ph + 0.1, celsius) < 1.0
    assert share(ph, celsius) < share(ph, celsius + 1.0)


# EPA 822-R-13-001 (2013) prints 17 and 1.9 mg/L at pH 7 and 20 °C
def test_the_criteria_at_their_printed_anchor() -> None:
    assert round(ammonia_acute_criterion(ph=7.0, temperature=293.15) * 1000) == 17
    assert round(ammonia_chronic_criterion(ph=7.0, temperature=293.15) * 1000, 1) == 1.9


# The equations worked apart from this program
@pytest.mark.parametrize(
    ("ph", "celsius", "acute", "chronic"), [(7.5, 26, 5.6, 0.95), (8, 25, 2.58, 0.56), (9, 30, 0.27, 0.081)]
)
def test_the_criteria_elsewhere(ph: float, celsius: float, acute: float, chronic: float) -> None:
    temperature = celsius + ZERO
    for ours, printed in (
        (ammonia_acute_criterion(ph=ph, temperature=temperature), acute),
        (ammonia_chronic_criterion(ph=ph, temperature=temperature), chronic),
    ):
        digits = len(str(printed).partition(".")[2])
        assert round(ours * 1000, digits) == printed


@given(st.floats(6.5, 8.9), st.floats(0.0, 29.0))
def test_less_is_allowed_the_warmer_and_the_less_acid_it_is(ph: float, celsius: float) -> None:
    for criterion in (ammonia_acute_criterion, ammonia_chronic_criterion):
        here = criterion(ph=ph, temperature=celsius + ZERO)
        assert criterion(ph=ph + 0.1, temperature=celsius + ZERO) < here
        assert criterion(ph=ph, temperature=celsius + 1.0 + ZERO) <= here
    acute = ammonia_acute_criterion(ph=ph, temperature=celsius + ZERO)
    assert ammonia_chronic_criterion(ph=ph, temperature=celsius + ZERO) < acute


def test_water_beyond_the_tables_is_refused() -> None:
    for ph, temperature in ((6.4, 293.15), (9.1, 293.15), (7.0, 304.15)):
        with pytest.raises(OutsideValidRange):
            ammonia_acute_criterion(ph=ph, temperature=temperature)
        with pytest.raises(OutsideValidRange):
            ammonia_chronic_criterion(ph=ph, temperature=temperature)
    with pytest.raises(OutsideValidRange):
        share(8.0, 51.0)


def test_many_tanks_at_once_are_each_as_one_alone() -> None:
    ph, temperature = np.array([6.5, 7.2, 8.9]), np.array([275.15, 290.15, 303.15])
    for together, alone in (
        (unionised_share(ph, temperature), unionised_ammonia_fraction),
        (acute_ammonia(ph, temperature), ammonia_acute_criterion),
        (chronic_ammonia(ph, temperature), ammonia_chronic_criterion),
    ):
        each = [alone(ph=float(p), temperature=float(t)) for p, t in zip(ph, temperature, strict=True)]
        assert together.tolist() == pytest.approx(each, rel=1e-14)
