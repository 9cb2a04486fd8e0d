"""The workings behind the feed."""

from __future__ import annotations

import math

import pytest

from tankwright.explain.feed import workings_feed
from tankwright.systems.feed import solve_feed

from ..systems.feed_rooms import make_feed, make_tanks

ROOM = make_feed(make_tanks(2))


def named() -> dict[str, object]:
    return {working.name: working for working in workings_feed(ROOM, solve_feed(ROOM))}


def test_every_tank_has_its_flow_week_and_minutes():
    assert set(named()) == {
        "A0.feed", "A0.feed.week", "A0.feed.minutes", "A1.feed", "A1.feed.week", "A1.feed.minutes",
        "feed.drip.pressure", "feed.drip.uniformity",
    }  # fmt: skip


def test_the_share_of_a_week_follows_from_the_inputs_shown():
    working = named()["A0.feed.week"]
    parts = {part.name: part.number.value for part in working.inputs}
    share = 1 - math.exp(-parts["litres in a week"] / parts["litres in the tank"])
    assert working.number.value == pytest.approx(share)


def test_half_of_50_litres_in_a_week_takes_a_4_litre_dripper_74_minutes_a_day():
    assert round(named()["A0.feed.minutes"].number.value / 60) == 74


def test_an_assumed_input_is_shown_as_assumed():
    known = {part.known.origin.value for part in named()["feed.drip.uniformity"].inputs if part.known}
    assert known == {"assumed"}
    assert all(working.source and working.formula for working in named().values())
