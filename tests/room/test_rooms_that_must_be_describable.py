"""One small plan for each kind of room a keeper may have; each is laid out whole, and says what it should."""

import pytest

PUMP = '[pump.p]\ncurve = [["0 kPa", "60 L/min"], ["20 kPa", "20 L/min"]]\n'
GULLY = '[outfall.gully]\nroom = "cellar"\nat = ["4.9 m", "0.1 m"]\nheight = "-5 cm"\n'
TAP = '[water_point.tap]\nroom = "cellar"\nat = ["0.1 m", "0.1 m"]\nheight = "1 m"\n'


def rack(name, place, shelves):
    lines = "\n".join(f"shelf.{number} = {text}" for number, text in shelves.items())
    return f'[[rack]]\nid = "{name}"\nkind = "two"\nroom = "cellar"\n{place}\n{lines}\n'


NORTH = 'wall = "north"\nfrom_west = "1 m"'
WEST = 'wall = "west"\nfrom_south = "1 m"'
THREE = '[{ kind = "cube", ids = "%s" }]'


def codes(laid):
    return {one.code for one in laid.findings}


def test_racks_along_walls_and_an_empty_shelf_kept_for_later(lay):
    laid = lay(rack("A", NORTH, {1: THREE % "A1..A3", 2: "[]"}) + rack("B", WEST, {2: THREE % "B1..B3"}))
    assert codes(laid) == set()
    assert [len(one.shelves) for one in laid.room.racks] == [2, 2]


def test_an_island_of_two_racks_back_to_back_worked_from_both_sides(lay):
    text = rack("S", 'at = ["2 m", "1.5 m"]\nfacing = "south"', {1: THREE % "S1..S3"})
    text += rack("N", 'at = ["2 m", "1.9 m"]\nfacing = "north"', {1: THREE % "N1..N3"})
    room = lay(text).room
    assert room.tank("S1").box.x0 == pytest.approx(2.0)
    assert room.tank("N1").box.x1 == pytest.approx(3.3)
    assert all(one.island for one in room.racks)


def test_a_single_tank_on_a_cabinet(lay):
    kinds = """
[rack_kind.cabinet]
length = "42 cm"
depth = "32 cm"
shelves = ["75 cm"]
[[rack]]
id = "C"
kind = "cabinet"
room = "cellar"
wall = "east"
from_south = "2 m"
shelf.1 = [{ kind = "cube", ids = "C1", from_left = "1 cm" }]
"""
    tank = lay(kinds).room.tank("C1")
    assert (tank.box.z0, tank.under) == (0.75, "ceiling")


def test_tanks_end_on_and_mixed_kinds_on_one_shelf(lay):
    kind = '[tank_kind.long]\noutside = ["80 cm", "30 cm", "35 cm"]\nhole = { pane = "left" }\n'
    shelf = '[{ kind = "cube", ids = "A1" }, { kind = "long", ids = "A2..A3", end_on = true }]'
    wide = '[rack_kind.deep]\nlength = "130 cm"\ndepth = "85 cm"\nshelves = ["30 cm", "90 cm"]\n'
    text = kind + wide + rack("A", NORTH, {1: shelf}).replace('"two"', '"deep"')
    laid = lay(text)
    assert codes(laid) == set()
    assert [tank.depth for tank in laid.room.tanks] == pytest.approx([0.3, 0.8, 0.8])


def test_an_l_shaped_room_is_a_rectangle_with_its_missing_corner_as_an_obstacle(lay):
    room = """
[room.cellar]
size = { length = "5 m", width = "4 m", height = "2.2 m" }
obstacles = [{ name = "outside", at = ["3 m", "2 m"], size = ["2 m", "2 m"] }]
"""
    laid = lay(room + rack("A", NORTH, {1: THREE % "A1..A3"}), with_room=False)
    assert laid.room.spaces[0].obstacles[0][1].x1 == 5.0


def test_a_ring_partly_below_a_high_tanks_water(lay):
    text = PUMP + rack("A", NORTH, {2: THREE % "A1..A3"})
    text += '[air.ring]\npump = "p"\nheight = "1 m"\naround = "cellar"\n'
    room = lay(text).room
    assert room.airs[0].height.value < room.tank("A1").level


def test_a_relief_and_taps_left_open(lay):
    text = PUMP + rack("A", NORTH, {2: THREE % "A1..A3"})
    text += '[air.ring]\npump = "p"\nrelief = "15 kPa"\nopen_spare_taps = 4\ncheck_valves = true\n'
    ring = lay(text).room.airs[0]
    assert ring.relief.value == 15000.0
    assert sum(tap.open and not tap.tank for tap in ring.taps) == 4
    assert all(tap.check_valve for tap in ring.taps if tap.tank)


def test_a_drain_from_under_the_island_round_the_room_under_the_racks(lay):
    text = GULLY + rack("I", 'at = ["2 m", "1.5 m"]\nfacing = "south"', {1: THREE % "I1..I3"})
    text += rack("W", WEST, {1: THREE % "W1..W3"}) + rack("N", NORTH, {1: THREE % "N1..N3"})
    text += '[drain.d]\nto = "gully"\nbehind = ["I", "W", "N"]\n'
    drain = lay(text).room.drains[0]
    assert [name[0] for node in drain.nodes for name in node.tanks] == list("IIIWWWNNN")
    heights = [node.place[2] for node in drain.nodes]
    assert heights == sorted(heights, reverse=True)


