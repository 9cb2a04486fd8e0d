"""A round mouth turned by any angle: between the lip that faces up and the mouth that faces sideways."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.mouths import tilted_head, tilted_overflow
from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.weirs import lip_overflow, sideways_overflow

heads = st.floats(0.0005, 0.1)
bores = st.floats(0.008, 0.05)
angles = st.floats(0.0, math.pi / 2)


@given(heads, bores)
def test_an_upright_mouth_is_a_lip_and_one_on_its_side_a_sideways_mouth(head, bore):
    assert tilted_overflow(head=head, diameter=bore, angle=0.0) == lip_overflow(head=head, diameter=bore)
    sideways = sideways_overflow(head=head, diameter=bore)
    assert tilted_overflow(head=head, diameter=bore, angle=math.pi / 2) == pytest.approx(sideways, rel=1e-12)


# Cd 0.60, computed beside the circular weir integral; printed to 0.01 L/min.
@pytest.mark.parametrize(
    ("bore", "head", "litres"),
    [
        (0.013, 0.005, 0.32),
        (0.016, 0.010, 1.30),
        (0.020, 0.015, 3.11),
        (0.025, 0.020, 6.04),
        (0.040, 0.008, 1.52),
    ],
)
def test_a_mouth_on_its_side_takes_what_the_table_says(bore, head, litres):
    flow = tilted_overflow(head=head, diameter=bore, angle=math.pi / 2)
    assert round(flow * 60000, 2) == pytest.approx(litres, abs=0.005 + 1e-9)


@given(heads, bores, angles)
def test_no_angle_beats_the_lip(head, bore, angle):
    lip = lip_overflow(head=head, diameter=bore)
    if angle < math.pi / 2:
        assert tilted_overflow(head=head, diameter=bore, angle=angle) <= lip


@given(st.floats(0.0005, 0.05), bores, angles)
def test_more_head_never_passes_less(head, bore, angle):
    less = tilted_overflow(head=head, diameter=bore, angle=angle)
    more = tilted_overflow(head=head * 1.1, diameter=bore, angle=angle)
    # 1.5 % where the tilt is given up for a nearly upright mouth (0.60 against 0.606 and the middle's depth)
    assert more >= less * 0.985


@given(st.floats(1e-7, 1e-4), bores, angles)
def test_the_head_gives_back_its_flow(flow, bore, angle):
    try:
        head = tilted_head(flow=flow, diameter=bore, angle=angle)
    except OutsideValidRange:
        assert tilted_overflow(head=2.0, diameter=bore, angle=angle) < flow
        return
    # 1.5 %: the same step for a nearly upright mouth
    assert tilted_overflow(head=head, diameter=bore, angle=angle) == pytest.approx(flow, rel=0.015)


def test_half_a_strainer_halves_the_flow():
    whole = tilted_overflow(head=0.02, diameter=0.02, angle=1.0)
    assert tilted_overflow(head=0.02, diameter=0.02, angle=1.0, open_share=0.5) == pytest.approx(whole / 2)


@pytest.mark.parametrize("wrong", [{"angle": 2.0}, {"angle": -0.1}, {"head": -0.01}, {"head": 3.0}])
def test_what_lies_outside_is_refused(wrong):
    with pytest.raises(OutsideValidRange):
        tilted_overflow(**({"head": 0.01, "diameter": 0.02, "angle": 0.5} | wrong))


def test_nothing_flows_needs_no_head():
    assert tilted_head(flow=0.0, diameter=0.02, angle=0.7) == 0.0
