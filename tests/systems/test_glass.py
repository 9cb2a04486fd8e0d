"""Panes taken out of their room, screened, and left out where nothing may be guessed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.origin import Known, Origin
from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.physics.ranges import OutsideValidRange
from tankwright.systems.glass import screen_pane, solve_glass
from tankwright.systems.glass_panes import panes_of

from .glass_rooms import case_of, glass_room, moved, screened, solved

WATER = WATER_DENSITY * STANDARD_GRAVITY


def test_a_tank_is_five_plates_between_the_lines_that_hold_them() -> None:
    cases = {case.pane: case for case in panes_of(glass_room(kind='base_on = "edges"')).cases}
    assert set(cases) == {"front", "back", "left", "right", "base"}
    back, left, base = cases["back"], cases["left"], cases["base"]
    assert (back.length, back.height) == (pytest.approx(0.600 - 0.006), pytest.approx(0.380 - 0.006))
    assert left.length == pytest.approx(0.400 - 2 * 0.006)
    assert (base.length, base.height) == (pytest.approx(0.594), pytest.approx(0.394))
    assert back.head == pytest.approx(0.380 - 0.042 - 0.006)
    assert back.brim == pytest.approx(back.height)
    assert back.tanks == ("A1", "A2")
    assert back.holes[0].x == pytest.approx(0.090 - 0.003)
    assert back.holes[0].y == pytest.approx(back.height - 0.070)
    assert cases["front"].holes == ()


def test_a_place_in_a_pane_is_told_as_it_is_drilled_and_back() -> None:
    for pane in ("back", "left", "base"):
        case, _ = case_of(pane, kind='base_on = "edges"')
        x, y = case.in_frame(0.1, 0.07)
        assert case.as_drilled(x, y) == (pytest.approx(0.1), pytest.approx(0.07))
    end, _ = case_of(
        "left", hole='hole = { pane = "left", diameter = "35 mm", from_left = "9 cm", below_rim = "7 cm" }'
    )
    assert end.as_drilled(end.holes[0].x, end.holes[0].y) == (pytest.approx(0.09), pytest.approx(0.07))
    base, _ = case_of(
        "base",
        kind='base_on = "edges"',
        hole='hole = { pane = "base", diameter = "35 mm", from_left = "9 cm", from_back = "8 cm" }',
        overflow='overflow = { kind = "standpipe", water_below_rim = "42 mm" }',
    )
    assert base.as_drilled(base.holes[0].x, base.holes[0].y) == (pytest.approx(0.09), pytest.approx(0.08))


def test_a_tank_turned_end_on_has_the_same_panes() -> None:
    plain, turned = panes_of(glass_room()), panes_of(glass_room(standing=", end_on = true"))
    for one, other in zip(plain.cases, turned.cases, strict=True):
        assert (one.pane, one.length, one.height, one.head) == (
            other.pane, other.length, other.height, other.head,
        )  # fmt: skip


def test_a_tank_filled_otherwise_is_a_case_of_its_own() -> None:
    result = solved(more='\n[tank.A2]\noverflow = { water_below_rim = "60 mm" }')
    both = result.of("long", "back")
    assert sorted(one.case.tanks for one in both) == [("A1",), ("A2",)]
    deep, shallow = sorted(both, key=lambda one: -one.case.head)
    assert deep.use > shallow.use


def test_a_base_carries_water_bed_and_itself() -> None:
    bare, _ = case_of("base", kind='base_on = "edges"')
    assert bare.pressure == pytest.approx(0.006 * 2500 * STANDARD_GRAVITY)
    deep, _ = case_of(
        "base", kind='base_on = "edges"\nsubstrate = { depth = "5 cm", density = "1900 kg/m3" }'
    )
    assert deep.pressure - bare.pressure == pytest.approx(0.05 * (1900 * STANDARD_GRAVITY - WATER))


def test_a_base_on_a_bed_is_not_bent_and_is_told_apart() -> None:
    result = solved()
    assert [case.pane for case in result.bedded] == ["base"]
    assert result.of("long", "base") == ()


def test_the_worst_pane_of_a_kind_comes_first() -> None:
    uses = [one.use for one in solved(kind='base_on = "edges"').panes]
    assert len(uses) == 5
    assert uses == sorted(uses, reverse=True)


def test_front_and_back_are_pulled_alike_but_for_the_hole() -> None:
    front, back = screened("front"), screened("back")
    assert front.plain == back.plain
    assert front.holes == ()
    assert len(back.holes) == 1


def test_a_hole_in_the_middle_under_an_open_rim_nearly_doubles_the_pull_and_a_corner_does_not() -> None:
    # the place in the middle 45 mm below the rim: 10.15 MPa of 5.56 by finite elements, the corner 5.40
    case, strengths = case_of("back")
    case = replace(case, head=case.height)
    middle = screen_pane(moved(case, 0.300, 0.045), strengths)
    corner = screen_pane(moved(case, 0.060, 0.045), strengths)
    raised, beside = middle.holes[0].stress / middle.plain, corner.holes[0].stress / corner.plain
    # the screening takes the worst place of the rim: up to 7 % above finite elements
    assert 10.15 / 5.56 * 0.99 < raised < 10.15 / 5.56 * 1.07
    assert 5.40 / 5.56 * 0.99 < beside < 5.40 / 5.56 * 1.10
    assert (middle.governs, middle.worst) == ("hole", middle.holes[0].stress)


def test_use_is_a_share_of_the_working_strength_of_what_governs() -> None:
    one = screened("back", hole="", overflow="")
    assert one.governs in ("surface", "edge")
    shares = (one.plain / one.strengths.working_surface.value, one.edge / one.strengths.working_edge.value)
    assert one.use == max(shares)


@pytest.mark.parametrize("top", ["open", "rim"])
def test_thicker_glass_and_less_water_are_used_less(top: str) -> None:
    kind = f'top = "{top}"'
    five = screened("back", kind=kind, glass='glass = { sides = "5 mm", base = "6 mm", temper = "annealed" }')
    six = screened("back", kind=kind)
    lower = 'overflow = { elbow_reach = "34 mm", water_below_rim = "70 mm", bore = "16 mm" }'
    low = screened("back", kind=kind, overflow=lower)
    assert low.use < six.use < five.use
    assert six.use < six.brim_use
    assert six.deflection < five.deflection


def test_a_rim_takes_a_quarter_off_and_most_of_the_bow() -> None:
    # 600 x 380 x 6 mm under full water: 5.56 -> 3.95 MPa, 1.00 -> 0.24 mm, by an own series before this one
    for kind, pull, bow in (("", 5.56, 1.00), ('top = "rim"', 3.95, 0.24)):
        case, strengths = case_of("front", kind=kind, hole="", overflow="")
        one = screen_pane(replace(case, length=0.6, height=0.38, head=0.38), strengths)
        assert round(one.plain / 1e6, 2) == pytest.approx(pull, abs=0.011)  # water of 998.2 kg/m3, not 1000
        assert round(one.deflection * 1000, 2) == pytest.approx(bow, abs=0.011)


@pytest.mark.parametrize(("left", "below"), [("300 mm", "60 mm"), ("90 mm", "70 mm")])
def test_the_thickness_named_is_just_enough(left: str, below: str) -> None:
    hole = f'hole = {{ pane = "back", diameter = "35 mm", from_left = "{left}", below_rim = "{below}" }}'
    case, strengths = case_of("back", hole=hole)
    needed = screen_pane(case, strengths).needed
    assert needed is not None

    def use(thickness: float) -> float:
        return screen_pane(replace(case, thickness=replace(case.thickness, value=thickness)), strengths).use

    assert use(needed) <= 1.0 < use(needed - 0.0001)


def test_a_brace_in_part_is_screened_as_absent_and_as_whole() -> None:
    cross = 'top = "braced"\nbrace = { kind = "cross", width = "60 mm" }'
    front, left = screened("front", kind=cross), screened("left", kind=cross)
    free, rim = screened("front"), screened("front", kind='top = "rim"')
    assert front.case.held == "cross"
    assert (front.use, front.held_use) == (free.use, pytest.approx(rim.use))
    assert (left.case.held, left.held_use) == ("free", None)
    euro = 'top = "braced"\nbrace = { kind = "euro", width = "60 mm" }'
    assert {one.case.held for one in solved(kind=euro + '\nbase_on = "bed"').panes} == {"euro"}
    unsaid = screened("front", kind='top = "braced"')
    assert (unsaid.case.held, unsaid.case.brace) == ("cross", None)


def test_water_over_the_rim_is_taken_to_the_rim() -> None:
    case, strengths = case_of("back")
    assert screen_pane(replace(case, head=9.0), strengths).plain == pytest.approx(
        screen_pane(replace(case, head=case.height), strengths).plain
    )


@pytest.mark.parametrize(
    ("glass", "panes", "said"),
    [
        ("", "tank kind long", "thickness is not said"),
        ('glass = { sides = "6 mm", temper = "annealed" }', "tank kind long, base", "thickness is not said"),
        ('glass = { sides = "2.5 mm", base = "6 mm", temper = "annealed" }',
         "tank kind long, front, back, left end and right end", "thinner than 3 mm"),
        ('glass = { sides = "6 mm", base = "6 mm" }', "tank kind long", "annealed or toughened"),
        ('glass = { sides = "6 mm", base = "6 mm", temper = "toughened" }', "tank kind long, back", "never drilled"),
    ],
)  # fmt: skip
def test_what_nobody_measured_is_not_worked_out_and_says_what_to_measure(
    glass: str, panes: str, said: str
) -> None:
    result = solved(glass=glass, kind='base_on = "edges"')
    (subject, reason, remedy), *_ = result.not_computed
    assert subject == panes
    assert said in reason
    assert remedy
    left_out = {"tank kind long": 5, "tank kind long, base": 1, "tank kind long, back": 1}.get(panes, 4)
    assert len(result.panes) == 5 - left_out


def test_a_hole_nobody_measured_is_never_given_a_size() -> None:
    result = solved(hole='hole = { pane = "back", from_left = "90 mm", below_rim = "70 mm" }')
    (back,) = result.of("long", "back")
    assert back.holes == ()
    ((subject, _, remedy),) = result.not_computed
    assert subject == "tank kind long, back, its hole"
    assert "measure your fitting" in remedy


def test_a_hole_off_its_pane_is_not_worked_out() -> None:
    result = solved(
        hole='hole = { pane = "back", diameter = "35 mm", from_left = "1 cm", below_rim = "70 mm" }'
    )
    assert result.of("long", "back")[0].holes == ()
    assert "runs off" in result.not_computed[0][1]


def test_a_shape_beyond_the_series_is_left_out_and_said() -> None:
    result = solved(
        outside='["180 cm", "30 cm", "20 cm"]',
        hole="",
        overflow="",
        kind='base_on = "bed"',
        ids="A1",
    )
    assert [one.case.pane for one in result.panes] == ["left", "right"]
    assert "length" in result.not_computed[0][1]


def test_a_single_pane_beyond_the_series_is_refused() -> None:
    case, strengths = case_of("back")
    with pytest.raises(OutsideValidRange):
        screen_pane(replace(case, length=9.0 * case.height), strengths)


@pytest.mark.parametrize(
    ("edges", "factor"), [("polished", 1.0), ("seamed", 0.9), ("as cut", 0.8), ("", 0.8)]
)
def test_how_an_edge_was_worked_counts_for_a_pane_without_a_hole(edges: str, factor: float) -> None:
    said = f', edges = "{edges}"' if edges else ""
    glass = f'glass = {{ sides = "6 mm", base = "6 mm", temper = "annealed"{said} }}'
    front, back = screened("front", glass=glass), screened("back", glass=glass)
    assert front.strengths.en_edge == pytest.approx(factor * front.strengths.en_surface)
    assert back.strengths.en_edge == pytest.approx(0.8 * back.strengths.en_surface)


def test_the_working_strength_lies_between_the_routes_or_at_the_lower_one() -> None:
    strengths = screened("back").strengths
    assert strengths.working_surface.value == pytest.approx(strengths.duration_surface, rel=0.01)
    assert strengths.working_edge.value == pytest.approx(strengths.duration_edge, rel=0.02)
    assert strengths.working_surface.value < strengths.en_surface
    assert strengths.working_edge.value < strengths.en_edge
    assert strengths.week == pytest.approx(0.48 / 0.29, rel=0.01)  # the factors as the standard prints them


def test_the_owner_sets_what_glass_may_bear() -> None:
    room = glass_room(more='\n[assume]\n"glass.working_surface" = "3 MPa"')
    (front,) = solve_glass(room).of("long", "front")
    assert front.strengths.working_surface.value == pytest.approx(3e6)
    assert front.strengths.working_surface.origin is Origin.GIVEN


def test_another_place_along_the_same_height_is_found_where_the_hole_governs() -> None:
    hole = 'hole = { pane = "back", diameter = "35 mm", from_left = "300 mm", below_rim = "60 mm", flange = "50 mm" }'
    one = screened("back", hole=hole)
    assert one.governs == "hole"
    assert one.better is not None
    assert one.better.below_rim == pytest.approx(0.060)
    assert one.better.stress < 0.7 * one.holes[0].stress
    assert min(one.better.from_left, 0.6 - one.better.from_left) < 0.1


def test_no_place_behind_an_upright_is_named() -> None:
    hole = 'hole = { pane = "back", diameter = "35 mm", from_left = "300 mm", below_rim = "60 mm", flange = "50 mm" }'
    free = screened("back", hole=hole, ids="A1")
    blocked = screened("back", hole=hole, ids="A1", uprights='["0 cm", "12 cm", "61 cm", "195.5 cm"]')
    assert free.better is not None
    assert blocked.better is None or abs(blocked.better.from_left - 0.3) < abs(free.better.from_left - 0.3)


def test_nothing_measured_is_hidden_in_a_room_without_laws() -> None:
    room = replace(glass_room(), glass_laws=None)
    (front,) = solve_glass(room).of("long", "front")
    assert front.case.stiffness == Known(
        70e9, Origin.ASSUMED, key="glass.stiffness", band=(69e9, 72e9), reason=front.case.stiffness.reason
    )
