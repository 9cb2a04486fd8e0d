"""Places of runs in words: what is there, else which corner of which room or beside which rack."""

from __future__ import annotations

import math
import re

import pytest

from tankwright.takeoff.counting import count_parts
from tankwright.takeoff.place_words import drain_words, where_words
from tankwright.takeoff.shapes import Measures
from tankwright.takeoff.straighter import straighter

from .pipe_rooms import AIR, DRAIN, EXAMPLES, FEED, NAMES, ROOM, example, read_room

SIZE = Measures(elbow_90=0.026, elbow_45=0.0115, tee=0.026, socket=0.031)


@pytest.mark.parametrize(
    ("place", "words"),
    [((0.1, 0.1, 1.0), "in the south-west of cellar"), ((4.9, 3.9, 1.0), "in the north-east of cellar"),
     ((1.5, 3.95, 0.5), "behind rack N"), ((1.5, 3.2, 0.5), "in front of rack N"), ((1.5, 3.6, 2.1), "above rack N"),
     ((0.8, 3.7, 0.5), "left of rack N"), ((2.5, 3.7, 0.5), "right of rack N"),  # who stands before it looks north
     ((2.5, 0.1, 0.5), "at the south wall of cellar"),
     ((2.5, 2.0, 0.5), "in cellar"), ((9.0, 9.0, 0.5), "")],
)  # fmt: skip
def test_a_place_is_told_by_the_corner_of_its_room_or_the_rack_beside_it(
    place: tuple[float, float, float], words: str
) -> None:
    _, room = read_room(ROOM)
    assert where_words(room, place) == words


def test_nodes_of_a_drain_are_its_top_its_corners_its_joints_and_its_outfall() -> None:
    _, room = read_room(
        ROOM.replace('at = ["3 m", "3.95 m"]', 'at = ["3 m", "3 m"]')
        + DRAIN.format(pipe="50 mm ISO PN6", vented="true")
    )
    words = list(drain_words(room, room.drains[0]).values())
    assert words[0] == "the top end"
    assert words[1:4] == ["the joint of N1", "the joint of N2", "the joint of N3"]
    assert words[4].startswith("corner 1 (")
    assert words[-1] == "the outfall gully"


def test_needs_of_a_feed_say_its_risers_and_outlets() -> None:
    takeoff = count_parts(*read_room(ROOM + FEED.format(pipe="20 mm ISO PN10", kind="dripper")))
    where = {need.where for need in takeoff.needs if need.system == "feed"}
    assert "feed drip, at the riser of rack N, shelf 1" in where
    assert "feed drip, from the outlet of N1 to the outlet of N2" in where
    assert any("the water point tap to the riser of rack N" in one for one in where)


def test_needs_of_an_air_run_say_its_taps_and_corners() -> None:
    takeoff = count_parts(*read_room(ROOM + AIR))
    where = {need.where for need in takeoff.needs if need.system == "air"}
    assert any(re.fullmatch(r"air ring, from tap \d+ to the diffuser of N1", one) for one in where)
    assert any("from corner 1 (in cellar) to corner 2" in one for one in where)


@pytest.mark.parametrize("name", NAMES)
def test_no_id_of_a_node_stands_in_what_a_keeper_reads(name: str) -> None:
    plan, room = example(name)
    takeoff = count_parts(plan, room)
    ids = [node.id for run in room.drains for node in run.nodes]
    ids += [node for run in (*room.airs, *room.feeds) for node, _ in run.nodes]
    ids += [tap.id for run in room.airs for tap in run.taps]
    known = set(ids)
    read = [need.where for need in takeoff.needs] + [one.text + one.remedy for one in takeoff.findings]
    for text in read:
        assert not [word for word in re.findall(r"[\w]+\.[\w.]+", text) if word.rstrip(".") in known], text
        assert ".pipe " not in text
        assert ".shelf " not in text


@pytest.mark.parametrize("name", NAMES)
def test_two_pieces_of_one_run_do_not_lie_between_places_of_the_same_name(name: str) -> None:
    plan, room = example(name)
    for need in count_parts(plan, room).needs:
        told = re.fullmatch(r".+?, from (.+) to (.+)", need.where)
        if told is not None and need.mark:
            assert told[1] != told[2], need.where


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
def test_the_way_told_where_fittings_have_no_room_gives_them_room(name: str) -> None:
    plan, room = example(name)
    said = [one for one in count_parts(plan, room).findings if one.code == "PART-02"]
    text = (EXAMPLES / f"{name}.toml").read_text("utf-8")
    for one in said:
        told = re.search(r"write (path = .+) in (\[drain\.\w+\])", one.remedy)
        assert told is not None, one.remedy
        text = text.replace(f"{told[2]}\n", f"{told[2]}\n{told[1]}\n")
    mended = count_parts(*read_room(text))
    assert said
    assert "PART-02" not in {one.code for one in mended.findings}


def test_a_corner_is_left_out_only_where_that_gives_room_and_moves_the_run_little() -> None:
    end = [(0.0, 3.0), (3.0, 3.0), (3.0, 2.95)]
    better = straighter(end, 1, SIZE)
    assert better is not None
    assert better.without == (1,)
    assert better.aside == pytest.approx(3.0 * 0.05 / math.hypot(3.0, 0.05))
    far = [(0.0, 3.0), (3.0, 3.0), (3.0, 2.0), (3.06, 2.0), (3.06, 0.0)]
    assert straighter(far, 0, SIZE) is None
