"""A straight drain counted by hand: pieces, tees and saddles, what is moved, the top end and the outfall."""

from __future__ import annotations

import pytest

from tankwright.takeoff.counted import Counted
from tankwright.takeoff.counting_drain import count_drains
from tankwright.takeoff.joints import Joiner

from .pipe_rooms import DRAIN, ROOM, read_room

# The rack's west end lies at 1 m, the outfall at 3 m: the run is 2 m long. Holes are 20 cm from the left of tanks that
# stand 4, 45 and 86 cm from the rack's left end, which is its west one seen from the aisle: 24, 65 and 106 cm.
HOLES = (0.24, 0.65, 1.06)


def drains(text: str) -> Counted:
    plan, room = read_room(text)
    return count_drains(plan, room, Joiner())


def pieces(counted: Counted, pipe: str) -> list[float]:
    return [need.length for need in counted.needs if need.article == pipe and need.length and not need.joint]


def number(counted: Counted, article: str) -> int:
    return sum(need.count for need in counted.needs if need.article == article)


def test_holes_come_to_the_drain_where_they_were_worked_out_by_hand() -> None:
    _, room = read_room(ROOM + DRAIN.format(pipe="50 mm ISO PN6", vented="false"))
    chainages = [node.chainage for node in room.drains[0].nodes if node.tanks]
    assert chainages == pytest.approx(HOLES)


def test_a_drain_under_saddles_is_one_piece_from_its_cap_to_its_outfall() -> None:
    counted = drains(ROOM + DRAIN.format(pipe="50 mm ISO PN6", vented="false"))
    assert pieces(counted, "pipe 50 mm ISO PN6") == pytest.approx([2.0])
    assert number(counted, "tapping saddle 50 mm ISO x 1/2 in BSP Rp") == 3
    assert number(counted, "threaded plug 1 1/2 in BSP R") == 1
    assert number(counted, "hose clip for 13 mm hose") == 6, "one at each end of three hoses"
    assert [need.length for need in counted.needs if need.article == "13 mm hose"] == [0.8, 0.8, 0.8]
    assert number(counted, "clip for 50 mm ISO") == 3, "one every 0.8 m of 2 m"


def test_a_drain_with_tees_is_cut_at_each_and_its_pieces_are_shorter_by_what_they_take_up() -> None:
    counted = drains(ROOM + DRAIN.format(pipe="50 mm EN 1329", vented="true"))
    tee = next(one for one in Joiner().bought if one.key == "tee 50 x 40 mm EN 1329").take_ups[0]
    top = next(one for one in Joiner().bought if one.key == "tee 50 mm EN 1329").take_ups[0]
    vent = pieces(counted, "pipe 50 mm EN 1329")[0]
    first, second, third = HOLES
    assert pieces(counted, "pipe 50 mm EN 1329")[1:] == pytest.approx(
        [first - top - tee, second - first - 2 * tee, third - second - 2 * tee, 2.0 - third - tee], abs=1e-9
    )
    # top invert 5 cm + 2 m / 50 = 9 cm; still water 60 + 32 - 4.2 cm = 87.8 cm; the vent ends 10 cm over that
    assert vent == pytest.approx(0.978 - 0.09 - top, abs=1e-9)
    assert number(counted, "tee 50 mm EN 1329") == 1
    assert number(counted, "tee 50 x 40 mm EN 1329") == 3


def test_pieces_are_marked_by_the_name_of_the_run() -> None:
    counted = drains(ROOM + DRAIN.format(pipe="50 mm ISO PN6", vented="true"))
    assert {need.mark for need in counted.needs if need.mark} == {"main 1", "main 2", "main vent"}


def test_hoses_that_come_down_in_one_place_are_taken_side_by_side_and_it_is_said() -> None:
    text = ROOM.replace('shelves = ["60 cm"]', 'shelves = ["40 cm", "100 cm"]')
    text = text.replace("shelf.1", 'shelf.2 = [{ kind = "cube", ids = "N4", from_left = "4 cm" }]\nshelf.1')
    counted = drains(text + DRAIN.format(pipe="50 mm ISO PN6", vented="false"))
    moved = next(one for one in counted.findings if one.code == "PART-03")
    # two saddles 1.2 pipe diameters wide (mean outer diameter 50.15 mm), each half of that off the hole they share
    assert dict(moved.numbers)["moved"].value == pytest.approx(0.6 * 0.05015, abs=1e-6)
    assert moved.places == ("main", "N1", "N4")
    assert "N1 and N4" in moved.text


