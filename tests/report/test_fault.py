"""A fault's story in lines: alike things together, why water runs, what only the end of a band brings."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from tankwright.display import sentence
from tankwright.faults.model import Event, Fault, Harm, LifeCourse, Setting, Story, WaterCourse
from tankwright.report.fault import json_story, story_lines
from tankwright.room.model import Room
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
HOUR = 3600.0


@pytest.fixture(scope="module")
def room() -> Room:
    found = open_plan(EXAMPLES / "cellar.toml").room
    assert found is not None
    return found


def told(
    room: Room, *, events: Sequence[Event] = (), harms: Sequence[Harm] = (), perhaps: Sequence[Harm] = (),
    seen: float = 12 * HOUR,
) -> Story:  # fmt: skip
    """A story of two days in which nothing moves but what is said."""
    times, tanks = np.array([0.0, 48 * HOUR]), tuple(tank.id for tank in room.tanks)
    flat, none = np.zeros((2, len(tanks))), np.zeros((2, 0))
    water = WaterCourse(
        times=times, tanks=tanks, spaces=("cellar",), outfalls=(), vats_named=(), drains_named=(), sources=(),
        level=flat, volume=flat, by_feed={}, hand=flat[:1], floor=np.zeros((2, 1)), spilled=flat, gone=none,
        vats=none, drains=none, came=none, backwards=none,
    )  # fmt: skip
    life = LifeCourse(
        times=times, tanks=tanks, oxygen=np.zeros((3, 2, len(tanks))), ammonia=flat, chlorine=flat,
        perhaps=tuple(perhaps),
    )  # fmt: skip
    return Story(
        fault=Fault(name="power cut", group="power cut", broken=()),
        setting=Setting(clock=18.5 * HOUR, horizon=48 * HOUR), water=water, warmth=None, life=life,
        events=tuple(events), harms=tuple(harms), seen=seen,
    )  # fmt: skip


def lines(room: Room, story: Story) -> list[str]:
    return [sentence(one.text, one.numbers) for one in story_lines(room, story)]


def cold(tank: str, time: float, early: float = 9 * HOUR, late: float = 15 * HOUR) -> Harm:
    return Harm(time=time, kind="cold", where=tank, earliest=early, latest=late)


def test_alike_harms_within_five_minutes_are_one_line_with_the_band_over_all(room: Room) -> None:
    story = told(
        room,
        harms=[cold("A7", 10 * HOUR), cold("A6", 10 * HOUR + 200), cold("A8", 10 * HOUR + 250, 8 * HOUR)],
    )
    assert "water too cold in tanks A6..A8, 8 h to 15 h after it began" in lines(room, story)


def test_harms_further_apart_or_of_another_kind_stand_alone(room: Room) -> None:
    wet = Harm(time=10 * HOUR, kind="floor", where="A6", earliest=10 * HOUR, latest=10 * HOUR)
    found = lines(room, told(room, harms=[cold("A6", 10 * HOUR), wet, cold("A7", 10 * HOUR + 301)]))
    assert sum("too cold" in line for line in found) == 2
    assert "water on the floor from tank A6" in found


def test_water_that_runs_back_says_where_to(room: Room) -> None:
    events = [
        Event(time=0.0, what="air line runs back", where=name, to="cellar") for name in ("B6", "B7", "B8")
    ]
    events.append(Event(time=0.0, what="feed runs back", where="A1", to="tap"))
    found = lines(room, told(room, events=events))
    assert "B6..B8: water runs back out of the air tubes onto the floor of cellar" in found
    assert "A1: water runs back through the feed outlets into tap" in found


def test_a_spill_that_comes_each_day_is_told_twice_and_its_end_once(room: Room) -> None:
    events = [
        Event(time=day * 24 * HOUR + after, what=what, where="A1")
        for day in range(2) for after, what in ((HOUR, "spill begins"), (2 * HOUR, "spill ends"))
    ]  # fmt: skip
    found = lines(room, told(room, events=[*events, Event(time=47 * HOUR, what="spill begins", where="A1")]))
    assert found.count("A1: runs over its rim onto the floor of cellar") == 1
    assert found.count("A1: runs over its rim onto the floor of cellar, again and again") == 1
    assert found.count("A1: runs over no more") == 1


def test_harm_that_only_an_end_of_the_band_brings_is_told_as_such_and_what_decides(room: Room) -> None:
    maybe = Harm(time=np.inf, kind="oxygen", where="C3", earliest=7 * HOUR, latest=np.inf)
    story = told(room, perhaps=[maybe])
    one = next(line for line in story_lines(room, story) if line.perhaps)
    assert one.time == 7 * HOUR
    assert not one.harm
    assert one.text.startswith("from here on perhaps oxygen down to the trouble level in tank C3")
    assert "an oxygen drop test decides" in one.text


def test_a_story_without_harm_says_so_at_its_end_and_who_looks_when(room: Room) -> None:
    found = [(one.time, one.text) for one in story_lines(room, told(room))]
    assert found == [
        (0.0, "power cut"), (12 * HOUR, "somebody looks"), (48 * HOUR, "no harm found; followed no further"),
    ]  # fmt: skip


def test_many_places_are_named_in_part_and_counted(room: Room) -> None:
    names = [tank.id for tank in room.tanks][::2]
    found = next(
        one
        for one in lines(room, told(room, harms=[cold(name, 10 * HOUR) for name in names]))
        if "cold" in one
    )
    assert f"and {len(names) - 5} more" in found


def test_the_json_says_where_the_water_of_an_event_goes(room: Room) -> None:
    story = told(room, events=[Event(time=0.0, what="air line runs back", where="B6", to="cellar")])
    found = json.loads(json.dumps(json_story(story), allow_nan=False))
    assert found["events"][0]["to"] == "cellar"
