import pytest

from tankwright.origin import Origin

RACK = """
[water_point.tap]
room = "cellar"
at = ["0 m", "3.96 m"]
height = "1 m"

[[rack]]
id = "R"
kind = "two"
room = "cellar"
wall = "north"
from_west = "1 m"
off_wall = "10 cm"
shelf.1 = [{ kind = "cube", ids = "T1..T3", gap = "1 cm", off_back = "5 cm" }]
shelf.2 = [{ kind = "cube", ids = "T4..T6", gap = "1 cm", off_back = "5 cm" }]
"""
FEED = """
[feed.drip]
from = "tap"
bore = "13.6 mm"
height = "10 cm"
outlet = { kind = "compensating dripper", rate = "4 L/h", at_pressure = "0.8 bar" }
"""


def way_lengths(feed):
    """Length of pipe from the source to each node of a tree."""
    reached = {feed.inlet: 0.0}
    for pipe in feed.pipes:
        assert pipe.start in reached, "pipes are laid from the source outwards"
        assert pipe.end not in reached, "a feed nobody drew is a tree"
        reached[pipe.end] = reached[pipe.start] + pipe.length
    return reached


def test_the_trunk_follows_the_wall_to_the_rack_and_a_manifold_runs_over_each_shelf(lay):
    feed = lay(RACK + FEED).room.feeds[0]
    nodes = dict(feed.nodes)
    by_tank = {outlet.tank: outlet for outlet in feed.outlets}
    # by hand: source to the loop 0.04 m, along the wall to the rack's west end at x = 1: 0.96 m;
    # riser 1 m down to 0.62 + 0.10 = 0.72 m: 0.28 m, and 0.06 m from the trunk to the rack's back
    reached = way_lengths(feed)
    assert nodes[by_tank["T1"].node] == pytest.approx((1.2, 3.9, 0.72))
    assert reached[by_tank["T1"].node] == pytest.approx(0.04 + 0.96 + 0.06 + 0.28 + 0.2, abs=1e-9)
    assert reached[by_tank["T3"].node] == pytest.approx(reached[by_tank["T1"].node] + 0.82)
    assert nodes[by_tank["T4"].node][2] == pytest.approx(1.32)
    assert feed.derived


def test_outlets_end_above_or_below_the_rim_as_said(lay):
    above = lay(RACK + FEED).room.feeds[0].outlets[0]
    assert above.gap.value == pytest.approx(0.025)
    assert above.gap.origin is Origin.ASSUMED
    assert above.place == pytest.approx((1.2, 3.8, 0.645))
    below = lay(RACK + FEED + 'ends = "below rim"\nair_gap = "3 cm"').room.feeds[0].outlets[0]
    assert below.gap.value == pytest.approx(-0.03)
    assert below.place[2] == pytest.approx(0.59)


def test_what_ends_over_the_tanks_decides_how_its_flow_follows_the_pressure(lay):
    def outlet(table):
        text = FEED.replace(
            '{ kind = "compensating dripper", rate = "4 L/h", at_pressure = "0.8 bar" }', table
        )
        return lay(RACK + text).room.feeds[0].outlets[0]

    holding = lay(RACK + FEED).room.feeds[0].outlets[0]
    assert (holding.exponent.value, holding.at_pressure.value) == pytest.approx((0.0, 8e4))
    assert outlet('{ kind = "dripper" }').exponent.key == "feed.exponent"
    tube = outlet('{ kind = "small tube", bore = "4 mm", length = "1.5 m" }')
    assert (tube.bore.value, tube.length.value) == pytest.approx((0.004, 1.5))
    assert tube.rate.origin is Origin.DERIVED
    assert outlet('{ kind = "tap", rate = "60 L/h", at_pressure = "1 bar" }').exponent.value == 0.5


