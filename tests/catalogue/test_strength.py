"""What a bar and a post may bear: worked through by hand once for each code, and never guessed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.catalogue.grades import Grade, all_grades, find_grade
from tankwright.catalogue.sections import Section, read_section
from tankwright.catalogue.strength import (
    allowed_stresses,
    later_factor,
    post_capacity,
    stiffness_in_use,
)
from tankwright.physics.ranges import OutsideValidRange

PSI = 6894.757293168


def grade(text: str) -> Grade:
    found = find_grade(text)
    assert found is not None
    return found


def section(text: str) -> Section:
    found = read_section(text)
    assert found is not None
    return found


def test_european_bearer_by_hand() -> None:
    allowed = allowed_stresses(grade("C24"), section("45x95"), service_class=2)
    kh = (150 / 95) ** 0.2
    assert allowed.bending == pytest.approx(0.6 * kh * 24e6 / 1.3 / 1.35)
    assert allowed.shear == pytest.approx(0.6 * 0.67 * 4e6 / 1.3 / 1.35)
    assert allowed.bearing == pytest.approx(0.6 * 2.5e6 / 1.3 / 1.35)
    assert (allowed.load_factor, allowed.route, allowed.code) == (1.35, "limit state", "EN 1995-1-1")
    assert dict(allowed.factors)["kmod"] == 0.6
    assert allowed.missing == ()
    wet = allowed_stresses(grade("C24"), section("45x95"), service_class=3)
    assert wet.bending == pytest.approx(allowed.bending * 0.5 / 0.6)
    flat = allowed_stresses(grade("C24"), section("45x95"), service_class=2, flat=True)
    assert flat.bending == pytest.approx(0.6 * (150 / 45) ** 0.2 * 24e6 / 1.3 / 1.35)


def test_australian_bearer_by_hand() -> None:
    allowed = allowed_stresses(grade("MGP10"), section("45x90"), service_class=1)
    assert allowed.bending == pytest.approx(0.7 * 0.57 * 17e6 / 1.35)
    assert allowed.shear == pytest.approx(0.7 * 0.57 * 2.6e6 / 1.35)
    assert allowed.bearing is None
    assert allowed.missing == ("strength across the grain of MGP10",)
    damp = allowed_stresses(grade("MGP10"), section("45x90"), service_class=2)
    assert damp.bending == pytest.approx(0.85 * allowed.bending)


def test_american_bearer_by_hand() -> None:
    allowed = allowed_stresses(grade("SPF"), section("2x4"), service_class=1)
    assert allowed.bending == pytest.approx(875 * 1.5 * 0.9 * PSI)
    assert allowed.shear == pytest.approx(135 * 0.9 * PSI)
    assert allowed.bearing == pytest.approx(425 * PSI)  # duration does not count across the grain
    assert (allowed.load_factor, allowed.route) == (1.0, "allowable stress")
    wet = allowed_stresses(grade("SPF"), section("2x4"), service_class=3)
    assert wet.bending == pytest.approx(0.85 * allowed.bending)
    assert wet.bearing == pytest.approx(0.67 * allowed.bearing)
    deep = allowed_stresses(grade("SPF"), section("2x10"), service_class=3)  # 875 x 1.1 is under 1150 psi
    assert deep.bending == pytest.approx(875 * 1.1 * 0.9 * PSI)


def test_steel_bearer_by_hand() -> None:
    allowed = allowed_stresses(grade("S235"), section("40x40x2"), service_class=3)
    assert allowed.bending == pytest.approx(235e6 / 1.35)
    assert allowed.shear == pytest.approx(235e6 / 3**0.5 / 1.35)
    assert allowed.bearing is None
    assert allowed.missing == ()


def test_a_wall_that_buckles_by_itself_is_not_told() -> None:
    thin = allowed_stresses(grade("S355"), section("100x100x2"), service_class=1)
    assert thin.bending is None
    assert "wall" in thin.missing[0]
    post = post_capacity(grade("S355"), section("100x100x2"), free_length=1.0, service_class=1)
    assert post.force is None
    assert "wall" in post.missing[0]


def test_boards_bear_by_their_thickness_and_their_damp() -> None:
    board = Section(name="a strip", thin=0.018, wide=1.0)
    ply = allowed_stresses(grade("plywood"), board, service_class=2, flat=True)
    assert ply.bending == pytest.approx(0.6 * 10e6 / 1.2 / 1.35)
    thin = allowed_stresses(grade("OSB"), replace(board, thin=0.009), service_class=1, flat=True)
    thick = allowed_stresses(grade("OSB"), replace(board, thin=0.022), service_class=1, flat=True)
    assert thin.bending == pytest.approx(0.4 * 9.0e6 / 1.2 / 1.35)
    assert thick.bending == pytest.approx(0.4 * 7.4e6 / 1.2 / 1.35)
    wet = allowed_stresses(grade("OSB"), board, service_class=3, flat=True)
    assert (wet.bending, wet.missing) == (None, ("OSB/3 to 18 is not made for a room this damp",))
    assert later_factor(grade("OSB"), 3) is None
    assert allowed_stresses(grade("MDF"), board, service_class=2, flat=True).bending is None


def test_what_the_table_does_not_hold_is_named() -> None:
    deep = allowed_stresses(grade("MGP12"), section("45x190"), service_class=1)
    assert (deep.bending, deep.shear) == (None, None)
    assert deep.missing == ("MGP12 is not in the table for a section this large",)
    assert post_capacity(grade("MGP12"), section("45x190"), free_length=1.0, service_class=1).force is None
    stud = allowed_stresses(grade("SPF Stud"), section("2x8"), service_class=1)
    assert stud.bending is None
    bare = Grade(name="mine", route="own", stiffness=9e9)
    assert allowed_stresses(bare, section("45x95"), service_class=2).missing == (
        "bending strength of mine", "shear strength of mine", "strength across the grain of mine",
    )  # fmt: skip
    assert post_capacity(bare, section("45x95"), free_length=1.0, service_class=2).missing == (
        "strength of mine in compression along it",
    )


def test_an_own_grade_is_told_by_the_european_code() -> None:
    mine = Grade(name="mine", route="own", bending=20e6, shear=3e6, stiffness=9e9)
    allowed = allowed_stresses(mine, section("50x150"), service_class=2)
    assert allowed.bending == pytest.approx(0.6 * 20e6 / 1.3 / 1.35)
    assert allowed.missing == ("strength across the grain of mine",)


def test_an_unheld_top_edge_costs_a_tall_bearer_and_not_a_stout_one() -> None:
    for name in ("C24", "MGP10", "SPF"):
        tall, stout = section("38x140"), section("90x90")
        held = allowed_stresses(grade(name), tall, service_class=2)
        loose = allowed_stresses(grade(name), tall, service_class=2, unheld_length=2.4)
        assert held.bending is not None
        assert loose.bending is not None
        assert 0.4 * held.bending < loose.bending < held.bending
        assert loose.shear == held.shear
        assert (
            allowed_stresses(grade(name), stout, service_class=2, unheld_length=2.4).bending
            == allowed_stresses(grade(name), stout, service_class=2).bending
        )


def test_posts_by_hand() -> None:
    european = post_capacity(grade("C24"), section("45x95"), free_length=2.0, service_class=1)
    assert european.force == pytest.approx(5637 / 1.35, abs=1.0)
    assert european.bows == "thin"
    american = post_capacity(grade("SPF"), section("2x4"), free_length=1.2, service_class=1)
    assert american.force == pytest.approx(9005, abs=6)
    australian = post_capacity(grade("MGP10"), section("45x90"), free_length=1.2, service_class=1)
    assert australian.force == pytest.approx(6607, abs=1)
    steel = post_capacity(grade("S235"), section("40x40x2"), free_length=1.2, service_class=1)
    assert steel.force == pytest.approx(32871, rel=2e-3)  # area and inertia of print are rounded


def test_a_post_bows_over_the_side_that_is_held_least() -> None:
    held = post_capacity(
        grade("C24"), section("45x95"), free_length=0.4, free_length_wide=1.8, service_class=2
    )
    loose = post_capacity(grade("C24"), section("45x95"), free_length=1.8, service_class=2)
    assert (held.bows, loose.bows) == ("wide", "thin")
    assert held.force is not None
    assert loose.force is not None
    assert held.force > 2.0 * loose.force


def test_weight_off_the_middle_costs_and_is_counted_in_a_straight_line() -> None:
    post, bar = grade("C24"), section("45x95")
    straight = post_capacity(post, bar, free_length=0.6, service_class=2)
    bent = post_capacity(post, bar, free_length=0.6, service_class=2, off_centre=0.0475)
    allowed = allowed_stresses(post, bar, service_class=2)
    assert straight.force is not None
    assert bent.force is not None
    assert allowed.bending is not None
    bending_share = bent.force * 0.0475 / bar.section_modulus / allowed.bending
    assert bent.force / straight.force + bending_share == pytest.approx(1.0)


def test_a_post_too_slender_for_its_code_is_not_told() -> None:
    post = post_capacity(grade("SPF"), section("2x4"), free_length=2.5, service_class=1)
    assert post.force is None
    assert post.crushing is not None
    assert "50 times" in post.missing[0]


@given(
    length=st.floats(0.1, 3.0),
    text=st.sampled_from(["45x95", "70x70", "38x89", "40x40x2", "50x100x3"]),
    damp=st.sampled_from([1, 2]),
)
def test_a_longer_post_and_a_damper_room_never_help(length: float, text: str, damp: int) -> None:
    bar = section(text)
    for name in ("S235",) if bar.is_tube else ("C16", "C24", "MGP10", "SPF", "F7"):
        here = post_capacity(grade(name), bar, free_length=length, service_class=damp)
        longer = post_capacity(grade(name), bar, free_length=length * 1.2, service_class=damp)
        damper = post_capacity(grade(name), bar, free_length=length, service_class=damp + 1)
        for other in (longer, damper):
            if here.force is not None and other.force is not None:
                assert 0.0 < other.force <= here.force * (1.0 + 1e-12)


def test_every_grade_gives_an_answer_or_says_what_is_missing() -> None:
    for one in all_grades():
        bar = section("40x40x2" if one.route == "steel" else "18x100" if one.route == "board" else "45x95")
        for damp in (1, 2, 3):
            allowed = allowed_stresses(one, bar, service_class=damp, flat=one.route == "board")
            told = (allowed.bending, allowed.shear)
            assert None not in told or allowed.missing, one.name
            post = post_capacity(one, bar, free_length=1.0, service_class=damp)
            assert post.force is not None or post.missing, one.name
            factor = later_factor(one, damp)
            assert factor is None or factor >= 1.0
            assert stiffness_in_use(one, damp)


def test_wet_american_timber_is_less_stiff() -> None:
    spf = grade("SPF")
    assert spf.stiffness is not None
    assert stiffness_in_use(spf, 3) == pytest.approx(0.9 * spf.stiffness)
    assert stiffness_in_use(spf, 2) == spf.stiffness


@pytest.mark.parametrize("service_class", [0, 4])
def test_a_damp_that_is_none_is_refused(service_class: int) -> None:
    with pytest.raises(OutsideValidRange):
        allowed_stresses(grade("C24"), section("45x95"), service_class=service_class)
