"""Whose water reaches whose, read off laid-out rooms: every kind of link, its direction, and how sure it is."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from string import Template

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.husbandry.shared_water import WaterLink, reached_by, units_of, water_links
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room

EXAMPLES = Path(__file__).parent.parent.parent / "examples"

LOOP = """
[room.shed]
size = { length = "5 m", width = "3 m", height = "2.2 m" }
[vat.sump]
room = "shed"
at = ["4.5 m", "0.5 m"]
height = "30 cm"
volume = "200 L"
[outfall.low]
room = "shed"
at = ["4.9 m", "0.1 m"]
height = "5 cm"
to = "$to"
[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "70 mm" }
overflow = { elbow_reach = "34 mm", water_below_rim = "42 mm" }
[rack_kind.two]
length = "130 cm"
depth = "45 cm"
shelves = ["40 cm", "110 cm"]
[[rack]]
id = "A"
kind = "two"
room = "shed"
wall = "north"
from_west = "15 cm"
off_wall = "6 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A2", gap = "10 mm" }]
shelf.2 = [{ kind = "cube", ids = "A3..A4", gap = "10 mm" }]
[drain.main]
to = "low"
behind = ["A"]
[feed.loop]
from = "$source"
outlet = { kind = "dripper", rate = "4 L/h", at_pressure = "0.1 bar" }
tanks = "$fed"
ends = "$ends rim"
air_gap = "$gap"
[pump.air]
curve = [["0 kPa", "85 L/min"], ["20 kPa", "48 L/min"]]
height = "30 cm"
room = "shed"
[air.ring]
pump = "air"
around = "shed"
height = "$ring"
bore = "20 mm"
taps = 8
check_valves = $valves
"""


@cache
def laid(
    *, to: str = "sewer", source: str = "sump", fed: str = "A1..A4", ends: str = "above", gap: str = "3 cm",
    ring: str = "2 m", valves: str = "false",
) -> Room:  # fmt: skip
    text = Template(LOOP).substitute(
        to=to, source=source, fed=fed, ends=ends, gap=gap, ring=ring, valves=valves
    )
    read = read_plan_text(text, "loop.toml")
    assert read.plan is not None, read.findings
    room = lay_out(read.plan).room
    assert room is not None
    return room


def ways(room: Room, kind: str) -> set[tuple[str, str]]:
    return {(one.source, one.target) for one in water_links(room) if one.kind == kind}


def test_a_drain_into_the_vat_that_feeds_joins_all_its_tanks_for_certain() -> None:
    links = water_links(laid(to="sump"))
    assert reached_by(links, "A1") == {"A1", "A2", "A3", "A4", "sump"}
    assert units_of(links, ("A1", "A2", "A3", "A4", "sump")) == (("A1", "A2", "A3", "A4", "sump"),)


def test_a_vat_that_only_feeds_goes_one_way() -> None:
    links = water_links(laid())
    assert reached_by(links, "sump") == {"sump", "A1", "A2", "A3", "A4"}
    assert reached_by(links, "A1") == {"A1"}
    assert reached_by(links, "A1", back=True) == {"A1", "sump"}
    assert units_of(links, ("A1", "A2")) == (("A1",), ("A2",))


def test_a_tank_that_feeds_others_reaches_them_and_they_not_it() -> None:
    links = water_links(laid(source="A3", fed="A1..A2"))
    assert reached_by(links, "A3") == {"A3", "A1", "A2"}
    assert reached_by(links, "A1") == {"A1"}


def test_outlets_under_water_join_their_tanks_when_the_supply_stops() -> None:
    assert ways(laid(), "feed under water") == set()
    drowned = laid(ends="below", gap="10 cm")
    found = ways(drowned, "feed under water")
    assert {("A3", "A1"), ("A3", "A4"), ("A4", "A3"), ("A1", "A2")} <= found, "from high to low and level"
    assert ("A1", "A3") not in found, "never uphill"
    assert ("A3", "sump") in found, "down into the vat as well"
    assert all(not one.certain for one in water_links(drowned) if one.kind == "feed under water")


def test_a_blocked_drain_backs_up_into_low_tanks_and_never_into_high_ones() -> None:
    found = ways(laid(), "backed up")
    assert {("A3", "A1"), ("A2", "A1"), ("A4", "A2")} <= found
    assert not {target for _, target in found} & {"A3", "A4"}


def test_an_air_pipe_below_the_water_lets_it_over_unless_a_valve_keeps_it() -> None:
    assert ways(laid(), "air pipe") == set()
    assert ("A3", "A1") in ways(laid(ring="1 m"), "air pipe")
    assert ("A1", "A3") not in ways(laid(ring="1 m"), "air pipe")
    assert ways(laid(ring="1 m", valves="true"), "air pipe") == set()


def test_hoses_that_end_in_one_tee_splash_only_where_they_hardly_fall() -> None:
    room = laid()
    assert ways(room, "one tee") == set()
    tanks = tuple(
        replace(
            tank, hose=replace(tank.hose, end=(tank.hose.end[0], tank.hose.end[1], tank.hose.start[2] - 0.1))
        )
        if tank.hose
        else tank
        for tank in room.tanks
    )
    (drain,) = room.drains
    found = ways(replace(room, tanks=tanks), "one tee")
    assert found == {(a, b) for node in drain.nodes for a in node.tanks for b in node.tanks if a != b}
    assert found


@pytest.mark.parametrize("name", ["cellar", "garage", "hall"])
def test_links_of_the_examples_are_between_things_of_the_plan_and_certain_ones_come_first(name: str) -> None:
    read = read_plan_text((EXAMPLES / f"{name}.toml").read_text("utf-8"), f"{name}.toml")
    assert read.plan is not None
    room = lay_out(read.plan).room
    assert room is not None
    links = water_links(room)
    known = {tank.id for tank in room.tanks} | {feed.source for feed in room.feeds}
    assert {end for link in links for end in (link.source, link.target)} <= known
    assert [link.certain for link in links] == sorted((link.certain for link in links), reverse=True)
    assert len(set(links)) == len(links)
    assert all(link.source != link.target for link in links)


def test_the_quarantine_of_the_cellar_drains_apart_from_the_rest() -> None:
    read = read_plan_text((EXAMPLES / "cellar.toml").read_text("utf-8"), "cellar.toml")
    assert read.plan is not None
    room = lay_out(read.plan).room
    assert room is not None
    backed = [one for one in water_links(room) if one.kind == "backed up"]
    assert all(one.source.startswith("Q") == one.target.startswith("Q") for one in backed)


NAME = st.sampled_from("abcdef")
LINK = st.builds(
    lambda source, target, certain: WaterLink(
        source=source, target=target, kind="sump", certain=certain, through=""
    ),
    NAME, NAME, st.booleans(),
)  # fmt: skip


@given(st.lists(LINK, max_size=12), NAME, NAME, st.booleans())
def test_reaching_is_the_same_from_either_end(
    links: list[WaterLink], here: str, there: str, possible: bool
) -> None:
    assert (there in reached_by(links, here, possible=possible)) == (
        here in reached_by(links, there, possible=possible, back=True)
    )
    assert reached_by(links, here) <= reached_by(links, here, possible=True)


@given(st.lists(LINK, max_size=12))
def test_a_unit_is_all_that_reaches_each_other(links: list[WaterLink]) -> None:
    units = units_of(links, "abcdef")
    assert sorted(name for unit in units for name in unit) == list("abcdef")
    for one in "abcdef":
        for other in "abcdef":
            together = any(one in unit and other in unit for unit in units)
            assert together == (other in reached_by(links, one) and one in reached_by(links, other))