def test_filters_come_before_the_valve_and_programs_are_seconds_and_runs_a_week(lay):
    more = """
filters = [{ name = "carbon", loss = "0.2 bar", at_flow = "5 L/min", carbon = true }]
valve = { name = "timer valve" }
program = [{ start = "02:30", minutes = 90, days = "weekdays" }]
"""
    feed = lay(RACK + FEED + more).room.feeds[0]
    assert [one.name for one in feed.filters] == ["carbon", "timer valve"]
    assert feed.filters[0].carbon
    assert feed.filters[1].at_flow.value == pytest.approx(10 / 6e4)
    assert feed.filters[1].loss.key == "feed.filter_loss"
    (program,) = feed.programs
    assert (program.start, program.duration, program.runs_a_week) == (9000.0, 5400.0, 5.0)


def test_a_vat_feeds_by_gravity_or_by_its_pump(lay):
    vat = '[vat.rain]\nroom = "cellar"\nat = ["0.1 m", "2 m"]\nheight = "1.6 m"\nvolume = "200 L"\n'
    text = RACK + FEED.replace('from = "tap"', 'from = "rain"')
    feed = lay(vat + text).room.feeds[0]
    assert (feed.source_kind, feed.source_pressure.value, feed.pump) == ("vat", 0.0, None)
    assert feed.source_place == pytest.approx((0.1, 2.0, 1.6))
    assert feed.vat_volume.value == pytest.approx(0.2)
    pump = '[pump.lift]\ncurve = [["0 kPa", "30 L/min"], ["40 kPa", "5 L/min"]]\n'
    assert lay(pump + vat + 'pump = "lift"\n' + text).room.feeds[0].pump == "lift"


def test_two_waters_go_to_two_zones_and_never_to_the_same_tank(lay):
    soft = """
[vat.rain]
room = "cellar"
volume = "200 L"
[zone.soft]
[[rack]]
id = "S"
kind = "two"
room = "cellar"
wall = "west"
from_south = "50 cm"
zone = "soft"
shelf.1 = [{ kind = "cube", ids = "S1..S3" }]
"""
    second = FEED.replace("feed.drip", "feed.soft").replace('"tap"', '"rain"') + 'zones = ["soft"]\n'
    laid = lay(soft + RACK + FEED + second)
    hard, mild = laid.room.feeds
    assert {one.tank for one in hard.outlets} == {"T1", "T2", "T3", "T4", "T5", "T6"}
    assert {one.tank for one in mild.outlets} == {"S1", "S2", "S3"}
    # the vat's place is not said, and that is
    assert [one.code for one in laid.findings] == ["LAYOUT-124"]


def test_a_feed_may_name_racks_or_single_tanks(lay):
    assert [one.tank for one in lay(RACK + FEED + 'tanks = "T2, T5"').room.feeds[0].outlets] == ["T2", "T5"]
    assert len(lay(RACK + FEED + 'racks = ["R"]').room.feeds[0].outlets) == 6


def test_every_tank_of_several_racks_and_rooms_hangs_on_one_tree(lay):
    more = """
[room.laundry]
size = { length = "2 m", width = "2 m", height = "2.4 m" }
[[rack]]
id = "Q"
kind = "two"
room = "laundry"
wall = "north"
from_west = "10 cm"
shelf.1 = [{ kind = "cube", ids = "Q1..Q3" }]
[[rack]]
id = "I"
kind = "two"
room = "cellar"
at = ["2 m", "1.5 m"]
facing = "south"
shelf.1 = [{ kind = "cube", ids = "I1..I3" }]
[[rack]]
id = "W"
kind = "two"
room = "cellar"
wall = "west"
from_south = "1 m"
shelf.2 = [{ kind = "cube", ids = "W1..W3" }]
"""
    laid = lay(RACK + more + FEED)
    assert [one.code for one in laid.findings] == ["LAYOUT-116"]
    feed = laid.room.feeds[0]
    reached = way_lengths(feed)
    assert len(feed.outlets) == 15
    assert {one.node for one in feed.outlets} <= set(reached) == {name for name, _ in feed.nodes}
    ways = {one.tank: reached[one.node] for one in feed.outlets}
    assert ways["W3"] < ways["W2"] < ways["W1"]  # the trunk comes from the north, where W's right end is
