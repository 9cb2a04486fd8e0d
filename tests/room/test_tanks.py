import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.origin import Origin
from tankwright.plan.models import Plan
from tankwright.room.layout import lay_out

RACK = """
[[rack]]
id = "R"
kind = "two"
room = "cellar"
wall = "north"
from_west = "50 cm"
off_wall = "10 cm"
"""


def test_a_drilled_tank_turned_end_on_has_its_hole_where_its_back_then_is(lay):
    # its left end goes to the wall: length 40 cm front to back, depth 30 cm along the front, back to the right
    laid = lay(RACK + 'shelf.1 = [{ kind = "cube", ids = "T1", end_on = true, off_back = "0 cm" }]')
    tank = laid.room.tank("T1")
    assert (tank.length, tank.depth, tank.end_on) == (0.3, 0.4, True)
    assert tank.hole.centre[:2] == pytest.approx((0.8, 3.9 - 0.075))


@pytest.mark.parametrize(("pane", "x", "y"), [("left", 0.8 - 0.3 + 0.05, 3.9), ("right", 0.5 + 0.25, 3.9)])
def test_a_tank_drilled_in_an_end_stands_end_on_with_that_end_to_the_wall(lay, pane, x, y):
    kind = f"""
[tank_kind.endwise]
outside = ["40 cm", "30 cm", "32 cm"]
hole = {{ pane = "{pane}", from_left = "5 cm" }}
"""
    laid = lay(kind + RACK + 'shelf.1 = [{ kind = "endwise", ids = "T1", end_on = true, off_back = "0 cm" }]')
    assert laid.room.tank("T1").hole.centre[:2] == pytest.approx((x, y))


def test_mixed_kinds_follow_each_other_from_the_left(lay):
    kind = '[tank_kind.small]\noutside = ["20 cm", "20 cm", "20 cm"]\n'
    shelf = 'shelf.2 = [{ kind = "small", ids = "S1..S2", gap = "2 cm" }, { kind = "cube", ids = "C1", gap = "3 cm" }]'
    room = lay(kind + RACK + shelf).room
    assert [one.box.x0 for one in room.tanks] == pytest.approx([0.5, 0.72, 0.95])
    assert room.tank("S1").hole is None
    # an undrilled tank is filled to an assumed height below its rim
    assert room.tank("S1").level_known.origin is Origin.ASSUMED
    assert room.tank("S1").level == pytest.approx(0.9 + 0.2 - 0.03)


def test_tanks_longer_than_their_shelf_are_said_with_both_lengths(lay):
    laid = lay(RACK + 'shelf.1 = [{ kind = "cube", ids = "T1..T4", gap = "1 cm" }]')
    (finding,) = laid.findings
    assert finding.code == "LAYOUT-105"
    assert [round(one.value, 3) for _, one in finding.numbers] == [1.63, 1.3]
    assert len(laid.room.tanks) == 4


def test_clear_height_is_to_the_shelf_above_or_to_the_ceiling(lay):
    shelves = 'shelf.1 = [{ kind = "cube", ids = "T1" }]\nshelf.2 = [{ kind = "cube", ids = "T2" }]\n'
    room = lay(RACK + shelves + '[assume]\n"rack.shelf_thickness" = "7 cm"').room
    assert room.tank("T1").clear_above == pytest.approx(0.9 - 0.07 - 0.62)
    assert room.tank("T1").under == "shelf 2 of R"
    assert room.tank("T2").clear_above == pytest.approx(2.2 - 1.22)
    assert room.tank("T2").under == "ceiling"
    assert "rack.shelf_thickness" not in {one.key for one in room.assumed}


def test_a_tank_half_under_a_beam_and_one_under_a_slope_have_less_room(lay):
    room = """
[room.loft]
size = { length = "5 m", width = "4 m", height = "2.2 m" }
beams = [{ name = "beam", at = ["0 m", "3.5 m"], size = ["0.7 m", "0.3 m"], underside = "1.9 m" }]
ceiling_slope = { towards = "north", height = "1.4 m" }
"""
    rack = RACK.replace("cellar", "loft") + 'shelf.2 = [{ kind = "cube", ids = "T1..T2", off_back = "0 cm" }]'
    laid = lay(room + rack, with_room=False)
    first, second = laid.room.tank("T1"), laid.room.tank("T2")
    # ceiling at the tanks' back edge, y = 3.9: 1.4 + 0.8 * 0.1 / 4
    assert second.clear_above == pytest.approx(1.42 - 1.22)
    assert (first.under, second.under) == ("sloping ceiling", "sloping ceiling")
    low_beam = room.replace('underside = "1.9 m"', 'underside = "1.3 m"')
    laid = lay(low_beam + rack, with_room=False)
    assert laid.room.tank("T1").under == "beam"
    assert laid.room.tank("T1").clear_above == pytest.approx(1.3 - 1.22)
    assert laid.room.tank("T2").under == "sloping ceiling"


def test_an_elbow_that_cannot_reach_its_level_is_said_and_turned_as_far_as_it_goes(lay):
    kind = """
[tank_kind.low]
outside = ["40 cm", "30 cm", "32 cm"]
hole = { pane = "back", below_rim = "90 mm" }
overflow = { elbow_reach = "34 mm", water_below_rim = "40 mm", bore = "16 mm" }
"""
    laid = lay(kind + RACK + 'shelf.1 = [{ kind = "low", ids = "T1" }]')
    (finding,) = laid.findings
    assert finding.code == "LAYOUT-108"
    assert [round(one.value, 3) for _, one in finding.numbers] == [0.04, 0.056, 0.098]
    assert laid.room.tank("T1").freeboard == pytest.approx(0.056)
    assert laid.room.tank("T1").overflow.angle == 0.0


