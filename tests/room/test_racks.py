"""Positions worked out by hand in a room of 5 m by 4 m; the rack is 1.3 m long and 0.4 m deep."""

import pytest

from tankwright.finding import Severity

from .conftest import KINDS

RACK = """
[[rack]]
id = "R"
kind = "two"
room = "cellar"
{place}
shelf.1 = [{{ kind = "cube", ids = "T1..T3", gap = "1 cm", off_back = "5 cm" }}]
"""

# place, the rack's box, the box of T1 (its left one seen from the front), the hole of T1
CASES = {
    "north": (
        'wall = "north"\nfrom_west = "50 cm"\noff_wall = "10 cm"',
        (0.5, 3.5, 1.8, 3.9),
        (0.5, 3.55, 0.9, 3.85),
        (0.575, 3.85),
    ),
    "south": (
        'wall = "south"\nfrom_west = "50 cm"\noff_wall = "10 cm"',
        (0.5, 0.1, 1.8, 0.5),
        (1.4, 0.15, 1.8, 0.45),
        (1.725, 0.15),
    ),
    "east": (
        'wall = "east"\nfrom_south = "50 cm"\noff_wall = "10 cm"',
        (4.5, 0.5, 4.9, 1.8),
        (4.55, 1.4, 4.85, 1.8),
        (4.85, 1.725),
    ),
    "west": (
        'wall = "west"\nfrom_south = "50 cm"\noff_wall = "10 cm"',
        (0.1, 0.5, 0.5, 1.8),
        (0.15, 0.5, 0.45, 0.9),
        (0.15, 0.575),
    ),
    "island facing north": (
        'at = ["2 m", "1.5 m"]\nfacing = "north"',
        (2.0, 1.5, 3.3, 1.9),
        (2.9, 1.55, 3.3, 1.85),
        (3.225, 1.55),
    ),
    "island facing east": (
        'at = ["2 m", "1.5 m"]\nfacing = "east"',
        (2.0, 1.5, 2.4, 2.8),
        (2.05, 1.5, 2.35, 1.9),
        (2.05, 1.575),
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_left_is_left_for_someone_standing_before_the_rack(lay, name):
    place, rack_box, tank_box, hole = CASES[name]
    laid = lay(RACK.format(place=place))
    assert laid.findings == ()
    rack, tank = laid.room.racks[0], laid.room.tank("T1")
    assert (rack.box.x0, rack.box.y0, rack.box.x1, rack.box.y1) == pytest.approx(rack_box)
    assert (tank.box.x0, tank.box.y0, tank.box.x1, tank.box.y1) == pytest.approx(tank_box)
    assert tank.hole.centre[:2] == pytest.approx(hole)
    assert rack.island is name.startswith("island")


def test_heights_of_floor_hole_lip_and_rim_by_hand(lay):
    laid = lay(RACK.format(place=CASES["north"][0]))
    tank = laid.room.tank("T2")
    assert (tank.box.z0, tank.floor_inside) == pytest.approx((0.30, 0.306))
    assert tank.hole.centre[2] == pytest.approx(0.62 - 0.07)
    assert (tank.level, tank.overflow.lip, tank.rim) == pytest.approx((0.578, 0.578, 0.62))
    assert tank.freeboard == pytest.approx(0.042)
    assert tank.inside_area == pytest.approx(0.39 * 0.29)
    assert tank.water_volume == pytest.approx(0.39 * 0.29 * 0.272)
    # panes: 0.4 x 0.3 x 0.32 m outside less the inside, glass 2500 kg/m3
    assert tank.empty_mass.value == pytest.approx(2500 * (0.4 * 0.3 * 0.32 - 0.39 * 0.29 * 0.314))


def test_uprights_are_measured_from_the_left_end_and_stay_inside_the_rack(lay):
    rack = lay(RACK.format(place=CASES["west"][0])).room.racks[0]
    assert [tuple(one) for one in rack.uprights] == [pytest.approx((0.0, 0.04)), pytest.approx((1.26, 1.30))]


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('"126 cm"]', '"1260 cm"]', "LAYOUT-166"),
        ('shelves = ["30 cm", "90 cm"]', 'height = "80 cm"\nshelves = ["30 cm", "90 cm"]', "LAYOUT-167"),
    ],
)
def test_uprights_that_cannot_be_where_the_plan_has_them_are_said(lay, old, new, code):
    rack = RACK.format(place=CASES["west"][0])
    (finding,) = lay(KINDS.replace(old, new) + rack, with_kinds=False).findings
    assert (finding.code, finding.severity, finding.subject) == (code, Severity.PROBLEM, "rack kind two")
    assert lay(KINDS + rack, with_kinds=False).findings == ()


def test_a_rack_over_the_wall_is_said_with_how_far_and_laid_out_all_the_same(lay):
    laid = lay(RACK.format(place='wall = "north"\nfrom_west = "4 m"\noff_wall = "10 cm"'))
    (finding,) = laid.findings
    assert finding.code == "LAYOUT-103"
    assert finding.numbers[0][1].value == pytest.approx(0.3)
    assert len(laid.room.tanks) == 3


def test_a_rack_without_a_place_is_said_and_drawn_on_the_north_wall(lay):
    laid = lay(RACK.format(place=""))
    assert {one.code for one in laid.findings} >= {"LAYOUT-102"}
    assert laid.room.racks[0].facing == "south"


def test_racks_without_a_distance_stand_one_after_the_other(lay):
    two = RACK.format(place='wall = "north"') + RACK.format(place='wall = "north"').replace(
        '"R"', '"S"'
    ).replace("T1..T3", "T4..T6")
    laid = lay(two)
    assert [one.box.x0 for one in laid.room.racks] == pytest.approx([0.0, 1.3])
    assert {one.code for one in laid.findings} == {"LAYOUT-124"}


def test_a_distance_along_the_wrong_wall_is_said(lay):
    laid = lay(RACK.format(place='wall = "north"\nfrom_south = "1 m"'))
    assert "LAYOUT-125" in {one.code for one in laid.findings}


def test_an_assumed_gap_behind_a_rack_moves_with_its_trial(lay):
    text = RACK.format(place='wall = "north"\nfrom_west = "1 m"')
    assert lay(text).room.racks[0].box.y1 == pytest.approx(4.0 - 0.08)
    assert lay(text, trial={"rack.off_wall": 0.15}).room.racks[0].box.y1 == pytest.approx(3.85)
    assert "rack.off_wall" in {one.key for one in lay(text).room.assumed}
