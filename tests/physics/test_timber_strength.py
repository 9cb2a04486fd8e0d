"""Working stresses of timber by three codes: printed worked examples, limits and what must hold."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.timber_strength import (
    beam_slenderness_as,
    beam_stability_nds,
    column_constant_as,
    size_factor_en,
    stability_factor_as,
    tilting_factor_en,
    working_stress_as,
    working_stress_en,
    working_stress_nds,
)

INCH, PSI = 0.0254, 6894.757293168


def test_the_tie_of_the_australian_handbook() -> None:
    # HB 108-2013 ex. 3.3 (p. 188): 190 x 35 MGP10, two holes of 22 mm, category 2, 50 years: 14.5 kN in tension
    area = 0.190 * 0.035 - 2 * 0.022 * 0.035
    design = working_stress_as(strength=7.1e6, capacity_factor=0.7, load_factor=1.0)
    assert round(design * area / 1000, 1) == 14.5


def test_the_material_constants_of_the_australian_handbook() -> None:
    # ex. 4.1 prints k12 .042 at S4 80, from a constant of 0.86 for MGP10 with passing load
    constant = column_constant_as(stiffness=10e9, strength=18e6, passing_share=1.0)
    assert round(constant, 2) == 0.86
    assert round(stability_factor_as(slenderness=80.0, material_constant=0.86), 3) == 0.042
    # ex. 4.3 prints k12 .139 at S4 35.1 for unseasoned F7, whose constant is 1.08
    assert round(stability_factor_as(slenderness=35.1, material_constant=1.08), 3) == 0.139


def test_bearing_of_an_open_program() -> None:
    # a structural program's own test of EN 1995: C18 across the grain, permanent, service class 3: 846153.846 Pa
    design = working_stress_en(strength=2.2e6, duration_factor=0.5, load_factor=1.0)
    assert design == pytest.approx(846153.846, abs=1e-3)


def test_the_example_of_the_american_wood_council() -> None:
    # NDS Structural Wood Design Examples 2015/2018, E1.2a: 3.5 x 15.25 in Douglas fir, Fb 1500 psi, Emin 690 ksi,
    # 240 in with a force in the middle, so an effective length of 1.37 x 240 + 3 d: CL .876, allowed bending 1313 psi
    free = 1.37 * 240 / 1.63 * INCH  # the even load of the same effective length
    factor = beam_stability_nds(
        breadth=3.5 * INCH,
        depth=15.25 * INCH,
        free_length=free,
        strength=1500 * PSI,
        stiffness_low=690e3 * PSI,
    )
    assert round(factor, 3) == 0.876
    assert round(1500 * factor) == 1313


def test_small_pieces_are_stronger_by_the_european_code() -> None:
    assert size_factor_en(depth=0.150) == 1.0
    assert size_factor_en(depth=0.300) == 1.0
    assert size_factor_en(depth=0.075) == pytest.approx(2**0.2)
    assert size_factor_en(depth=0.020) == 1.3


def test_the_three_routes_lie_near_each_other_for_a_common_bearer() -> None:
    """No two codes differ by more than half for a piece of common softwood: a slip of units would show."""
    european = working_stress_en(strength=16e6, other_factors=size_factor_en(depth=0.089))
    australian = working_stress_as(strength=18e6, capacity_factor=0.7)
    american = working_stress_nds(reference=875 * PSI, other_factors=1.5)
    found = sorted((european, australian, american))
    assert found[-1] / found[0] < 1.6


@given(length=st.floats(0.05, 6.0), depth=st.floats(0.05, 0.3))
def test_a_longer_unheld_edge_never_helps(length: float, depth: float) -> None:
    wood = {"strength": 24e6, "stiffness_low": 7.4e9}
    shape = {"breadth": 0.045, "depth": depth}
    here = tilting_factor_en(free_length=length, **shape, **wood)
    further = tilting_factor_en(free_length=length * 1.1, **shape, **wood)
    assert 0.0 < further <= here <= 1.0
    slender = beam_slenderness_as(free_length=length, **shape)
    assert 0.0 < stability_factor_as(slenderness=slender, material_constant=0.9) <= 1.0


@given(slenderness=st.floats(0.0, 400.0), constant=st.floats(0.5, 1.5))
def test_stability_falls_without_a_step(slenderness: float, constant: float) -> None:
    here = stability_factor_as(slenderness=slenderness, material_constant=constant)
    next_one = stability_factor_as(slenderness=slenderness + 1e-6, material_constant=constant)
    assert 0.0 < next_one <= here <= 1.0
    assert here - next_one < 1e-6


def test_the_american_factor_is_continuous_and_never_over_one() -> None:
    wood = {"strength": 8e6, "stiffness_low": 3.5e9, "breadth": 0.038, "depth": 0.089}
    factors = [beam_stability_nds(free_length=length / 20, **wood) for length in range(60)]
    assert factors[0] == 1.0
    assert all(0.0 < factor <= 1.0 for factor in factors)
    assert beam_stability_nds(free_length=3.0, **(wood | {"depth": 0.038})) == 1.0  # a square does not tilt


def test_what_is_too_tall_and_thin_is_refused_by_the_american_code() -> None:
    with pytest.raises(OutsideValidRange, match="slenderness"):
        beam_stability_nds(breadth=0.01, depth=0.2, free_length=3.0, strength=8e6, stiffness_low=3.5e9)
