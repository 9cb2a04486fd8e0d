"""A ring of 10 m with four corners counted by hand, its branches, pumps and ends."""

from __future__ import annotations

import pytest

from tankwright.takeoff.counted import Counted
from tankwright.takeoff.counting_air import count_airs
from tankwright.takeoff.joints import Joiner

from .pipe_rooms import AIR, PUMP, ROOM, read_room

PIPE = "pipe 25 mm ISO PN10"
ELBOW = TEE = 0.0135
SOCKET = 0.0185  # 25 mm ISO: centre to stop, and the socket's depth, as catalogue/fittings.csv has them


def air(text: str) -> Counted:
    plan, room = read_room(ROOM + text)
    return count_airs(plan, room, Joiner())


def pieces(counted: Counted, pipe: str = PIPE) -> list[float]:
    return [need.length for need in counted.needs if need.article == pipe and need.length and not need.joint]


def number(counted: Counted, article: str) -> int:
    return sum(need.count for need in counted.needs if need.article == article)


def test_a_ring_of_four_corners_is_four_pieces_and_its_lead_the_fifth() -> None:
    counted = air(AIR)
    # the lead comes from above into the first corner: a tee there and an elbow behind it, with the shortest piece
    corner = TEE + 2 * SOCKET + 2 * ELBOW
    assert sorted(pieces(counted)) == pytest.approx(
        sorted([3.0 - TEE - ELBOW, 2.0 - 2 * ELBOW, 3.0 - 2 * ELBOW, 2.0 - ELBOW - corner, 0.8 - TEE]),
        abs=1e-9,
    )
    assert number(counted, "elbow 90 25 mm ISO") == 4
    assert number(counted, "tee 25 mm ISO") == 1
    stubs = [need.length for need in counted.needs if need.article == PIPE and need.joint]
    assert stubs == pytest.approx([2 * SOCKET])


def test_taps_sit_on_the_pipe_and_do_not_cut_it() -> None:
    few, many = air(AIR), air(AIR.replace("taps = 10", "taps = 50"))
    assert pieces(few) == pytest.approx(pieces(many), abs=1e-9)
    assert number(many, "air tap on 25 mm ISO x 4 mm") == 50


def test_each_tank_has_one_tube_of_the_length_said_one_diffuser_and_a_check_valve_where_wanted() -> None:
    counted = air(AIR.replace("taps = 10", "taps = 10\ncheck_valves = true"))
    assert [need.length for need in counted.needs if need.article == "4/6 mm tube"] == [1.5, 1.5, 1.5]
    assert number(counted, "sponge filter") == 3
    assert number(counted, "check valve for 4/6 mm tube") == 3


def test_open_tubes_end_in_nothing_that_is_bought() -> None:
    counted = air(AIR + '\n[air.ring.diffuser]\nkind = "open tube"\n')
    assert not [article for article in counted.articles if article.kind == "diffuser"]


def test_an_open_ring_is_closed_by_caps_and_its_relief_valve_is_named_by_its_pressure() -> None:
    counted = air(AIR.replace("taps = 10", 'taps = 10\nclosed_ring = false\nrelief = "22 kPa"'))
    # its beginning is an elbow up to the pump's lead, its end a cap
    assert number(counted, "cap 25 mm ISO") == 1
    assert number(counted, "elbow 90 25 mm ISO") == 3
    assert number(counted, "relief valve 22 kPa") == 1
    assert sorted(pieces(counted)) == pytest.approx(
        sorted([3.0 - 2 * ELBOW, 2.0 - 2 * ELBOW, 3.0 - ELBOW, 0.8 - ELBOW])
    )


def test_a_narrower_branch_leaves_by_a_tee_and_a_bush_and_ends_in_its_own_cap() -> None:
    counted = air(AIR.replace("taps = 10", 'taps = 10\nbranches = [{ path = [["2 m", "1 m"], ["2 m", "2 m"]], '
                                           'pipe = "20 mm ISO PN10" }]'))  # fmt: skip
    assert pieces(counted, "pipe 20 mm ISO PN10") == pytest.approx([1.0 - TEE], abs=1e-9)
    assert number(counted, "reducing bush 25 x 20 mm ISO") == 1
    assert number(counted, "cap 20 mm ISO") == 1
    assert number(counted, "tee 25 mm ISO") == 2
    assert number(counted, "clip for 20 mm ISO") == 2


def test_pumps_side_by_side_have_valves_of_their_own_and_a_tee_between() -> None:
    one = air(AIR)
    two = air(
        AIR.replace('pump = "piston"', 'pumps = ["piston", "second"]') + PUMP.replace("piston", "second")
    )
    assert number(two, "tee 25 mm ISO") == number(one, "tee 25 mm ISO") + 1
    assert number(two, "check valve for 25 mm ISO") == 2
    assert number(two, "shut-off valve for 25 mm ISO") == 2
    assert number(two, "adapter 18 mm bore, pump port to ring") == 2


def test_a_pump_with_no_adapter_said_gets_one_and_the_list_says_nobody_measured_it() -> None:
    counted = air(AIR.replace('adapters = [{ bore = "18 mm", note = "pump port to ring" }]', ""))
    assert "PART-09" in {one.code for one in counted.findings}
    assert number(counted, "pump port adapter to 25 mm ISO") == 1


def test_a_port_that_the_plan_names_is_joined_to_the_lead() -> None:
    named = AIR.replace('adapters = [{ bore = "18 mm", note = "pump port to ring" }]', "").replace(
        'room = "cellar"', 'room = "cellar"\nfitting = "3/4 in BSP G female"'
    )
    counted = air(named)
    assert "PART-09" not in {one.code for one in counted.findings}
    assert number(counted, "pump port adapter to 25 mm ISO") == 0
    joint = next(one for one in counted.joints if one.node == "ring.pump")
    assert joint.made
    assert "3/4 in BSP G female" in joint.ends
    said = next(
        one for one in air(named.replace("3/4 in BSP G female", "wide")).findings if one.code == "PART-01"
    )
    assert "wide" in said.text
    assert "the pump" in said.text


def test_a_lead_that_nobody_measured_goes_square_to_the_walls_from_the_pump() -> None:
    text = AIR.replace('lead = "80 cm"', "").replace(
        'room = "cellar"', 'room = "cellar"\nat = ["0.5 m", "0.4 m"]\nheight = "1 m"'
    )
    counted = air(text)
    # from (0.5, 0.4, 1.0): 0.5 m east, 0.6 m north, 1 m up into the corner of the ring
    lead = sorted(length for length in pieces(counted) if length < 1.5)
    assert lead == pytest.approx(sorted([0.5 - ELBOW, 0.6 - 2 * ELBOW, 1.0 - ELBOW - TEE]), abs=1e-9)
    assert number(counted, "elbow 90 25 mm ISO") == 6


def test_a_corner_that_no_elbow_has_is_said() -> None:
    counted = air(AIR.replace('["4 m", "1 m"]', '["4 m", "0.2 m"]'))
    assert "PART-04" in {one.code for one in counted.findings}
