import math

import pytest

from tankwright.origin import Origin

RACKS = """
[outfall.gully]
room = "cellar"
at = ["4.9 m", "0.1 m"]
height = "-5 cm"

[[rack]]
id = "N"
kind = "two"
room = "cellar"
wall = "north"
from_west = "1 m"
off_wall = "10 cm"
shelf.1 = [{ kind = "cube", ids = "N1..N3", gap = "1 cm", off_back = "5 cm" }]
shelf.2 = [{ kind = "cube", ids = "N4..N6", gap = "1 cm", off_back = "5 cm" }]

[[rack]]
id = "E"
kind = "two"
room = "cellar"
wall = "east"
from_south = "1 m"
off_wall = "10 cm"
shelf.1 = [{ kind = "cube", ids = "E1", off_back = "5 cm" }]
"""
DRAIN = """
[drain.main]
to = "gully"
behind = ["N", "E"]
fall = "1:50"
bore = "46 mm"
hose = { bore = "13 mm" }
"""


def test_the_run_goes_behind_the_racks_round_the_corner_and_down_to_the_outfall(lay):
    drain = lay(RACKS + DRAIN).room.drains[0]
    # x from the rack's west end, in the middle of the 10 cm gap; then the north-east corner; then the outfall
    corners = [node.place[:2] for node in drain.nodes if not node.tanks]
    assert corners == [pytest.approx(one) for one in [(1.0, 3.95), (4.95, 3.95), (4.95, 0.1), (4.9, 0.1)]]
    assert drain.derived
    assert drain.nodes[-1].chainage == pytest.approx(3.95 + 3.85 + 0.05)


def test_inverts_rise_from_the_outfall_by_fall_times_length(lay):
    drain = lay(RACKS + DRAIN).room.drains[0]
    whole = drain.nodes[-1].chainage
    for node in drain.nodes:
        assert node.place[2] == pytest.approx(-0.05 + (whole - node.chainage) / 50.0, abs=1e-9)
    chainages = [node.chainage for node in drain.nodes]
    assert chainages == sorted(chainages)
    for one, other in zip(drain.nodes, drain.nodes[1:], strict=False):
        assert math.dist(one.place[:2], other.place[:2]) == pytest.approx(
            other.chainage - one.chainage, abs=1e-9
        )


def test_hoses_join_in_the_order_the_water_passes_and_tanks_above_each_other_share_a_tee(lay):
    room = lay(RACKS + DRAIN).room
    drain = room.drains[0]
    assert [node.tanks for node in drain.nodes if node.tanks] == [
        ("N1", "N4"),
        ("N2", "N5"),
        ("N3", "N6"),
        ("E1",),
    ]
    first = drain.nodes[1]
    assert first.place[0] == pytest.approx(1.075)
    hose = room.tank("N4").hose
    assert (hose.drain, hose.node) == ("main", first.id)
    straight = math.dist((1.075, 3.85, 0.9 + 0.25), first.place)
    assert hose.length.value == pytest.approx(1.2 * straight)
    assert hose.length.key == "hose.slack"
    assert hose.bore.value == pytest.approx(0.013)


def test_a_kind_with_its_own_hose_keeps_it(lay):
    kind = """
[tank_kind.own]
outside = ["40 cm", "30 cm", "32 cm"]
hole = { pane = "back" }
hose = { bore = "19 mm", length = "70 cm" }
"""
    text = RACKS.replace('{ kind = "cube", ids = "E1"', '{ kind = "own", ids = "E1"')
    hose = lay(kind + text + DRAIN).room.tank("E1").hose
    assert (hose.bore.value, hose.length.value) == pytest.approx((0.019, 0.7))
    assert hose.length.origin is Origin.GIVEN


def test_the_run_avoids_a_doorway_when_it_can(lay):
    # the short way from a rack on the west wall to the south-east corner would cross the door in the south wall
    room = """
[room.cellar]
size = { length = "5 m", width = "4 m", height = "2.2 m" }
doors = [{ wall = "south", from_west = "2 m", width = "80 cm" }]
"""
    rack = """
[[rack]]
id = "W"
kind = "two"
room = "cellar"
wall = "west"
from_south = "1 m"
shelf.1 = [{ kind = "cube", ids = "W1" }]
[outfall.gully]
room = "cellar"
at = ["4.9 m", "0.1 m"]
height = "-5 cm"
[drain.main]
to = "gully"
behind = ["W"]
"""
    assert lay(rack).room.drains[0].nodes[-1].chainage == pytest.approx(2.26 + 4.86 + 0.06)
    drain = lay(room + rack, with_room=False).room.drains[0]
    assert any(node.place[1] > 3.9 for node in drain.nodes)


