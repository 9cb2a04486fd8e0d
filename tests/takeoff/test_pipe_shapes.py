"""The geometry of joints: spots and legs of a run, the fittings of a spot, tees moved apart."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.takeoff.shapes import Measures, shape_of
from tankwright.takeoff.sliding import spread_out
from tankwright.takeoff.webs import Strand, passes, stretches, web_of

SIZE = Measures(elbow_90=0.026, elbow_45=0.0115, tee=0.026, socket=0.031)
EAST, WEST, NORTH, UP = (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def at(degrees: float) -> tuple[float, float, float]:
    return (math.cos(math.radians(degrees)), math.sin(math.radians(degrees)), 0.0)


@pytest.mark.parametrize(
    ("turned", "fittings", "missed"),
    [(0, (), 0), (5, (), 0), (30, ("elbow 45",), 15), (45, ("elbow 45",), 0), (80, ("elbow 90",), 10),
     (90, ("elbow 90",), 0), (135, ("elbow 90", "elbow 45"), 0), (180, ("elbow 90", "elbow 90"), 0)],
)  # fmt: skip
def test_a_corner_takes_the_nearest_elbows(turned: float, fittings: tuple[str, ...], missed: float) -> None:
    shape = shape_of((WEST, at(turned)), SIZE)
    assert shape.fittings == fittings
    assert math.degrees(shape.missed) == pytest.approx(missed)


def test_a_branch_square_to_a_straight_pipe_is_one_tee() -> None:
    shape = shape_of((UP, EAST, WEST), SIZE)
    assert shape.fittings == ("tee",)
    assert shape.reaches == pytest.approx((0.026, 0.026, 0.026))
    assert shape.stubs == 0


def test_four_legs_are_two_tees_in_a_row_with_the_shortest_piece_between() -> None:
    shape = shape_of((EAST, WEST, NORTH, UP), SIZE)
    assert shape.fittings == ("tee", "tee")
    apart = 2 * 0.026 + 2 * 0.031
    assert shape.reaches == pytest.approx((0.026 + apart / 2, 0.026 + apart / 2, 0.026, 0.026))
    assert shape.stubs == 1


def test_three_legs_square_to_each_other_are_a_tee_and_an_elbow() -> None:
    assert sorted(shape_of((EAST, NORTH, UP), SIZE).fittings) == ["elbow 90", "tee"]


def test_a_slanting_branch_leaves_its_tee_by_an_elbow() -> None:
    assert shape_of((EAST, WEST, at(45)), SIZE).fittings == ("tee", "elbow 45")


def test_one_leg_alone_needs_nothing() -> None:
    assert shape_of((EAST,), SIZE).fittings == ()


def strand(
    name: str, start: str, end: str, *path: tuple[float, float, float], length: float | None = None
) -> Strand:
    return Strand(id=name, start=start, end=end, path=path, pipe="25 mm", bore=0.022, length=length)


def test_two_pipes_of_the_network_that_share_a_way_are_one_leg() -> None:
    nodes = (("t", (0, 0, 0)), ("up", (1, 0, 1)), ("down", (1, 0, -1)))
    web = web_of(nodes, (strand("a", "t", "up", (0, 0, 0), (1, 0, 0), (1, 0, 1)),
                         strand("b", "t", "down", (0, 0, 0), (1, 0, 0), (1, 0, -1))))  # fmt: skip
    assert web.length == pytest.approx(3.0)
    assert next(leg.strands for leg in web.legs if len(leg.strands) == 2) == ("a", "b")
    assert next(spot.name for spot in web.spots if len(spot.legs) == 3) == "corner 1 of a"


def test_nodes_in_one_place_are_one_spot() -> None:
    nodes = (("a", (0, 0, 0)), ("b", (2, 0, 0)), ("b again", (2, 0, 1e-12)), ("c", (3, 0, 0)))
    web = web_of(nodes, (strand("1", "a", "b", (0, 0, 0), (2, 0, 0)), strand("2", "b", "b again", (2, 0, 0), (2, 0, 0)),
                         strand("3", "b again", "c", (2, 0, 0), (3, 0, 0))))  # fmt: skip
    assert len(web.spots) == 3
    assert web.spots[web.spot_of["b"]].nodes == ["b", "b again"]
    assert passes(web, web.spot_of["b"])
    (whole,) = stretches(web, [not passes(web, spot) for spot in range(3)])
    assert whole.length == pytest.approx(3.0)


def test_a_pipe_of_stated_length_between_two_nodes_in_one_place_has_a_far_end() -> None:
    web = web_of(
        (("pump", (0, 0, 2)), ("ring", (0, 0, 2))),
        (strand("lead", "pump", "ring", (0, 0, 2), (0, 0, 2), length=0.8),),
    )
    assert len(web.spots) == 2
    assert web.length == pytest.approx(0.8)
    assert {spot.name for spot in web.spots} == {"pump", "ring"}


def test_a_ring_with_no_fitting_is_cut_once() -> None:
    round_ = [at(turned) for turned in range(0, 360, 5)]
    nodes = [(str(number), place) for number, place in enumerate(round_)]
    pairs = [*pairwise(nodes), (nodes[-1], nodes[0])]
    web = web_of(nodes, [strand(a, a, b, one, two) for (a, one), (b, two) in pairs])
    (whole,) = stretches(web, [not passes(web, spot) for spot in range(len(web.spots))])
    assert whole.length == pytest.approx(web.length)


@given(
    st.lists(st.floats(0.0, 5.0), max_size=12).map(sorted),
    st.floats(0.01, 0.2),
)
def test_tees_keep_their_order_and_their_room_and_stay_where_they_are_when_there_is_room(
    wanted: list[float], apart: float
) -> None:
    placed = spread_out(wanted, apart, 0.0, 5.0)
    assert len(placed) == len(wanted)
    for one, other in pairwise(placed):
        assert other - one >= apart - 1e-9
    if (len(wanted) - 1) * apart <= 5.0:
        assert all(-1e-9 <= place <= 5.0 + 1e-9 for place in placed)
    if all(other - one >= apart for one, other in pairwise(wanted)):
        assert placed == pytest.approx(wanted, abs=1e-9)


def test_tees_that_push_each_other_move_by_the_least_sum_of_squares() -> None:
    placed = spread_out([1.0, 1.0, 1.0], 0.1, 0.0, 5.0)
    assert placed == pytest.approx((0.9, 1.0, 1.1))
