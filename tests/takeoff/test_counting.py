"""The takeoff as a whole: every joint of every network has its parts, nothing is counted twice or left out."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from functools import cache

import pytest

from tankwright.plan.models import Plan
from tankwright.room.model import AirRun, FeedRun, Place, Room
from tankwright.takeoff.counting import count_parts
from tankwright.takeoff.counting_drain import count_drains
from tankwright.takeoff.joints import Joiner
from tankwright.takeoff.model import Joint, Takeoff
from tankwright.takeoff.tally import Tally
from tankwright.takeoff.webs import STRAIGHT

from .pipe_rooms import AIR, DRAIN, FEED, NAMES, PUMP, ROOM, example, read_room

BRANCHED = AIR.replace(
    "taps = 10",
    """taps = 24
branches = [{ path = [["2 m", "1 m"], ["2 m", "2 m"]] },
            { path = [["3 m", "3 m"], ["3 m", "2 m"], ["3.4 m", "2 m"]], pipe = "20 mm ISO PN10" }]""",
)
BARE_BORE = DRAIN.replace('pipe = "{pipe}"', 'bore = "46 mm"')
SECOND = AIR.replace('pump = "piston"', 'pumps = ["piston", "second"]') + PUMP.replace("piston", "second")
OPEN = AIR.replace("taps = 10", 'taps = 10\nclosed_ring = false\nrelief = "22 kPa"\ncheck_valves = true')
SMALL = {
    "saddles": ROOM + DRAIN.format(pipe="50 mm ISO PN6", vented="false"),
    "tees": ROOM + DRAIN.format(pipe="50 mm EN 1329", vented="true"),
    "inches": ROOM + DRAIN.format(pipe="2 in sch 40", vented="true"),
    "no standard": ROOM + BARE_BORE.format(vented="true"),
    "no such pipe": ROOM + DRAIN.format(pipe="50 mm", vented="true"),
    "ring": ROOM + AIR,
    "branches": ROOM + BRANCHED,
    "two pumps": ROOM + SECOND,
    "open ring": ROOM + OPEN,
    "soft feed": ROOM + FEED.format(pipe="16 mm PE", kind="dripper"),
    "stiff feed": ROOM + FEED.format(pipe="20 mm ISO PN10", kind="compensating dripper"),
    "tap feed": ROOM + FEED.format(pipe="25 mm ISO PN10", kind="tap"),
}


@cache
def room_of(name: str) -> tuple[Plan, Room]:
    return example(name) if name in NAMES else read_room(SMALL[name])


@cache
def counted(name: str) -> Takeoff:
    return count_parts(*room_of(name))


ALL = pytest.mark.parametrize("name", [*NAMES, *SMALL])


def meeting(run: AirRun | FeedRun) -> Iterator[tuple[str, list[Place]]]:
    """Each node of a network with the distinct directions that pipes leave it in, straight from the laid-out room."""
    places = dict(run.nodes)
    ways: dict[str, list[Place]] = {name: [] for name in places}
    for pipe in run.pipes:
        for node, path in ((pipe.start, pipe.path), (pipe.end, pipe.path[::-1])):
            there = next((point for point in path if math.dist(point, places[node]) > 1e-3), None)
            if there is not None:
                far = math.dist(there, places[node])
                ways[node].append(tuple((a - b) / far for a, b in zip(there, places[node], strict=True)))  # type: ignore[arg-type]
    for name, found in ways.items():
        yield (
            name,
            [one for at, one in enumerate(found) if all(math.dist(one, two) > 1e-6 for two in found[:at])],
        )


def bends(ways: list[Place]) -> bool:
    """Whether what meets there is more than a straight pipe that goes on."""
    if len(ways) != 2:
        return len(ways) > 2
    dot = sum(a * b for a, b in zip(*ways, strict=True))
    return math.pi - math.acos(max(-1.0, min(1.0, dot))) > STRAIGHT


def joints_of(takeoff: Takeoff) -> dict[tuple[str, str], Joint]:
    joints = {(joint.system, joint.node): joint for joint in takeoff.joints}
    assert len(joints) == len(takeoff.joints), "a node is one joint"
    return joints


def has_parts(joint: Joint) -> bool:
    """Its parts are named, or it says that it has none."""
    return bool(joint.articles) or not joint.made


@ALL
def test_every_joint_of_every_network_has_its_parts_or_says_why_not(name: str) -> None:
    _, room = room_of(name)
    joints = joints_of(counted(name))
    for drain in room.drains:
        for node in drain.nodes:
            assert has_parts(joints["drain", node.id]) or not node.tanks
    for run in (*room.airs, *room.feeds):
        system = "air" if isinstance(run, AirRun) else "feed"
        places = dict(run.nodes)
        for node, ways in meeting(run):
            here = [joints[system, one] for one, at in run.nodes if math.dist(at, places[node]) < 1e-3]
            assert not bends(ways) or any(has_parts(joint) for joint in here), node
    taps = [("air", tap.id) for air in room.airs for tap in air.taps]
    outlets = [("feed", outlet.id) for feed in room.feeds for outlet in feed.outlets]
    bulkheads = [("drain", f"{tank.id}.bulkhead") for tank in room.tanks if tank.hose is not None]
    assert [one for one in (*taps, *outlets, *bulkheads) if not has_parts(joints[one])] == []


@ALL
def test_a_joint_that_cannot_be_made_is_said_in_a_finding(name: str) -> None:
    takeoff = counted(name)
    said = " ".join(one.text for one in takeoff.findings if one.code == "PART-01")
    for joint in takeoff.joints:
        assert joint.made == (not joint.why)
        assert all(why in said for why in joint.why.split("; "))


@ALL
def test_what_a_joint_names_is_on_the_list_as_often_as_the_joints_name_it(name: str) -> None:
    takeoff = counted(name)
    wanted = Counter(
        (joint.system, joint.node, article) for joint in takeoff.joints for article in joint.articles
    )
    listed: Counter[tuple[str, str, str]] = Counter()
    for need in takeoff.needs:
        if need.joint:
            listed[need.system, need.joint, need.article] += need.count
    assert not wanted - listed


@ALL
def test_every_need_names_an_article_and_where_it_goes(name: str) -> None:
    takeoff = counted(name)
    articles = {article.key: article for article in takeoff.articles}
    marks = [need.mark for need in takeoff.needs if need.mark and need.system in ("drain", "air", "feed")]
    assert len(marks) == len(set(marks)), "a piece has its own mark"
    for need in takeoff.needs:
        assert need.count > 0
        assert need.where
        article = articles[need.article]
        if article.sold_by in ("length", "metre") and need.system in ("drain", "air", "feed"):
            assert need.length is not None
            assert need.length > 0.0


@ALL
def test_pieces_and_what_fittings_take_up_make_the_length_of_the_run(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan, room = room_of(name)
    tallies: list[Tally] = []
    done = Tally.counted
    monkeypatch.setattr(Tally, "counted", lambda tally: (tallies.append(tally), done(tally))[1])
    takeoff = count_parts(plan, room)
    for tally in tallies:
        pieces = math.fsum(piece.asked for piece in tally.pieces)
        assert pieces + tally.taken_up == pytest.approx(tally.length, abs=1e-9)
        if tally.pieces:
            marks = {piece.mark: piece.length for piece in tally.pieces}
            cut = {need.mark: need.length for need in takeoff.needs if need.mark in marks}
            assert cut == marks, "each piece is on the list once, as long as it is cut"
    lengths = {(tally.system, tally.run): tally.length for tally in tallies}
    for drain in room.drains:
        assert lengths["drain", drain.id] == pytest.approx(drain.nodes[-1].chainage, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_a_tank_with_a_tap_has_its_tube_and_diffuser_and_a_drilled_one_its_hose_and_bulkhead(
    name: str,
) -> None:
    _, room = room_of(name)
    takeoff = counted(name)
    kinds = {article.key: article.kind for article in takeoff.articles}
    tubes: Counter[str] = Counter()
    others: Counter[tuple[str, str]] = Counter()
    for need in takeoff.needs:
        for tank in need.places:
            others[kinds[need.article], tank] += 1
        if kinds[need.article] == "tube" and need.system == "air":
            tubes[need.places[-1]] += 1
    tapped = Counter(tap.tank for run in room.airs for tap in run.taps if tap.tank)
    assert tubes == tapped
    for tank in room.tanks:
        assert others["diffuser", tank.id] == tapped[tank.id]
        assert others["hose", tank.id] == (1 if tank.hose else 0)
        assert (others["bulkhead", tank.id] > 0) == (tank.hole is not None)
    assert sum(need.count for need in takeoff.needs if kinds[need.article] == "bulkhead") == sum(
        tank.hole is not None for tank in room.tanks
    )


def test_taps_that_serve_no_tank_are_on_the_list_and_say_so() -> None:
    takeoff = counted("ring")
    taps = [need for need in takeoff.needs if need.article.startswith("air tap")]
    assert len(taps) == 10
    assert sum("spare" in need.where for need in taps) == 7


def test_a_room_read_in_inches_gets_inch_hoses_and_american_threads() -> None:
    takeoff = counted("garage")
    keys = {article.key for article in takeoff.articles}
    assert "1/2 in hose" in keys
    assert "hose barb 1/2 in NPT male x 1/2 in" in keys
    assert "dripper 1 gal/h for 4/6 mm tube" in keys
    assert not [key for key in keys if "BSP" in key]


def test_what_cannot_be_joined_is_said_with_its_place_and_what_to_do() -> None:
    for name, why in (("no standard", "names no pipe"), ("no such pipe", "says no standard")):
        takeoff = counted(name)
        found = [one for one in takeoff.findings if one.code == "PART-01"]
        assert found
        assert all("the top end" in one.text or "the joint of N1" in one.text for one in found)
        assert any(why in one.text for one in found)
        assert all(one.remedy for one in found)
        assert [joint for joint in takeoff.joints if not joint.made]
        assert [need for need in takeoff.needs if need.mark == "main 1"], (
            "its pieces are counted all the same"
        )


def test_a_shop_with_nothing_joins_nothing_and_says_all_of_it() -> None:
    plan, room = room_of("saddles")
    drains = count_drains(plan, room, Joiner(()))
    assert {joint.node for joint in drains.joints if not joint.made} >= {"main.0", "main.1", "N1.bulkhead"}
    assert {one.code for one in drains.findings} >= {"PART-01"}
    assert not [
        article for article in drains.articles if article.kind == "fitting" and "connector" not in article.key
    ]


def test_a_plan_of_an_empty_room_takes_nothing() -> None:
    takeoff = count_parts(
        *read_room('[room.cellar]\nsize = { length = "5 m", width = "4 m", height = "2.2 m" }\n')
    )
    assert not [need for need in takeoff.needs if need.system in ("drain", "air", "feed")]
    assert takeoff.joints == ()