def test_two_corners_too_close_to_weld_are_said_and_their_piece_is_the_shortest_that_holds() -> None:
    text = ROOM.replace('at = ["3 m", "3.95 m"]', 'at = ["3 m", "3.90 m"]')
    counted = drains(text + DRAIN.format(pipe="50 mm ISO PN6", vented="false"))
    short = next(one for one in counted.findings if one.code == "PART-02")
    # 5 cm from corner to outfall, 26 mm of it in the elbow, where a socket needs 31 mm
    assert dict(short.numbers)["missing"].value == pytest.approx(0.031 - (0.05 - 0.026), abs=1e-9)
    assert pieces(counted, "pipe 50 mm ISO PN6") == pytest.approx([2.0 - 0.026, 0.031])
    assert number(counted, "elbow 90 50 mm ISO") == 1


def test_a_second_overflow_into_the_drain_has_a_hose_of_its_own() -> None:
    text = ROOM.replace(
        "[rack_kind.one]", 'second_overflow = { bore = "13 mm", above_lip = "1 cm" }\n\n[rack_kind.one]'
    )
    counted = drains(text + DRAIN.format(pipe="50 mm ISO PN6", vented="false"))
    assert number(counted, "13 mm hose") == 6
    assert {joint.node for joint in counted.joints} >= {"N1.bulkhead", "N1.second bulkhead"}


def test_a_second_overflow_with_its_own_hose_reaches_the_outfall() -> None:
    over = 'second_overflow = { bore = "13 mm", above_lip = "1 cm", to = "own hose" }\n\n[rack_kind.one]'
    counted = drains(
        ROOM.replace("[rack_kind.one]", over) + DRAIN.format(pipe="50 mm ISO PN6", vented="false")
    )
    own = [need for need in counted.needs if need.article == "13 mm hose" and "second" in need.where]
    assert len(own) == 3
    assert all("hose.slack" in need.rests_on for need in own)


def test_a_bulkhead_that_the_plan_names_is_joined_as_it_says_and_no_guess_is_told() -> None:
    text = ROOM.replace('diameter = "29 mm"', 'diameter = "29 mm", fitting = "13 mm barb"')
    counted = drains(text + DRAIN.format(pipe="50 mm ISO PN6", vented="false"))
    assert "PART-05" not in {one.code for one in counted.findings}
    assert next(joint for joint in counted.joints if joint.node == "N1.bulkhead").ends == (
        "13 mm barb",
        "13 mm hose",
    )
    assert number(counted, "hose clip for 13 mm hose") == 6


def test_a_bulkhead_nobody_can_read_is_said() -> None:
    text = ROOM.replace('diameter = "29 mm"', 'diameter = "29 mm", fitting = "half inch"')
    counted = drains(text + DRAIN.format(pipe="50 mm ISO PN6", vented="false"))
    said = next(one for one in counted.findings if one.code == "PART-01")
    assert "the bulkhead of N1" in said.text
    assert "half inch" in said.text


def test_drilled_tanks_that_no_drain_takes_are_named_once() -> None:
    counted = drains(ROOM)
    (said,) = [one for one in counted.findings if one.code == "PART-07"]
    assert said.places == ("N1", "N2", "N3")


def test_a_drain_that_can_be_turned_gets_two_valves_and_says_what_is_not_counted() -> None:
    other = '[outfall.garden]\nroom = "cellar"\nat = ["4 m", "3.95 m"]\nheight = "5 cm"\n'
    text = DRAIN.format(pipe="50 mm ISO PN6", vented="false").replace(
        'to = "gully"', 'to = "gully"\nor_to = "garden"'
    )
    counted = drains(ROOM + other + text)
    assert number(counted, "shut-off valve for 50 mm ISO") == 2
    assert "PART-08" in {one.code for one in counted.findings}
