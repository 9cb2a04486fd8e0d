"""The widest way from a door."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.room.model import Box
from tankwright.room.ways import widest_ways

FLOOR = Box(x0=0, y0=0, z0=0, x1=4, y1=3, z1=2.4)
DOOR = ((0.5, 0.0), (1.4, 0.0))
GOAL = Box(x0=3.0, y0=2.0, z0=0, x1=3.8, y1=2.6, z1=2)


def wall_with_gap(gap: float) -> Box:
    return Box(x0=2.0, y0=0.0, z0=0, x1=2.2, y1=3.0 - gap, z1=2)


def test_an_open_floor_is_as_wide_as_its_door():
    ways = widest_ways(FLOOR, [], [DOOR], [GOAL])
    assert 0.9 - ways.cell <= ways.widths[0] <= 0.9 + ways.cell


@settings(max_examples=25, deadline=None)
@given(gap=st.floats(0.15, 0.85))
def test_the_way_is_the_gap_less_at_most_one_step(gap):
    ways = widest_ways(FLOOR, [wall_with_gap(gap)], [DOOR], [GOAL])
    assert gap - ways.cell <= ways.widths[0] <= gap + 1e-9


def test_a_second_way_round_counts_when_it_is_wider():
    island = Box(x0=2.0, y0=0.5, z0=0, x1=2.2, y1=2.7, z1=2)  # 50 cm on one side, 30 cm on the other
    ways = widest_ways(FLOOR, [island], [DOOR], [GOAL])
    assert ways.widths[0] == pytest.approx(0.5, abs=ways.cell)  # one step of the search


def test_no_gap_no_door_and_no_goal_have_no_way():
    assert widest_ways(FLOOR, [wall_with_gap(0.0)], [DOOR], [GOAL]).widths == (0.0,)
    assert widest_ways(FLOOR, [], [], [GOAL]).widths == (0.0,)
    assert widest_ways(FLOOR, [], [DOOR], []).widths == ()


def test_a_goal_outside_the_room_is_not_reached():
    outside = Box(x0=5.0, y0=5.0, z0=0, x1=6.0, y1=6.0, z1=2)
    assert widest_ways(FLOOR, [], [DOOR], [outside]).widths == (0.0,)


def test_a_room_of_no_size_gives_nothing_and_does_not_fail():
    flat = Box(x0=0, y0=0, z0=0, x1=0, y1=3, z1=2)
    assert widest_ways(flat, [], [DOOR], [GOAL]).widths == (0.0,)


def test_another_block_never_widens_a_way():
    before = widest_ways(FLOOR, [wall_with_gap(0.7)], [DOOR], [GOAL]).widths[0]
    more = Box(x0=1.9, y0=2.8, z0=0, x1=2.3, y1=3.0, z1=2)
    assert widest_ways(FLOOR, [wall_with_gap(0.7), more], [DOOR], [GOAL]).widths[0] <= before