def test_two_outfalls_and_one_that_lies_higher_than_the_floor(lay):
    text = (
        GULLY
        + '[outfall.garden]\nroom = "cellar"\nat = ["0.1 m", "3.9 m"]\nheight = "60 cm"\nto = "garden"\n'
    )
    text += rack("W", WEST, {1: THREE % "W1..W3"}) + rack("N", NORTH, {1: THREE % "N1..N3"})
    text += '[drain.a]\nto = "gully"\nbehind = ["N"]\n[drain.b]\nto = "garden"\nbehind = ["W"]\n'
    room = lay(text).room
    assert [drain.outfall for drain in room.drains] == ["gully", "garden"]
    assert room.drains[1].nodes[-1].place[2] == 0.6
    assert room.drains[1].nodes[0].place[2] > room.tank("W1").level  # for the drain's own checks to find


def test_standpipes_beside_elbows_and_a_tank_not_drilled_at_all(lay):
    kinds = """
[tank_kind.pipe]
outside = ["40 cm", "30 cm", "32 cm"]
hole = { pane = "base" }
overflow = { kind = "standpipe", water_below_rim = "4 cm" }
[tank_kind.plain]
outside = ["30 cm", "30 cm", "30 cm"]
"""
    shelf = '[{ kind = "cube", ids = "A1" }, { kind = "pipe", ids = "A2" }, { kind = "plain", ids = "A3" }]'
    text = kinds + GULLY + rack("A", NORTH, {1: shelf}) + '[drain.d]\nto = "gully"\nbehind = ["A"]\n'
    room = lay(text).room
    assert [tank.overflow.kind if tank.overflow else None for tank in room.tanks] == [
        "elbow",
        "standpipe",
        None,
    ]
    assert [tank.hose is not None for tank in room.tanks] == [True, True, False]


def test_small_tube_with_a_tap_and_a_feed_for_some_tanks_only(lay):
    text = TAP + rack("A", NORTH, {1: THREE % "A1..A3"})
    text += '[feed.f]\nfrom = "tap"\noutlet = { kind = "small tube" }\ntanks = "A2"\n'
    feed = lay(text).room.feeds[0]
    assert [one.tank for one in feed.outlets] == ["A2"]


def test_nothing_automatic_yet(lay):
    room = lay(rack("A", NORTH, {1: THREE % "A1..A3"})).room
    assert (room.drains, room.feeds, room.airs, room.pumps, room.power) == ((), (), (), (), None)


def test_boards_one_a_rack_and_a_long_light_across_two_tanks(lay):
    text = (
        rack("A", NORTH, {1: THREE % "A1..A3"})
        + """
[power]
circuits = { light = { breaker = "10 A" } }
boards = [{ id = "A", circuit = "light", outlets = 6, rack = "A", loads = [
  { name = "long light", power = "36 W", does = "light", serves = "A1, A2" }] }]
"""
    )
    assert lay(text).room.power.boards[0].loads[0].serves == ("A1", "A2")


QUARANTINE = """
[room.laundry]
size = { length = "2.1 m", width = "1.8 m", height = "2.4 m" }
[zone.quarantine]
quarantine = true
[[rack]]
id = "Q"
kind = "two"
room = "laundry"
wall = "north"
from_west = "20 cm"
zone = "quarantine"
shelf.1 = [{ kind = "cube", ids = "Q1..Q3" }]
"""


def test_quarantine_in_another_room_with_its_own_air_and_nothing_shared(lay):
    text = PUMP + PUMP.replace("pump.p", "pump.q") + QUARANTINE + rack("A", NORTH, {1: THREE % "A1..A3"})
    text += '[air.main]\npump = "p"\naround = "cellar"\n[air.own]\npump = "q"\naround = "laundry"\n'
    room = lay(text).room
    served = [{tap.tank[0] for tap in air.taps if tap.tank} for air in room.airs]
    assert served == [{"A"}, {"Q"}]


def test_quarantine_that_shares_a_drain_is_laid_through_the_wall_and_said(lay):
    text = GULLY + QUARANTINE + rack("A", NORTH, {1: THREE % "A1..A3"})
    laid = lay(text + '[drain.d]\nto = "gully"\nbehind = ["Q", "A"]\n')
    assert codes(laid) == {"LAYOUT-116"}
    drain = laid.room.drains[0]
    assert [name[0] for node in drain.nodes for name in node.tanks] == list("QQQAAA")


def test_imperial_measures_throughout(lay):
    text = """
[room.garage]
size = { length = "20 ft", width = "10 ft 6 in", height = "8 ft" }
[tank_kind.twenty]
outside = ["30 in", "12 in", "12 1/2 in"]
[rack_kind.steel]
length = "6 ft"
depth = "18 in"
shelves = ["1 ft", "3 ft", "5 ft"]
[[rack]]
id = "A"
kind = "steel"
room = "garage"
wall = "south"
from_west = "2 ft"
off_wall = "3 in"
shelf.1 = [{ kind = "twenty", ids = "A1..A2", gap = "1/2 in" }]
"""
    room = lay(text, with_room=False, with_kinds=False).room
    # facing north, the left end is the east one: 2 ft + 6 ft, less 30 in
    assert room.tank("A1").box.x0 == pytest.approx((96 - 30) * 0.0254)
    assert room.tank("A2").box.x0 == pytest.approx((96 - 60.5) * 0.0254)


def test_a_room_half_built_where_some_tanks_stand_and_some_are_wished_for(lay):
    shelf = (
        '[{ kind = "cube", ids = "A1", state = "ordered" }, { kind = "cube", ids = "A2", state = "wished" }]'
    )
    room = lay(rack("A", NORTH, {1: THREE % "A3..A5", 2: shelf})).room
    assert [tank.state for tank in room.tanks] == ["stands", "stands", "stands", "ordered", "wished"]
