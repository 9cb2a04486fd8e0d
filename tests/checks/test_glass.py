"""What is said of glass: each sentence comes when it is true and goes when it is mended."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.checks.glass import SCREENING, check_glass
from tankwright.display import render_finding
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room
from tankwright.systems.glass import solve_glass

from ..systems.glass_rooms import glass_room

FIVE = 'glass = { sides = "5 mm", base = "6 mm", temper = "annealed" }'
EIGHT = 'glass = { sides = "8 mm", base = "8 mm", temper = "annealed" }'
TEN = 'glass = { sides = "10 mm", base = "8 mm", temper = "annealed" }'
MIDDLE = 'hole = { pane = "back", diameter = "35 mm", from_left = "300 mm", below_rim = "60 mm", flange = "50 mm" }'
NO_HOLE = {"hole": "", "overflow": 'overflow = { water_below_rim = "42 mm" }'}


def said(room: Room) -> tuple[Finding, ...]:
    return check_glass(room, solve_glass(room))


def of(code: str, **changes: str) -> list[Finding]:
    return [one for one in said(glass_room(**changes)) if one.code == code]


def test_thick_glass_leaves_nothing_to_say_but_that_it_is_screened() -> None:
    findings = said(glass_room(glass=TEN))
    assert [(one.code, one.severity) for one in findings] == [("GLASS-09", Severity.NOTE)]
    assert "flanges" in findings[0].reason
    assert SCREENING in findings[0].reason


def test_every_verdict_calls_itself_a_screening_and_defers() -> None:
    room = glass_room(glass=FIVE, hole=MIDDLE, kind="")
    for finding in said(room):
        assert "screening" in finding.reason
        assert "maker" in finding.reason
        assert "engineer" in finding.reason
        assert not {"safe", "certified", "fine"} & set(
            f"{finding.text} {finding.reason} {finding.remedy}".split()
        )


# --- GLASS-01 ---------------------------------------------------------------------------------------------------------


def test_a_pane_over_both_routes_is_a_problem() -> None:
    (one,) = of("GLASS-01", glass=FIVE, **NO_HOLE)
    assert one.severity is Severity.PROBLEM
    assert one.subject == "tank kind long, front and back"
    assert one.value is not None
    assert one.limit is not None
    assert one.value.value > one.limit.value
    assert "glass.working_edge" in one.rests_on
    assert one.places == ("A1", "A2")
    assert "5 mm" not in render_finding(one, "metric").split("thicker glass")[0]


def test_a_pane_between_the_routes_and_one_close_to_them_are_warnings() -> None:
    for glass, over in ((FIVE.replace("5 mm", "5.6 mm"), True), (FIVE.replace("5 mm", "6.4 mm"), False)):
        (one,) = of("GLASS-01", glass=glass, **NO_HOLE)
        assert one.severity is Severity.WARNING
        assert one.value is not None
        assert one.limit is not None
        assert (one.value.value > one.limit.value) is over
        assert ("{needed}" in one.remedy) is over
        assert ("no higher" in one.remedy) is not over


def test_a_strength_its_owner_gives_has_no_band_to_hide_in() -> None:
    assume = '\n[assume]\n"glass.working_edge" = "3 MPa"'
    (one,) = of("GLASS-01", glass=FIVE.replace("5 mm", "6 mm"), more=assume, **NO_HOLE)
    assert one.severity is Severity.PROBLEM
    assert one.rests_on == ()


def test_a_pane_with_a_rim_is_not_told_to_get_one() -> None:
    (one,) = of("GLASS-01", glass=FIVE, kind='top = "rim"\nbase_on = "bed"', **NO_HOLE)
    assert "rim" not in one.remedy


def test_a_base_on_its_edges_is_judged_and_one_on_a_bed_is_not() -> None:
    thin = 'glass = { sides = "8 mm", base = "4 mm", temper = "annealed" }'
    (one,) = of("GLASS-01", glass=thin, kind='base_on = "edges"')
    assert one.subject == "tank kind long, base"
    assert "mat" in one.remedy
    assert of("GLASS-01", glass=thin) == []


# --- GLASS-02 ---------------------------------------------------------------------------------------------------------


def test_a_hole_in_a_bad_place_is_told_where_it_would_do_better() -> None:
    (one,) = of("GLASS-02", hole=MIDDLE)
    assert one.severity is Severity.PROBLEM
    assert one.subject == "tank kind long, back"
    numbers = {name: number.value for name, number in one.numbers}
    assert numbers["there"] < 0.7 * numbers["stress"]
    assert "instead" in one.remedy
    shown = render_finding(one, "metric")
    assert "from the left instead" in shown
    assert "{" not in shown
    there = MIDDLE.replace("300 mm", f"{numbers['left'] * 1000:.0f} mm")
    (two,) = of("GLASS-02", hole=there)
    assert two.severity is Severity.WARNING
    assert two.value is not None
    assert two.value.value == pytest.approx(numbers["there"], rel=0.02)


def test_a_hole_that_holds_is_a_note_where_another_place_is_much_better() -> None:
    (note,) = of("GLASS-02", hole=MIDDLE, glass=TEN)
    assert note.severity is Severity.NOTE
    assert "instead" in note.remedy


def test_a_hole_in_an_end_is_told_from_the_front() -> None:
    end = 'hole = { pane = "left", diameter = "35 mm", from_left = "20 cm", below_rim = "12 cm", flange = "50 mm" }'
    (one,) = of("GLASS-02", hole=end, glass=FIVE)
    assert "from the front instead" in one.remedy


def test_a_hole_whose_place_is_assumed_says_so() -> None:
    unsaid = 'hole = { pane = "back", diameter = "35 mm", flange = "50 mm" }'
    found = of("GLASS-02", hole=unsaid, glass=FIVE)
    assert {"hole.from_left", "hole.below_rim"} <= set(found[0].rests_on)


# --- GLASS-03 to 07 ---------------------------------------------------------------------------------------------------

LONG = '["120 cm", "40 cm", "45 cm"]'
CROSS = 'top = "braced"\nbrace = { kind = "cross", width = "60 mm" }\nbase_on = "bed"'


def test_a_braced_pane_is_left_to_the_full_check_and_an_undescribed_brace_asked_for() -> None:
    (one,) = of("GLASS-03", outside=LONG, kind=CROSS, glass=EIGHT, ids="A1", **NO_HOLE)
    assert one.severity is Severity.NOT_COMPUTED
    assert one.subject == "tank kind long, front and back"
    assert "tankwright glass" in one.remedy
    (unsaid,) = of(
        "GLASS-03", outside=LONG, kind='top = "braced"\nbase_on = "bed"', glass=EIGHT, ids="A1", **NO_HOLE
    )
    assert "measure the brace" in unsaid.remedy
    assert of("GLASS-01", outside=LONG, kind=CROSS, glass=EIGHT, ids="A1", **NO_HOLE) == []


def test_a_pane_no_brace_can_help_is_a_problem_at_once() -> None:
    thin = 'glass = { sides = "5 mm", base = "8 mm", temper = "annealed" }'
    assert of("GLASS-01", outside=LONG, kind=CROSS, glass=thin, ids="A1", **NO_HOLE)
    assert of("GLASS-03", outside=LONG, kind=CROSS, glass=thin, ids="A1", **NO_HOLE) == []


def test_a_small_braced_pane_has_nothing_to_check() -> None:
    assert of("GLASS-03", outside='["30 cm", "30 cm", "30 cm"]', kind=CROSS, **NO_HOLE) == []


def test_a_pane_that_bows_far_is_told_twice_over_by_how_much() -> None:
    long = {"outside": '["150 cm", "40 cm", "45 cm"]', "ids": "A1", **NO_HOLE}
    (one,) = of("GLASS-04", glass='glass = { sides = "6 mm", base = "8 mm", temper = "annealed" }', **long)
    assert one.severity in (Severity.NOTE, Severity.WARNING)
    (far,) = of("GLASS-04", glass='glass = { sides = "4 mm", base = "8 mm", temper = "annealed" }', **long)
    assert far.severity is Severity.WARNING
    assert "65th" in far.text
    assert of("GLASS-04") == []


def test_a_pane_beyond_half_its_thickness_has_left_these_sums() -> None:
    changes = {"outside": '["90 cm", "40 cm", "45 cm"]', "ids": "A1", **NO_HOLE}
    (one,) = of("GLASS-04", glass='glass = { sides = "6 mm", base = "8 mm", temper = "annealed" }', **changes)
    assert one.severity is Severity.NOTE
    assert "half its thickness" in one.text
    assert one.rests_on == ("glass.stiffness",)


def test_what_carries_a_base_is_asked_where_it_matters() -> None:
    thin = 'glass = { sides = "8 mm", base = "5 mm", temper = "annealed" }'
    (one,) = of("GLASS-05", glass=thin, kind="")
    assert one.severity is Severity.WARNING
    assert 'base_on = "bed"' in one.remedy
    assert of("GLASS-05", glass=thin, kind='base_on = "edges"') == []
    assert (
        of("GLASS-05", glass='glass = { sides = "8 mm", base = "12 mm", temper = "annealed" }', kind="") == []
    )


def test_toughened_panes_are_for_their_maker() -> None:
    hard = 'glass = { sides = "4 mm", base = "6 mm", temper = "toughened" }'
    (one,) = of("GLASS-06", glass=hard, **NO_HOLE)
    assert one.severity is Severity.NOT_COMPUTED
    assert of("GLASS-01", glass=hard, **NO_HOLE) == []
    assert of("GLASS-06", glass=hard.replace("4 mm", "10 mm"), **NO_HOLE) == []


def test_water_to_the_rim_for_a_week_is_looked_at() -> None:
    (one,) = of("GLASS-07", glass=FIVE, hole=MIDDLE)
    assert one.value is not None
    assert one.value.value > 1.0
    assert "overflow" in one.reason
    assert of("GLASS-07", glass=EIGHT) == []


# --- GLASS-08 and 09 --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "subject", "remedy"),
    [
        ({"glass": ""}, "tank kind long", "caliper"),
        ({"glass": 'glass = { sides = "6 mm", base = "6 mm" }'}, "tank kind long", "annealed"),
        ({"glass": 'glass = { sides = "2 mm", base = "6 mm", temper = "annealed" }'},
         "tank kind long, front, back, left end and right end", "caliper"),
        ({"hole": 'hole = { pane = "back", from_left = "90 mm", below_rim = "70 mm" }'},
         "tank kind long, back, its hole", "measure your fitting"),
        ({"glass": 'glass = { sides = "6 mm", base = "6 mm", temper = "toughened" }'}, "tank kind long, back", "drill"),
    ],
)  # fmt: skip
def test_what_is_not_worked_out_never_looks_as_if_it_held(
    changes: dict[str, str], subject: str, remedy: str
) -> None:
    (one,) = of("GLASS-08", **changes)
    assert one.severity is Severity.NOT_COMPUTED
    assert one.subject == subject
    assert remedy in one.remedy
    assert one.places == ("A1", "A2")


def test_a_room_without_tanks_has_nothing_to_say() -> None:
    room = glass_room()
    assert said(replace(room, tanks=())) == ()
