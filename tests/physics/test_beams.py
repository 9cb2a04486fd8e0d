"""Beams against printed worked examples, each other, and what must hold of any beam."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.beam_solver import BeamAnswer, continuous_beam, simple_beam
from tankwright.physics.beams import (
    TWO_SPAN_SAG,
    beam_deflection,
    beam_moment,
    beam_shear,
    beam_shear_deflection,
    shear_stress,
    two_span_deflection,
    two_span_middle_force,
    two_span_moment,
)
from tankwright.physics.ranges import OutsideValidRange

INCH, FOOT, POUND, PSI = 0.0254, 0.3048, 4.4482216152605, 6894.757293168

LOADS = st.lists(
    st.tuples(st.floats(0.0, 2.0), st.floats(0.01, 2.0), st.floats(1.0, 5e3)).map(
        lambda one: (one[0], min(one[0] + one[1], 2.0), one[2])
    ),
    min_size=1,
    max_size=4,
)
POINTS = st.lists(st.tuples(st.floats(0.0, 2.0), st.floats(1.0, 5e3)), max_size=3)


def test_the_timber_beam_of_an_engineering_site() -> None:
    # three forces and its own weight on 100 x 200 mm, E 8 GPa, over 3 m: R 12676.5 N, M 8882.4 N m, end slope 0.988°
    answer = simple_beam(
        span=3.0,
        patches=((0.0, 3.0, 117.7),),
        points=((0.5, 10e3), (1.5, 5e3), (2.5, 10e3)),
        bending_stiffness=8e9 * 0.1 * 0.2**3 / 12.0,
    )
    assert answer.reactions == pytest.approx(
        (12676.5, 12676.5), abs=0.06
    )  # printed cut, not rounded: 12676.55
    assert round(answer.moment, 1) == 8882.4
    assert round(math.degrees(answer.slope_here(0.0)), 3) == 0.988
    assert round(answer.sag * 1000, 2) == 15.66  # by two other programs


def test_the_steel_beam_of_a_university_course() -> None:
    # Univ. of Oklahoma, lecture 13: W12x22, 16 ft, 10 kips in all, I 156 in4, E 29e6 psi: 0.204 in
    sag = beam_deflection(
        span=16 * FOOT, stiffness=29e6 * PSI, second_moment=156 * INCH**4, load=10e3 * POUND / (16 * FOOT)
    )
    assert round(sag / INCH, 3) == 0.204


def test_the_worked_beam_of_en_1993() -> None:
    # 45 kN/m over 6.0 m: 202.5 kN m, 135.0 kN
    assert beam_moment(span=6.0, load=45e3) == pytest.approx(202.5e3)
    assert beam_shear(span=6.0, load=45e3) == pytest.approx(135.0e3)


def test_two_bays_have_the_printed_coefficients() -> None:
    # reactions .375, 1.25, .375; moments 1/8 and .0703; sag 1/185: any table of beams
    answer = continuous_beam(
        length=2.0, supports=(0.0, 1.0, 2.0), patches=((0.0, 2.0, 1.0),), bending_stiffness=1.0
    )
    assert answer.reactions == pytest.approx((0.375, 1.25, 0.375))
    assert round(answer.hogging, 3) == 0.125
    assert round(answer.sagging, 4) == 0.0703
    assert round(1.0 / answer.sag) == 185
    assert answer.sag == pytest.approx(TWO_SPAN_SAG, rel=1e-9)
    assert round(answer.sag_at if answer.sag_at < 1.0 else 2.0 - answer.sag_at, 4) == 0.4215


def test_the_shelf_and_the_solver_agree() -> None:
    timber = {"stiffness": 11e9, "second_moment": 3.215e-6}
    stiff = 11e9 * 3.215e-6
    one = simple_beam(
        span=1.2, patches=((0.0, 1.2, 900.0),), points=((0.6, 300.0),), bending_stiffness=stiff,
        shear_stiffness=690e6 * 4.275e-3 / 1.2,
    )  # fmt: skip
    bent = beam_deflection(span=1.2, load=900.0, middle_force=300.0, **timber)
    sheared = beam_shear_deflection(
        span=1.2, load=900.0, middle_force=300.0, shear_modulus=690e6, area=4.275e-3
    )
    assert one.sag == pytest.approx(bent + sheared)
    assert one.moment == pytest.approx(beam_moment(span=1.2, load=900.0, middle_force=300.0))
    assert one.shear == pytest.approx(beam_shear(span=1.2, load=900.0, middle_force=300.0))
    two = continuous_beam(
        length=2.4, supports=(0.0, 1.2, 2.4), patches=((0.0, 2.4, 900.0),), bending_stiffness=stiff
    )
    assert two.moment == pytest.approx(two_span_moment(span=1.2, load=900.0))
    assert two.reactions[1] == pytest.approx(two_span_middle_force(span=1.2, load=900.0))
    assert two.sag == pytest.approx(two_span_deflection(span=1.2, load=900.0, **timber))


def test_shear_is_worst_in_the_middle_of_a_rectangle() -> None:
    assert shear_stress(shear=1000.0, area=0.01) == pytest.approx(1.5e5)


def test_a_bearer_that_runs_past_its_uprights() -> None:
    # an end of 0.4 m under 1 kN/m: 80 N m over the upright, worked by hand
    answer = continuous_beam(
        length=1.4, supports=(0.4, 1.4), patches=((0.0, 0.4, 1000.0),), bending_stiffness=1e4
    )
    assert answer.hogging == pytest.approx(80.0)
    assert answer.reactions == pytest.approx((480.0, -80.0))  # the far upright holds it down
    assert answer.sag_at == 0.0
    assert answer.sag == pytest.approx(1000 * 0.4**4 / 8 / 1e4 + 80 * 1.0 / 3 / 1e4 * 0.4)


@given(patches=LOADS, points=POINTS)
def test_supports_carry_the_whole_load_and_hold_their_height(
    patches: list[tuple[float, float, float]], points: list[tuple[float, float]]
) -> None:
    answer = continuous_beam(
        length=2.0, supports=(0.2, 0.9, 1.9), patches=tuple(patches), points=tuple(points),
        bending_stiffness=2e4, shear_stiffness=1e6,
    )  # fmt: skip
    weight = sum(load * (end - start) for start, end, load in patches) + sum(force for _, force in points)
    turning = sum(load * (end - start) * (start + end) / 2 for start, end, load in patches)
    turning += sum(at * force for at, force in points)
    assert sum(answer.reactions) == pytest.approx(weight, rel=1e-9, abs=1e-9)
    about = sum(x * force for x, force in zip(answer.supports, answer.reactions, strict=True))
    assert about == pytest.approx(turning, rel=1e-9, abs=1e-9)
    for x in answer.supports:
        assert answer.sag_here(x) == pytest.approx(0.0, abs=1e-9 * max(weight, 1.0))
    assert answer.moment_here(2.0) == pytest.approx(0.0, abs=1e-9 * max(weight, 1.0))


@given(patches=LOADS, points=POINTS)
def test_the_worst_of_a_beam_is_no_less_than_anywhere_along_it(
    patches: list[tuple[float, float, float]], points: list[tuple[float, float]]
) -> None:
    answer = simple_beam(span=2.0, patches=tuple(patches), points=tuple(points), bending_stiffness=2e4)
    small = 1e-9 * (answer.moment + answer.shear + 1.0)
    for x in [2.0 * index / 97 for index in range(98)]:
        assert abs(answer.moment_here(x)) <= answer.moment + small
        assert abs(answer.shear_here(x)) <= answer.shear + small
        assert answer.sag_here(x) <= answer.sag * (1.0 + 1e-9) + 1e-15
    assert answer.moment_here(answer.moment_at) == pytest.approx(answer.moment, abs=small)
    assert answer.sag_here(answer.sag_at) == pytest.approx(answer.sag, rel=1e-9)


def _of(*patches: tuple[float, float, float]) -> BeamAnswer:
    return simple_beam(span=2.0, patches=patches, bending_stiffness=2e4)


def test_loads_add_up_and_a_mirrored_load_gives_a_mirrored_beam() -> None:
    first, second = (0.2, 0.9, 700.0), (0.5, 1.8, 300.0)
    alone, other, both = _of(first), _of(second), _of(first, second)
    mirrored = _of(*((2.0 - end, 2.0 - start, load) for start, end, load in (first, second)))
    for x in (0.0, 0.3, 0.77, 1.2, 2.0):
        assert both.sag_here(x) == pytest.approx(alone.sag_here(x) + other.sag_here(x), abs=1e-15)
        assert both.moment_here(x) == pytest.approx(alone.moment_here(x) + other.moment_here(x), abs=1e-9)
        assert mirrored.sag_here(2.0 - x) == pytest.approx(both.sag_here(x), abs=1e-15)
    assert mirrored.reactions == pytest.approx(both.reactions[::-1])


def test_a_force_is_the_limit_of_a_short_patch() -> None:
    short = _of((0.7 - 5e-4, 0.7 + 5e-4, 500.0 / 1e-3))
    force = simple_beam(span=2.0, points=((0.7, 500.0),), bending_stiffness=2e4)
    assert short.sag == pytest.approx(force.sag, rel=1e-5)
    assert short.moment == pytest.approx(force.moment, rel=1e-3)


def test_an_empty_shelf_does_not_bend() -> None:
    answer = simple_beam(span=1.0, bending_stiffness=1e4)
    assert (answer.moment, answer.shear, answer.sag, answer.reactions) == (0.0, 0.0, 0.0, (0.0, 0.0))
    assert len(answer.curve) == 41
    assert answer.curve[-1][0] == 1.0


def test_a_load_at_the_supports_goes_straight_into_them() -> None:
    answer = simple_beam(span=1.0, points=((0.0, 100.0), (1.0, 50.0)), bending_stiffness=1e4)
    assert answer.reactions == pytest.approx((100.0, 50.0))
    assert answer.moment == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    "wrong",
    [
        {"span": 0.0, "bending_stiffness": 1e4},
        {"span": math.nan, "bending_stiffness": 1e4},
        {"span": 1.0, "bending_stiffness": 0.0},
        {"span": 1.0, "bending_stiffness": 1e4, "shear_stiffness": 0.0},
        {"span": 1.0, "bending_stiffness": 1e4, "patches": ((-0.1, 0.5, 1.0),)},
        {"span": 1.0, "bending_stiffness": 1e4, "patches": ((0.5, 1.2, 1.0),)},
        {"span": 1.0, "bending_stiffness": 1e4, "patches": ((0.6, 0.5, 1.0),)},
        {"span": 1.0, "bending_stiffness": 1e4, "patches": ((0.0, 0.5, -1.0),)},
        {"span": 1.0, "bending_stiffness": 1e4, "points": ((1.2, 1.0),)},
        {"span": 1.0, "bending_stiffness": 1e4, "points": ((0.2, -1.0),)},
    ],
)
def test_what_is_no_beam_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(OutsideValidRange):
        simple_beam(**wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize("supports", [(0.0,), (0.0, 0.0), (0.5, 0.2), (-0.1, 1.0), (0.0, 1.1)])
def test_what_does_not_support_a_beam_is_refused(supports: tuple[float, ...]) -> None:
    with pytest.raises(OutsideValidRange):
        continuous_beam(length=1.0, supports=supports, bending_stiffness=1e4)
