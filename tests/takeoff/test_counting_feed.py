"""A feed with one riser and one manifold counted by hand, soft and stiff, and what stands at its source."""

from __future__ import annotations

import math

import pytest

from tankwright.takeoff.counted import Counted
from tankwright.takeoff.counting_feed import count_feeds
from tankwright.takeoff.joints import Joiner

from .pipe_rooms import FEED, ROOM, read_room

# The tap is at the wall, 0.5 m from the west; the rack begins at 1 m. The trunk is 4 cm off the wall, the rack's back
# 10 cm: 0.5 m of trunk at 0.5 m height, 6 cm to the rack, up to 6 cm over the rims at 0.92 m, then 0.24, 0.65 and
# 1.06 m along the shelf to the middles of the tanks.
TRUNK, ACROSS, UP, TANKS = 0.5, 0.06, 0.48, (0.24, 0.65, 1.06)


def feed(pipe: str, kind: str = "dripper", more: str = "") -> Counted:
    plan, room = read_room(ROOM + FEED.format(pipe=pipe, kind=kind) + more)
    return count_feeds(plan, room, Joiner())


def pieces(counted: Counted, pipe: str) -> list[float]:
    return [need.length for need in counted.needs if need.article == pipe and need.length and not need.joint]


def number(counted: Counted, article: str) -> int:
    return sum(need.count for need in counted.needs if need.article == article)


def test_a_soft_manifold_is_one_piece_with_its_drippers_pressed_in() -> None:
    counted = feed("16 mm PE")
    elbow = 0.0116  # 16 mm PE: centre to shoulder
    assert sorted(pieces(counted, "pipe 16 mm PE")) == pytest.approx(
        sorted([TRUNK - elbow, math.hypot(UP, ACROSS) - 2 * elbow, TANKS[-1] - elbow]), abs=1e-4
    )
    assert number(counted, "barbed elbow 16 mm PE") == 2
    assert number(counted, "end plug 16 mm PE") == 1
    assert number(counted, "dripper on 16 mm PE with outlet for 4 mm tube, dripper 2 L/h") == 3
    assert number(counted, "hose clip for 16 mm PE") == 2 * 2 + 1 + 1, (
        "at elbows, plug and the adapter of the tap"
    )


def test_soft_pipe_bends_over_a_way_too_short_for_two_fittings_and_it_is_said() -> None:
    counted = feed("16 mm PE")
    bent = next(one for one in counted.findings if one.code == "PART-11")
    assert dict(bent.numbers)["aside"].value == pytest.approx(ACROSS)
    assert "the riser of rack N" in bent.text
    assert "PART-02" not in {one.code for one in counted.findings}


def test_a_stiff_pipe_with_no_room_between_trunk_and_riser_is_told_by_how_much_the_rack_is_too_near() -> None:
    # elbows of 25 mm ISO take 13.5 mm and want a piece that fills two sockets of 18.5 mm: 64 mm, where 60 are drawn
    short = next(one for one in feed("25 mm ISO PN10").findings if one.code == "PART-02")
    numbers = dict(short.numbers)
    assert numbers["needed"].value == pytest.approx(2 * 0.0135 + 2 * 0.0185, abs=1e-9)
    assert numbers["way"].value == pytest.approx(ACROSS)
    further = ROOM.replace(
        'off_wall = "10 cm"', f'off_wall = "{100 + numbers["missing"].value * 1000:.3f} mm"'
    )
    plan, room = read_room(further + FEED.format(pipe="25 mm ISO PN10", kind="dripper"))
    assert "PART-02" not in {one.code for one in count_feeds(plan, room, Joiner()).findings}


def test_soft_pipe_comes_off_a_roll_unless_the_plan_says_in_which_lengths() -> None:
    rolled = {one.key: one.sold_by for one in feed("16 mm PE").articles}
    sold = feed("16 mm PE", more='[[buy.sold]]\nof = "pipe 16 mm PE"\nlengths = [{ length = "25 m" }]\n')
    assert rolled["pipe 16 mm PE"] == "metre"
    assert {one.key: one.sold_by for one in sold.articles}["pipe 16 mm PE"] == "length"


def test_a_stiff_manifold_too_thin_for_a_grommet_is_cut_at_a_tee_for_each_tank() -> None:
    counted = feed("20 mm ISO PN10")
    elbow = tee = 0.011
    first, second, third = TANKS
    assert sorted(pieces(counted, "pipe 20 mm ISO PN10")) == pytest.approx(
        sorted([TRUNK - elbow, ACROSS - 2 * elbow, UP - 2 * elbow, first - elbow - tee, second - first - 2 * tee,
                third - second - 2 * tee]), abs=1e-4,
    )  # fmt: skip
    assert number(counted, "tee 20 mm ISO") == 3
    assert number(counted, "cap 20 mm ISO") == 1
    assert number(counted, "dripper 2 L/h for 4/6 mm tube") == 3


