import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.room.air_taps import TapLine
from tankwright.room.walls import Line

RACK = """
[[rack]]
id = "R"
kind = "two"
room = "cellar"
wall = "north"
from_west = "1 m"
off_wall = "10 cm"
shelf.1 = [{ kind = "cube", ids = "T1..T3", gap = "1 cm", off_back = "5 cm" }]
shelf.2 = [{ kind = "cube", ids = "T4..T6", gap = "1 cm", off_back = "5 cm" }]

[pump.p]
curve = [["0 kPa", "60 L/min"], ["20 kPa", "20 L/min"]]
height = "2 m"
"""
AIR = """
[air.ring]
pump = "p"
bore = "21 mm"
height = "2.05 m"
around = "cellar"
tap_every = "10 cm"
"""


def ring_of(lay, more="", text=RACK):
    return lay(text + AIR + more).room.airs[0]


def test_the_ring_follows_the_walls_and_its_taps_are_evenly_spaced(lay):
    ring = ring_of(lay)
    whole = 2 * (4.9 + 3.9)  # 5 cm inside the walls of 5 m by 4 m
    assert sum(pipe.length for pipe in ring.pipes) == pytest.approx(whole + 1.5)  # and the assumed lead
    assert len(ring.taps) == 176
    assert len(ring.nodes) == 176 + 4 + 1  # taps, corners, the pump
    assert ring.derived
    assert ring.closed_ring
    assert {tap.place[2] for tap in ring.taps} == {2.05}


def test_every_node_of_a_ring_but_the_pump_joins_two_pipes(lay):
    ring = ring_of(lay)
    ends = [node for pipe in ring.pipes for node in (pipe.start, pipe.end)]
    counts = {node: ends.count(node) for node, _ in ring.nodes}
    assert counts.pop(ring.inlet) == 1
    assert sorted(counts.values()) == [2] * 179 + [3]  # the tee where the pump's pipe comes in


def test_each_tank_has_the_nearest_free_tap_and_no_tap_has_two(lay):
    ring = ring_of(lay)
    used = [tap for tap in ring.taps if tap.tank]
    assert sorted(tap.tank for tap in used) == ["T1", "T2", "T3", "T4", "T5", "T6"]
    assert len({tap.id for tap in used}) == 6
    by_tank = {tap.tank: tap for tap in used}
    # T1 and T4 stand over each other with their middle at x = 1.2; taps are at 5, 15 ... cm from the corner
    assert abs(by_tank["T1"].place[0] - 1.2) < 0.1
    assert abs(by_tank["T4"].place[0] - 1.2) < 0.11
    assert by_tank["T1"].place[1] == pytest.approx(3.95)
    spare = [tap for tap in ring.taps if not tap.tank]
    assert not any(tap.open for tap in spare)


def test_a_diffuser_stands_at_its_height_and_its_tube_goes_over_the_rim(lay):
    ring = ring_of(lay, 'diffuser = { kind = "stone", above_base = "4 cm" }')
    tap = next(one for one in ring.taps if one.tank == "T1")
    assert tap.diffuser == pytest.approx((1.2, 3.7, 0.306 + 0.04))
    assert tap.water_depth == pytest.approx(0.578 - 0.346)
    over = math.dist(tap.place, (1.2, 3.7, 0.62)) + (0.62 - 0.346)
    assert tap.tube_length.value == pytest.approx(1.3 * over)
    assert tap.diffuser_loss.key == "air.loss.stone"


def test_spare_taps_left_open_are_spread_over_the_ring(lay):
    ring = ring_of(lay, "open_spare_taps = 10")
    spare = [tap for tap in ring.taps if not tap.tank]
    opened = [number for number, tap in enumerate(spare) if tap.open]
    assert len(opened) == 10
    assert all(other - one in (17, 18) for one, other in pairwise(opened))


def test_a_number_of_taps_instead_of_a_spacing_is_kept_exactly(lay):
    text = RACK + AIR.replace('tap_every = "10 cm"', "taps = 17")
    assert len(lay(text).room.airs[0].taps) == 17


def test_too_few_taps_are_said_and_name_the_tanks_without(lay):
    laid = lay(RACK + AIR.replace('tap_every = "10 cm"', "taps = 4"))
    (finding,) = laid.findings
    assert finding.code == "LAYOUT-120"
    assert [one.value for _, one in finding.numbers] == [4, 6]
    assert len(finding.places) == 2


def test_a_kind_may_want_more_taps_or_none(lay):
    kind = '[tank_kind.show]\noutside = ["40 cm", "30 cm", "32 cm"]\nair_outlets = 2\n'
    kind += '[tank_kind.still]\noutside = ["40 cm", "30 cm", "32 cm"]\nair_outlets = 0\n'
    text = RACK.replace('kind = "cube", ids = "T1..T3"', 'kind = "show", ids = "T1..T3"')
    text = text.replace('kind = "cube", ids = "T4..T6"', 'kind = "still", ids = "T4..T6"')
    ring = lay(kind + text + AIR).room.airs[0]
    tanks = [tap.tank for tap in ring.taps if tap.tank]
    assert sorted(tanks) == ["T1", "T1", "T2", "T2", "T3", "T3"]
    places = [tap.diffuser[0] for tap in ring.taps if tap.tank == "T1"]
    assert sorted(places) == pytest.approx([1.1, 1.3])