def test_a_built_run_keeps_its_stated_top_and_its_fall_is_what_follows(lay):
    text = RACKS + DRAIN.replace('fall = "1:50"', 'top_height = "10 cm"')
    drain = lay(text).room.drains[0]
    assert drain.nodes[0].place[2] == pytest.approx(0.10)
    assert drain.fall.value == pytest.approx(0.15 / 7.85)
    assert drain.fall.origin is Origin.DERIVED


def test_a_top_and_a_fall_that_disagree_are_said(lay):
    laid = lay(RACKS + DRAIN + 'top_height = "5 cm"')
    assert [one.code for one in laid.findings] == ["LAYOUT-117"]
    run = laid.room.drains[0]
    assert run.nodes[0].place[2] == pytest.approx(0.05)
    assert run.nodes[-1].place[2] == pytest.approx(-0.05)


def test_a_drawn_path_is_kept_corner_by_corner(lay):
    text = RACKS + DRAIN + 'path = [["1 m", "3.98 m"], ["4.9 m", "3.98 m"]]'
    drain = lay(text).room.drains[0]
    assert not drain.derived
    ends = [node.place[:2] for node in drain.nodes if not node.tanks]
    assert ends == [pytest.approx(one) for one in [(1.0, 3.98), (4.9, 3.98), (4.9, 0.1)]]
    assert {name for node in drain.nodes for name in node.tanks} == {"N1", "N2", "N3", "N4", "N5", "N6", "E1"}


def test_a_drain_that_names_no_racks_takes_those_of_its_room_and_says_so(lay):
    laid = lay(RACKS + DRAIN.replace('behind = ["N", "E"]\n', ""))
    assert [one.code for one in laid.findings] == ["LAYOUT-124"]
    assert next(node.tanks for node in laid.room.drains[0].nodes if node.tanks) == ("N1", "N4")


def test_a_rack_in_two_drains_stays_with_the_first(lay):
    laid = lay(RACKS + DRAIN + DRAIN.replace("drain.main", "drain.other"))
    assert {one.code for one in laid.findings} == {"LAYOUT-115", "LAYOUT-114"}
    assert laid.room.tank("N1").hose.drain == "main"


def test_two_islands_back_to_back_share_one_run_that_starts_under_them(lay):
    text = """
[outfall.gully]
room = "cellar"
at = ["4.9 m", "0.1 m"]
height = "-5 cm"
[[rack]]
id = "S"
kind = "two"
room = "cellar"
at = ["2 m", "1.5 m"]
facing = "south"
shelf.1 = [{ kind = "cube", ids = "S1..S3" }]
[[rack]]
id = "N"
kind = "two"
room = "cellar"
at = ["2 m", "1.95 m"]
facing = "north"
shelf.1 = [{ kind = "cube", ids = "N1..N3" }]
[drain.island]
to = "gully"
behind = ["S", "N"]
"""
    drain = lay(text).room.drains[0]
    xs = [node.place[0] for node in drain.nodes]
    assert drain.nodes[0].place[:2] == pytest.approx((2.0, 1.925))
    assert xs[:-1] == sorted(xs[:-1])
    assert {name for node in drain.nodes for name in node.tanks} == {"S1", "S2", "S3", "N1", "N2", "N3"}
    order = [name for node in drain.nodes for name in node.tanks]
    assert [one for one in order if one[0] == "S"] == ["S1", "S2", "S3"]
    assert [one for one in order if one[0] == "N"] == ["N3", "N2", "N1"]


def test_a_drain_to_another_room_goes_straight_through_the_wall_and_says_so(lay):
    text = RACKS.replace('room = "cellar"\nat', 'room = "yard"\nat').replace(
        "[outfall.gully]",
        '[room.yard]\nsize = { length = "2 m", width = "4 m", height = "2 m" }\n[outfall.gully]',
        1,
    ).replace('["4.9 m", "0.1 m"]', '["0.5 m", "2 m"]')  # fmt: skip
    laid = lay(text + DRAIN)
    assert [one.code for one in laid.findings] == ["LAYOUT-116"]
    end = laid.room.drains[0].nodes[-1].place
    assert end == pytest.approx((5.3 + 0.5, 2.0, -0.05))


def test_events_name_the_tanks_they_pull(lay):
    dump = (
        'dump = [{ name = "big clean", standpipes_pulled = "N1..N3" },'
        ' { name = "hose", hose_in = "E1", flow = "9 L/min" }]'
    )
    clean, hose = lay(RACKS + DRAIN + dump).room.drains[0].events
    assert clean.pulled == ("N1", "N2", "N3")
    assert (hose.hose_in, hose.hose_flow.value) == ("E1", pytest.approx(9 / 6e4))
