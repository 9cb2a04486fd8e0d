"""Lips, sideways mouths and falling pipes, against hand-made tables and against themselves."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.weirs import (
    lip_head,
    lip_overflow,
    outlet_froude_number,
    self_venting_flow,
    sideways_head,
    sideways_overflow,
)

MM, L_PER_MIN = 1e-3, 1 / 60000

# Worked from the EN 12056-3 forms Q = D h^1.5 / 7500 and D^2 h^0.5 / 15000 [l/s, mm], from memory; L/min
UPWARD = [
    (13, 3, 0.54), (13, 5, 1.16), (13, 8, 1.91), (13, 30, 3.70), (20, 5, 1.79), (20, 10, 5.06),
    (20, 30, 8.76), (25, 8, 4.53), (25, 15, 9.68), (32, 10, 8.10), (32, 20, 18.3), (40, 15, 18.6),
    (40, 20, 28.6), (40, 30, 35.1),
]  # fmt: skip
# Worked with 0.60 for both coefficients; L/min
SHARP = [
    (13, 3, 0.71),
    (16, 5, 1.89),
    (20, 8, 4.48),
    (25, 10, 7.83),
    (32, 15, 15.7),
    (40, 15, 24.5),
    (40, 30, 34.7),
]
# Worked by an adaptive quadrature of the circular weir integral, coefficient 0.60; L/min
SIDEWAYS = [
    (13, 3, 0.12), (13, 10, 1.11), (16, 15, 2.52), (20, 20, 4.81), (25, 10, 1.77), (25, 20, 6.04),
    (32, 8, 1.34), (40, 3, 0.22), (40, 5, 0.61), (40, 20, 8.64),
]  # fmt: skip


@pytest.mark.parametrize(("bore", "head", "flow"), UPWARD)
def test_a_lip_passes_what_the_design_form_gives(bore: float, head: float, flow: float) -> None:
    ours = lip_overflow(head=head * MM, diameter=bore * MM) / L_PER_MIN
    assert ours == pytest.approx(flow, rel=2e-3, abs=0.005)  # the table has three figures


@pytest.mark.parametrize(("bore", "head", "flow"), SHARP)
def test_a_sharp_lip_passes_more(bore: float, head: float, flow: float) -> None:
    ours = lip_overflow(head=head * MM, diameter=bore * MM, weir_coefficient=0.6, orifice_coefficient=0.6)
    assert ours / L_PER_MIN == pytest.approx(flow, rel=4e-3, abs=0.005)  # the table has three figures


def test_the_lip_turns_from_weir_to_orifice_at_half_its_bore() -> None:
    # EN 12056-3 changes formula at h = D/2; 3/8 D times the ratio of the coefficients
    before, after = (lip_overflow(head=h, diameter=0.04) for h in (0.0199, 0.0201))
    # 1e-4 and 2e-4: 7500 and 15000 are round numbers of the standard
    assert before == pytest.approx(0.04 * 1000 * 19.9**1.5 / 7500 / 1000, rel=1e-4)
    assert after == pytest.approx(0.04**2 * 1e6 * math.sqrt(20.1) / 15000 / 1000, rel=2e-4)


@pytest.mark.parametrize(("bore", "head", "flow"), SIDEWAYS)
def test_a_sideways_mouth_passes_what_the_integral_gives(bore: float, head: float, flow: float) -> None:
    ours = sideways_overflow(head=head * MM, diameter=bore * MM) / L_PER_MIN
    assert round(ours, 2) == pytest.approx(flow, abs=0.0051)


def test_a_mouth_just_drowned_has_the_closed_form() -> None:
    # With h = D the integral is 2 (2/3 - 2/5) D^2.5
    d = 0.025
    expected = 0.6 * math.sqrt(2 * 9.80665) * 8 / 15 * d**2.5
    assert sideways_overflow(head=d, diameter=d) == pytest.approx(expected, rel=1e-8)


def test_a_deep_mouth_is_an_orifice_at_its_centre() -> None:
    d, h = 0.025, 0.5
    expected = 0.6 * math.pi / 4 * d**2 * math.sqrt(2 * 9.80665 * (h - d / 2))
    assert sideways_overflow(head=h, diameter=d) == pytest.approx(expected, rel=1e-4)  # 20 bores deep


@given(st.floats(0.005, 0.1), st.floats(1e-4, 0.3), st.floats(1.001, 2), st.floats(0.1, 1))
def test_more_head_always_passes_more(diameter: float, head: float, factor: float, share: float) -> None:
    for law in (lip_overflow, sideways_overflow):
        assert law(head=head * factor, diameter=diameter, open_share=share) > law(
            head=head, diameter=diameter, open_share=share
        )


@given(st.floats(0.005, 0.1), st.floats(1e-4, 1), st.floats(0.1, 1))
def test_the_head_for_a_flow_gives_the_flow_back(diameter: float, head: float, share: float) -> None:
    by_lip = lip_overflow(head=head, diameter=diameter, open_share=share)
    assert lip_head(flow=by_lip, diameter=diameter, open_share=share) == pytest.approx(head, rel=1e-9)
    by_mouth = sideways_overflow(head=head, diameter=diameter, open_share=share)
    assert sideways_head(flow=by_mouth, diameter=diameter, open_share=share) == pytest.approx(head, rel=1e-9)


def test_a_strainer_takes_its_share() -> None:
    for law in (lip_overflow, sideways_overflow):
        bare = law(head=0.01, diameter=0.025)
        assert law(head=0.01, diameter=0.025, open_share=0.5) == pytest.approx(bare / 2)


def test_no_flow_needs_no_head() -> None:
    assert lip_head(flow=0.0, diameter=0.025) == 0.0
    assert sideways_head(flow=0.0, diameter=0.025) == 0.0


def test_a_flow_no_head_can_drive_is_refused() -> None:
    with pytest.raises(OutsideValidRange) as by_lip:
        lip_head(flow=0.1, diameter=0.013)
    assert by_lip.value.quantity == "head"
    with pytest.raises(OutsideValidRange) as by_mouth:
        sideways_head(flow=0.1, diameter=0.013)
    assert by_mouth.value.quantity == "flow"


def test_the_printed_self_venting_example() -> None:
    # After P. D. Hills (1983), as an engineering knowledge base prints it: 36 m3/h in 180 mm, J*L .296
    assert round(outlet_froude_number(flow=36 / 3600, diameter=0.180), 3) == 0.296
    assert self_venting_flow(0.1789) < 36 / 3600 < self_venting_flow(0.180)


@pytest.mark.parametrize(
    ("bore", "flow"), [(13, 0.87), (16, 1.47), (20, 2.56), (25, 4.48), (32, 8.31), (40, 14.5)]
)
def test_self_venting_agrees_with_the_rule_in_inches(bore: float, flow: float) -> None:
    # d [in] = 0.92 Q^0.4 [US gpm], from memory; L/min. The two forms of the rule differ by up to 3 %.
    assert self_venting_flow(bore * MM) / L_PER_MIN == pytest.approx(flow, rel=0.035)