def test_the_pump_next_door_comes_through_the_wall_by_two_reducers(lay):
    room = """
[room.hall]
size = { length = "2 m", width = "4 m", height = "2.4 m" }
"""
    text = RACK.replace('height = "2 m"', 'height = "1 m"\nroom = "hall"\nat = ["0.5 m", "2 m"]') + AIR
    text += 'adapters = [{ bore = "34 mm" }, { bore = "21 mm", note = "to the ring" }]'
    laid = lay(room + text)
    ring = laid.room.airs[0]
    pump = laid.room.pumps[0]
    assert pump.place == pytest.approx((5.8, 2.0, 1.0))
    chain = ring.pipes[:2]
    assert [pipe.bore.value for pipe in chain] == pytest.approx([0.034, 0.021])
    assert chain[0].start == ring.inlet
    lead = ring.pipes[-1]
    assert lead.start == chain[1].end
    assert dict(ring.nodes)[lead.end] == pytest.approx((4.95, 2.0, 2.05))
    assert lead.length == pytest.approx(0.85 + 1.05)


def test_a_branch_over_an_island_leaves_the_ring_at_a_tee_and_ends_dead(lay):
    island = """
[[rack]]
id = "I"
kind = "two"
room = "cellar"
at = ["1.5 m", "1.5 m"]
facing = "south"
shelf.1 = [{ kind = "cube", ids = "I1..I3" }]
"""
    more = 'branches = [{ path = [["0.05 m", "1.7 m"], ["3 m", "1.7 m"]] }]'
    ring = lay(RACK + island + AIR + more).room.airs[0]
    taps = {tap.tank: tap for tap in ring.taps if tap.tank}
    assert all(taps[name].place[1] == pytest.approx(1.7) for name in ("I1", "I2", "I3"))
    ends = [node for pipe in ring.pipes for node in (pipe.start, pipe.end)]
    assert sorted(ends.count(node) for node, _ in ring.nodes).count(1) == 2  # the pump and the dead end
    reached = {ring.inlet}
    for _ in range(len(ring.pipes)):
        grown = {n for p in ring.pipes if {p.start, p.end} & reached for n in (p.start, p.end)} | reached
        if grown == reached:
            break
        reached = grown
    assert reached == {node for node, _ in ring.nodes}


def test_an_open_header_along_a_drawn_path_has_two_ends(lay):
    text = AIR.replace(
        'around = "cellar"', 'path = [["1 m", "3.9 m"], ["3 m", "3.9 m"]]\nclosed_ring = false'
    )
    header = lay(RACK + text).room.airs[0]
    assert not header.derived
    assert not header.closed_ring
    assert len(header.taps) == 20
    assert sum(pipe.length for pipe in header.pipes) == pytest.approx(2.0 + 1.5)


def test_two_pumps_one_in_reserve_are_both_named(lay):
    text = RACK + '[pump.spare]\ncurve = [["0 kPa", "60 L/min"], ["20 kPa", "20 L/min"]]\nreserve = true\n'
    laid = lay(text + AIR.replace('pump = "p"', 'pumps = ["p", "spare"]'))
    assert laid.room.airs[0].pumps == ("p", "spare")
    assert [pump.reserve for pump in laid.room.pumps] == [False, True]


def test_a_ring_without_a_pump_is_said(lay):
    laid = lay(RACK + AIR.replace('pump = "p"\n', ""))
    assert [one.code for one in laid.findings] == ["LAYOUT-119"]


def test_each_room_has_its_own_ring_when_neither_says_what_it_serves(lay):
    text = """
[room.laundry]
size = { length = "2 m", width = "2 m", height = "2.4 m" }
[[rack]]
id = "Q"
kind = "two"
room = "laundry"
wall = "north"
from_west = "10 cm"
shelf.1 = [{ kind = "cube", ids = "Q1..Q3" }]
"""
    own = AIR.replace("air.ring", "air.own").replace('"cellar"', '"laundry"')
    ring, other = lay(RACK + text + AIR + own).room.airs
    assert {tap.tank for tap in ring.taps if tap.tank} == {"T1", "T2", "T3", "T4", "T5", "T6"}
    assert {tap.tank for tap in other.taps if tap.tank} == {"Q1", "Q2", "Q3"}


@settings(max_examples=80, deadline=None)
@given(
    number=st.integers(1, 30),
    wanted=st.lists(st.floats(0.0, 10.0), min_size=1, max_size=40),
    closed=st.booleans(),
)
def test_the_nearest_free_tap_is_found_as_by_looking_at_all_of_them(
    number: int, wanted: list[float], closed: bool
) -> None:
    line = Line([(0.0, 0.0), (10.0, 0.0)])
    places = tuple(10.0 * (one + 0.5) / number for one in range(number))
    taps = TapLine(line, places, tuple(str(one) for one in range(number)), closed)
    free = set(range(number))

    def apart(tap: int, place: float) -> float:
        gap = abs(places[tap] - place)
        return min(gap, 10.0 - gap) if closed else gap

    for place in wanted:
        found = taps.nearest_free(place)
        if not free:
            assert found is None
            continue
        assert found in free
        assert apart(found, place) == pytest.approx(min(apart(tap, place) for tap in free))
        taps.take(found)
        free.remove(found)
