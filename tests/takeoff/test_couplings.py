"""Pipes longer than their sticks: near-equal pieces, couplings clear of taps, counted by hand and as properties."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.takeoff.counted import Counted
from tankwright.takeoff.counting import count_parts
from tankwright.takeoff.counting_air import count_airs
from tankwright.takeoff.counting_drain import count_drains
from tankwright.takeoff.couplings import FINE, Coupling, in_sticks
from tankwright.takeoff.joints import Joiner
from tankwright.takeoff.purchase import purchase

from .pipe_rooms import AIR, DRAIN, NAMES, ROOM, example, read_room

PIPE = "pipe 25 mm ISO PN10"
ELBOW, SOCKET, TAKES = (
    0.0135,
    0.0185,
    0.003,
)  # 25 mm ISO; a coupling takes 1.5 mm to either side of its middle
STICK = 4.0 - 0.010  # the usual stick less what is cut off a new one
CORNERS = '["1 m", "1 m"], ["4 m", "1 m"], ["4 m", "3 m"], ["1 m", "3 m"]'
LONG = ROOM.replace('length = "5 m"', 'length = "13 m"') + AIR.replace(
    CORNERS, '["1 m", "1 m"], ["11 m", "1 m"], ["11 m", "3 m"], ["1 m", "3 m"]'
)
SMALL = Coupling(takes=TAKES, half=0.03)


def air(text: str, longest: dict[str, float] | None = None) -> Counted:
    plan, room = read_room(text)
    return count_airs(plan, room, Joiner(None, longest or {}))


def pieces(counted: Counted, pipe: str = PIPE) -> list[float]:
    return [need.length for need in counted.needs if need.article == pipe and need.length and not need.joint]


def number(counted: Counted, article: str) -> int:
    return sum(need.count for need in counted.needs if need.article == article)


def test_a_side_of_ten_metres_is_three_pieces_and_two_couplings() -> None:
    counted = air(LONG.replace("taps = 10", "taps = 4"))
    # 10 m less an elbow, or the lead's tee that is as long, at either end, and 3 mm a coupling: both long sides alike
    third = (10.0 - 2 * ELBOW - 2 * TAKES) / 3.0
    assert third == pytest.approx(3.322333, abs=1e-6)
    assert sorted(pieces(counted))[-6:] == pytest.approx([third] * 6, abs=1e-9)
    assert number(counted, "coupling 25 mm ISO") == 4
    couplings = [joint for joint in counted.joints if ".coupling " in joint.node]
    assert [joint.node for joint in couplings] == [f"ring.coupling {one}" for one in (1, 2, 3, 4)]
    assert all(joint.articles == ("coupling 25 mm ISO",) for joint in couplings)


def test_pieces_of_one_pipe_are_marked_in_order_and_say_between_which_couplings_they_lie() -> None:
    counted = air(LONG)
    first = next(at for at, need in enumerate(counted.needs) if need.where.endswith("to coupling 1"))
    row = [need for need in counted.needs[first:] if need.mark and "coupling" in need.where][:3]
    marks = [int(need.mark.split()[1]) for need in row]
    assert marks == [marks[0], marks[0] + 1, marks[0] + 2]
    assert "from coupling 1 to coupling 2" in row[1].where
    assert all("buy.stick" in need.rests_on for need in row)


def test_clips_are_those_of_the_whole_way() -> None:
    whole = air(LONG, {PIPE: 12.0})
    assert number(whole, "coupling 25 mm ISO") == 0
    assert number(air(LONG), "clip for 25 mm ISO") == number(whole, "clip for 25 mm ISO")


@pytest.mark.parametrize(("sold", "couplings"), [("12 m", 0), ("6 m", 2), ("3 m", 6)])
def test_the_longest_stick_is_the_one_the_plan_says(sold: str, couplings: int) -> None:
    said = f'[[buy.sold]]\nof = "Pipe 25 mm ISO PN10"\nlengths = [{{ length = "{sold}" }}, {{ length = "1 m" }}]\n'
    assert number(air(LONG + said), "coupling 25 mm ISO") == couplings


def test_what_price_lists_offer_comes_before_the_plan() -> None:
    said = f'[[buy.sold]]\nof = "{PIPE}"\nlengths = [{{ length = "12 m" }}]\n'
    assert number(air(LONG + said, {"pipe 25mm ISO PN10": 6.0}), "coupling 25 mm ISO") == 2


def test_a_pipe_that_no_coupling_joins_is_said_and_its_pieces_are_listed() -> None:
    plan, room = read_room(LONG)
    counted = count_airs(plan, room, Joiner(()))
    joint = next(one for one in counted.joints if one.node == "ring.coupling 1")
    assert not joint.made
    assert any(one.code == "PART-01" and "coupling 1" in one.text for one in counted.findings)
    assert max(pieces(counted)) <= STICK


def test_taps_closer_than_a_coupling_is_long_are_said() -> None:
    counted = air(LONG.replace("taps = 10", "taps = 600"))
    said = next(one for one in counted.findings if one.code == "PART-10")
    assert "coupling 1" in said.text


def test_a_coupling_of_a_drain_keeps_clear_of_its_saddles() -> None:
    # 2 m under saddles at 0.24, 0.65 and 1.06 m, from sticks of 1.6 m: the middle, 1 m, is under the third saddle
    said = '[[buy.sold]]\nof = "pipe 50 mm ISO PN6"\nlengths = [{ length = "1.6 m" }]\n'
    plan, room = read_room(ROOM + DRAIN.format(pipe="50 mm ISO PN6", vented="false") + said)
    counted = count_drains(plan, room, Joiner())
    first, second = pieces(counted, "pipe 50 mm ISO PN6")
    assert first + TAKES + second == pytest.approx(2.0, abs=1e-9)
    assert first + TAKES / 2 == pytest.approx((0.65 + 1.06) / 2, abs=1e-9)


def test_a_vent_longer_than_a_stick_is_coupled_too() -> None:
    said = '[[buy.sold]]\nof = "pipe 50 mm ISO PN6"\nlengths = [{ length = "50 cm" }]\n'
    plan, room = read_room(ROOM + DRAIN.format(pipe="50 mm ISO PN6", vented="true") + said)
    counted = count_drains(plan, room, Joiner())
    assert {need.mark for need in counted.needs if "vent" in need.mark} == {"main vent 1", "main vent 2"}


@given(
    length=st.floats(0.1, 60.0),
    longest=st.floats(0.5, 6.0),
    taps=st.lists(st.floats(0.0, 60.0), max_size=40),
)
def test_pieces_fit_their_sticks_and_make_the_way(length: float, longest: float, taps: list[float]) -> None:
    along = sorted(tap for tap in taps if tap < length)
    cuts = in_sticks(length, longest, SMALL, along)
    assert math.fsum(cuts.pieces) + TAKES * len(cuts.couplings) == pytest.approx(length, abs=1e-9)
    assert len(cuts.pieces) == len(cuts.couplings) + 1
    assert all(0.0 < piece <= longest + 2 * FINE for piece in cuts.pieces)
    least = max(math.ceil((length + TAKES) / (longest + TAKES) - 1e-6), 1)
    assert least <= len(cuts.pieces) <= least + 1
    met = sum(any(abs(tap - middle) < SMALL.half - 2 * FINE for tap in along) for middle in cuts.couplings)
    assert met <= cuts.met


@given(length=st.floats(0.1, 60.0), longest=st.floats(0.5, 6.0))
def test_pieces_of_a_pipe_without_taps_are_alike(length: float, longest: float) -> None:
    cut = in_sticks(length, longest, SMALL).pieces
    assert max(cut) - min(cut) < 1e-9


@pytest.mark.parametrize("name", NAMES)
def test_every_length_of_an_example_can_be_cut_from_what_is_bought(name: str) -> None:
    plan, room = example(name)
    bought = purchase(count_parts(plan, room), plan.buy, room=room, seconds=0.0)
    assert not [one for one in bought.findings if one.code == "CUT-01"]
    assert all(one.plan.sticks for one in bought.cuts)