def test_a_stiff_manifold_that_takes_a_grommet_goes_on_uncut() -> None:
    counted = feed("25 mm ISO PN10")
    assert number(counted, "grommet 25 mm ISO x 6 mm tube") == 3
    assert max(pieces(counted, "pipe 25 mm ISO PN10")) == pytest.approx(TANKS[-1] - 0.0135, abs=1e-4)


def test_an_outlet_tube_reaches_from_the_manifold_to_where_its_end_is() -> None:
    counted = feed("16 mm PE")
    tubes = [need.length for need in counted.needs if need.article == "4/6 mm tube"]
    plan, room = read_room(ROOM + FEED.format(pipe="16 mm PE", kind="dripper"))
    places = dict(room.feeds[0].nodes)
    far = [
        sum((a - b) ** 2 for a, b in zip(places[one.node], one.place, strict=True)) ** 0.5
        for one in room.feeds[0].outlets
    ]
    assert plan.feed
    assert tubes == pytest.approx(far)


def test_a_small_tube_is_as_long_and_as_wide_as_the_plan_says() -> None:
    text = FEED.replace('rate = "2 L/h", at_pressure = "1 bar"', 'bore = "3 mm", length = "2 m"')
    plan, room = read_room(ROOM + text.format(pipe="16 mm PE", kind="small tube"))
    counted = count_feeds(plan, room, Joiner())
    assert [need.length for need in counted.needs if need.article == "3/4.5 mm tube"] == [2.0, 2.0, 2.0]


def test_what_stands_in_the_line_is_joined_at_both_ends_and_its_ends_are_said_to_be_a_guess() -> None:
    line = """
check_valve = true
regulated_to = "1.5 bar"
filters = [{ name = "carbon", carbon = true }]
valve = { name = "timer valve" }
"""
    counted = feed("16 mm PE", more=line)
    for unit in ("check valve", "carbon filter", "timer valve", "pressure regulator to 150 kPa"):
        assert number(counted, unit) == 1
    assert number(counted, "male adapter 16 mm PE x 3/4 in BSP R") == 8
    guess = next(one for one in counted.findings if one.code == "PART-06")
    assert "carbon" in guess.text
    assert "3/4 in BSP G female" in guess.text


def test_ends_that_the_plan_names_are_joined_as_it_says_and_no_guess_is_told() -> None:
    text = ROOM + FEED.format(pipe="16 mm PE", kind="dripper").replace(
        'pressure = "3 bar"', 'pressure = "3 bar"\nfitting = "3/4 in BSP G female"'
    )
    line = 'filters = [{ name = "carbon", fitting = "1/2 in BSP G female" }]\ncheck_valve = true\n'
    plan, room = read_room(text + line + 'fitting = "3/4 in BSP G female"\n')
    counted = count_feeds(plan, room, Joiner())
    joints = {joint.node: joint.ends for joint in counted.joints}
    assert "PART-06" not in {one.code for one in counted.findings}
    assert "3/4 in BSP G female" in joints["drip.source"]
    assert joints["drip.carbon filter"].count("1/2 in BSP G female") == 2
    assert joints["drip.check valve"].count("3/4 in BSP G female") == 2


def test_an_end_nobody_can_read_is_said() -> None:
    counted = feed("16 mm PE", more='fitting = "three quarters"\ncheck_valve = true\n')
    said = next(one for one in counted.findings if one.code == "PART-01")
    assert "three quarters" in said.text
    assert "the check valve" in said.text


def test_two_feeds_tell_their_guesses_in_one_finding() -> None:
    two = FEED.format(pipe="16 mm PE", kind="dripper")
    second = two[two.index("[feed.drip]") :].replace("[feed.drip]", "[feed.night]")
    plan, room = read_room(ROOM + two + 'tanks = "N1"\n' + second + 'tanks = "N2"\n')
    (said,) = [one for one in count_feeds(plan, room, Joiner()).findings if one.code == "PART-06"]
    assert said.places == ("drip", "night")
    assert "[water_point.tap]" in said.remedy


def test_a_vat_is_counted_with_its_float_switch_and_a_bulkhead_for_its_outlet() -> None:
    vat = '[vat.barrel]\nroom = "cellar"\nat = ["0.5 m", "3.9 m"]\nvolume = "100 L"\nlow_level_cutoff = "10 L"\n'
    text = FEED.format(pipe="16 mm PE", kind="dripper").replace('from = "tap"', 'from = "barrel"')
    plan, room = read_room(ROOM + vat + text)
    counted = count_feeds(plan, room, Joiner())
    assert number(counted, "vat 100 L") == 1
    assert number(counted, "float switch for a vat") == 1
    assert number(counted, "bulkhead 3/4 in BSP G female") == 1