def test_an_angle_sets_the_level_and_a_level_said_beside_it_must_agree(lay):
    kind = """
[tank_kind.turned]
outside = ["40 cm", "30 cm", "32 cm"]
hole = { pane = "back", below_rim = "70 mm" }
overflow = { elbow_reach = "34 mm", bore = "16 mm", angle = "90 °"%s }
"""
    shelf = 'shelf.1 = [{ kind = "turned", ids = "T1" }]'
    tank = lay(kind % "" + RACK + shelf).room.tank("T1")
    assert tank.freeboard == pytest.approx(0.078)
    assert tank.overflow.angle == pytest.approx(math.pi / 2)
    laid = lay(kind % ', water_below_rim = "42 mm"' + RACK + shelf)
    assert [one.code for one in laid.findings] == ["LAYOUT-113"]


def test_a_standpipe_in_the_base_holds_the_water_at_its_top(lay):
    kind = """
[tank_kind.base]
outside = ["40 cm", "30 cm", "32 cm"]
hole = { pane = "base", from_left = "10 cm", from_back = "8 cm", diameter = "30 mm" }
overflow = { kind = "standpipe", water_below_rim = "5 cm" }
"""
    tank = lay(kind + RACK + 'shelf.1 = [{ kind = "base", ids = "T1", off_back = "0 cm" }]').room.tank("T1")
    assert tank.overflow.kind == "standpipe"
    assert tank.level == pytest.approx(0.30 + 0.32 - 0.05)
    assert tank.hole.centre == pytest.approx((0.6, 3.82, 0.30))
    edges = dict(tank.hole.edge_distances)
    assert edges == {k: pytest.approx(v) for k, v in
                     {"left": 0.085, "right": 0.285, "back": 0.065, "front": 0.205}.items()}  # fmt: skip


def test_an_elbow_in_the_base_an_overflow_without_hole_and_a_hole_over_the_edge_are_said(lay):
    kinds = """
[tank_kind.a]
outside = ["40 cm", "30 cm", "32 cm"]
hole = { pane = "base" }
overflow = { kind = "elbow" }
[tank_kind.b]
outside = ["40 cm", "30 cm", "32 cm"]
overflow = { water_below_rim = "4 cm" }
"""
    shelf = 'shelf.1 = [{ kind = "a", ids = "A" }, { kind = "b", ids = "B" }]'
    laid = lay(kinds + RACK + shelf)
    assert {one.code for one in laid.findings} == {"LAYOUT-110", "LAYOUT-109"}
    assert laid.room.tank("B").hole is None
    assert laid.room.tank("B").freeboard == pytest.approx(0.04)


def test_an_assumed_level_is_assumed_over_a_band_and_moves_with_a_trial(lay):
    kind = '[tank_kind.plain]\noutside = ["40 cm", "30 cm", "32 cm"]\nhole = { pane = "back", below_rim = "7 cm" }\n'
    text = kind + RACK + 'shelf.1 = [{ kind = "plain", ids = "T1" }]'
    tank = lay(text).room.tank("T1")
    assert tank.level_known.key == "overflow.below_rim"
    assert tank.level_known.band == pytest.approx((0.62 - 0.06, 0.62 - 0.025))
    assert lay(text, trial={"overflow.below_rim": 0.06}).room.tank("T1").freeboard == pytest.approx(0.06)


def plan_of(lengths: list[int], gap: int, end_on: list[bool]) -> Plan:
    kinds = {f"k{i}": {"outside": [f"{one} mm", "250 mm", "300 mm"]} for i, one in enumerate(lengths)}
    shelf = [
        {"kind": f"k{i}", "ids": f"T{i}", "gap": f"{gap} mm", "end_on": turned}
        for i, turned in enumerate(end_on)
    ]
    rack_kind = {"length": "4 m", "depth": "50 cm", "shelves": ["30 cm"]}
    rack = {"id": "R", "kind": "r", "room": "a", "wall": "east", "from_south": "10 cm", "shelf": {"1": shelf}}
    size = {"length": "5 m", "width": "5 m", "height": "2.2 m"}
    return Plan.model_validate(
        {"room": {"a": {"size": size}}, "tank_kind": kinds, "rack_kind": {"r": rack_kind}, "rack": [rack]}
    )


@settings(max_examples=60, deadline=None)
@given(
    tanks=st.lists(st.tuples(st.integers(100, 900), st.booleans()), min_size=1, max_size=9),
    gap=st.integers(0, 50),
)
def test_tanks_on_a_shelf_never_overlap_and_stay_on_it_when_they_fit(
    tanks: list[tuple[int, bool]], gap: int
) -> None:
    lengths, end_on = [one for one, _ in tanks], [one for _, one in tanks]
    laid = lay_out(plan_of(lengths, gap, end_on))
    assert laid.room is not None
    placed = sorted(laid.room.tanks, key=lambda tank: -tank.box.y1)  # left is north on an east wall
    needed = sum(0.25 if turned else length / 1000 for length, turned in tanks) + gap / 1000 * (
        len(tanks) - 1
    )
    assert ("LAYOUT-105" in {one.code for one in laid.findings}) == (needed > 4.0 + 1e-3)
    for left, right in pairwise(placed):
        assert left.box.y0 - right.box.y1 == pytest.approx(gap / 1000, abs=1e-9)
    assert [tank.id for tank in placed] == [f"T{number}" for number in range(len(tanks))]
    assert placed[0].box.y1 == pytest.approx(4.1)
