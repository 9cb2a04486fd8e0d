"""The share of two waters for a target, and conductivity and ions."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.water_mix import (
    blend_share,
    conductivity_from_ions,
    ionic_strength_from_conductivity,
)

contents = st.floats(0.0, 1e3)


@given(st.floats(0.0, 1.0), contents, contents)
def test_the_share_reaches_the_target(share, first, second):
    target = min(max(share * first + (1 - share) * second, min(first, second)), max(first, second))
    got = blend_share(target=target, first=first, second=second)
    assert 0.0 <= got <= 1.0
    assert got * first + (1 - got) * second == pytest.approx(target, abs=1e-9)


def test_the_ends_are_the_waters_themselves():
    assert blend_share(target=16.0, first=16.0, second=1.0) == 1.0
    assert blend_share(target=1.0, first=16.0, second=1.0) == 0.0
    assert blend_share(target=5.0, first=5.0, second=5.0) == 1.0


@pytest.mark.parametrize(("target", "first", "second"), [(17, 16, 1), (0.5, 1, 16), (3, 5, 5), (-1, 0, 2)])
def test_a_target_out_of_reach_is_refused(target, first, second):
    with pytest.raises(OutsideValidRange) as caught:
        blend_share(target=target, first=first, second=second)
    assert caught.value.quantity == "target"


# Certified solutions of potassium chloride at 25 C, from memory; 0.3 % is the limit of the damping rule.
@pytest.mark.parametrize(("amount", "microsiemens_per_cm"), [(1.0, 147.0), (10.0, 1412.0)])
def test_potassium_chloride_conducts_as_certified(amount, microsiemens_per_cm):
    got = conductivity_from_ions(potassium=amount, chloride=amount)
    assert got * 1e4 == pytest.approx(microsiemens_per_cm, rel=0.003)


@given(st.floats(0.0, 0.5), st.floats(0.01, 0.1))
def test_more_conductivity_is_more_ions(conductivity, more):
    assert ionic_strength_from_conductivity(conductivity + more) > ionic_strength_from_conductivity(
        conductivity
    )


@given(st.floats(0.01, 5.0), st.floats(0.01, 5.0))
def test_salts_hinder_each_other(lime, salt):
    alone = conductivity_from_ions(calcium=lime, bicarbonate=2 * lime)
    other = conductivity_from_ions(sodium=salt, chloride=salt)
    both = conductivity_from_ions(calcium=lime, bicarbonate=2 * lime, sodium=salt, chloride=salt)
    assert max(alone, other) < both < alone + other


@pytest.mark.parametrize(
    "wrong", [{"calcium": -0.1}, {"sulfate": 30.0}, {"sodium": 99.0, "chloride": 59.0, "sulfate": 20.0}]
)
def test_what_is_no_fresh_water_is_refused(wrong):
    with pytest.raises(OutsideValidRange):
        conductivity_from_ions(**wrong)
