"""Air or a feed begun in a plan without: the section reads, can be worked out, and guesses nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import pytest

from tankwright.plan.changes_begin import Begin
from tankwright.workspace.opened import Opened, open_text

ROOM = """\
[room.shed]
size = { length = "3 m", width = "2 m", height = "2.4 m" }

[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]

[rack_kind.low]
length = "100 cm"
depth = "40 cm"
shelves = ["60 cm"]

[[rack]]
id = "A"
kind = "low"
room = "shed"
wall = "north"
from_west = "50 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A3" }]
"""
SYSTEMS: tuple[Literal["air", "feed"], ...] = ("air", "feed")


def begun(system: Literal["air", "feed"], text: str = ROOM) -> tuple[str, Opened]:
    result = Begin(system).apply(text)
    assert result.text is not None
    assert result.text.startswith(text)
    return result.text, open_text(Path("plan.toml"), result.text)


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_is_begun_reads_without_a_mistake_and_serves_every_tank(system: Literal["air", "feed"]) -> None:
    _, opened = begun(system)
    assert opened.mistakes == ()
    assert opened.study is not None
    result = getattr(opened.study, system)
    assert result.not_computed == ()
    assert {tank.tank for tank in result.tanks} == {"A1", "A2", "A3"}


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_nobody_said_stays_assumed(system: Literal["air", "feed"]) -> None:
    _, opened = begun(system)
    assert opened.room is not None
    keys = {known.key for known in opened.room.assumed}
    wanted = {
        "air": {"air.height", "air.tap_bore", "air.flow_wanted"},
        "feed": {"feed.rate", "feed.from_pressure"},
    }
    assert wanted[system] <= keys


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_remarks_can_be_taken_into_use_as_they_stand(system: Literal["air", "feed"]) -> None:
    text, _ = begun(system)
    used = ROOM + "\n".join(
        line.removeprefix("# ") if " = " in line else line for line in text[len(ROOM) :].splitlines()
    )
    assert open_text(Path("plan.toml"), used).mistakes == ()


def test_a_feed_comes_from_the_water_point_there_is_and_makes_one_where_there_is_none() -> None:
    assert "[water_point.tap]" in begun("feed")[0]
    sink = ROOM + '\n[water_point.sink]\nroom = "shed"\n'
    text, _ = begun("feed", sink)
    assert 'from = "sink"' in text
    assert "[water_point.tap]" not in text


def test_a_pump_that_is_there_keeps_its_name() -> None:
    text, opened = begun(
        "air", ROOM + '\n[pump.air_pump]\ncurve = [["0 kPa", "9 L/min"], ["9 kPa", "1 L/min"]]\n'
    )
    assert 'pump = "air_pump_2"' in text
    assert opened.mistakes == ()


def test_what_is_there_is_not_begun_again() -> None:
    text, _ = begun("air")
    assert Begin("air").apply(text).text == text


@pytest.mark.parametrize("system", SYSTEMS)
def test_without_a_room_there_is_nowhere_to_begin(system: Literal["air", "feed"]) -> None:
    result = Begin(system).apply('title = "nothing"')
    assert result.text is None
    assert result.findings[0].code == "PLAN-049"
