import pytest


def test_rooms_stand_in_a_row_unless_they_say_where(lay):
    text = """
[room.a]
size = { length = "5 m", width = "4 m", height = "2.2 m" }
at = ["10 m", "20 m"]
[room.b]
size = { length = "2 m", width = "3 m", height = "2.4 m" }
[room.c]
size = { length = "1 m", width = "1 m", height = "2.4 m" }
at = ["10 m", "24.2 m"]
"""
    boxes = [space.box for space in lay(text, with_room=False).room.spaces]
    assert (boxes[0].x0, boxes[0].y0) == (0.0, 0.0)
    assert (boxes[1].x0, boxes[1].y0) == pytest.approx((5.3, 0.0))
    assert (boxes[2].x0, boxes[2].y0) == pytest.approx((0.0, 4.2))


def test_openings_run_along_their_wall_and_a_door_turns_on_its_hinge(lay):
    text = """
[room.a]
size = { length = "5 m", width = "4 m", height = "2.2 m" }
doors = [
  { wall = "south", from_west = "0.4 m", width = "80 cm", hinged = "west" },
  { wall = "east", from_south = "1 m", width = "80 cm", hinged = "north" },
  { wall = "north", width = "1 m", swing = "slides" },
]
windows = [{ wall = "west", from_south = "1.2 m", size = ["80 cm", "40 cm"], sill = "1.5 m" }]
"""
    south, east, north, window = lay(text, with_room=False).room.spaces[0].openings
    assert (south.start, south.end, south.hinge) == (
        pytest.approx((0.4, 0.0)),
        pytest.approx((1.2, 0.0)),
        south.start,
    )
    assert (east.start, east.hinge) == (pytest.approx((5.0, 1.0)), pytest.approx((5.0, 1.8)))
    assert north.hinge is None
    assert (north.start[0], north.end[0]) == pytest.approx((2.0, 3.0))
    assert (window.start, window.sill, window.height) == (pytest.approx((0.0, 1.2)), 1.5, 0.4)


def test_obstacles_and_beams_are_blocks_in_their_room(lay):
    text = """
[room.a]
size = { length = "5 m", width = "4 m", height = "2.2 m" }
obstacles = [{ name = "chimney", at = ["1 m", "1.6 m"], size = ["0.5 m", "0.4 m"] }]
beams = [{ name = "duct", at = ["0 m", "3 m"], size = ["5 m", "0.3 m"], underside = "1.9 m" }]
"""
    space = lay(text, with_room=False).room.spaces[0]
    name, block = space.obstacles[0]
    assert (name, block.x0, block.y1, block.z0, block.z1) == ("chimney", 1.0, 2.0, 0.0, 2.2)
    assert space.beams[0][1].z0 == 1.9
    assert space.aisle.key == "aisle.least"
