"""The pressure on the way of the feed: every stop against the solved feed."""

from __future__ import annotations

import pytest

from tankwright.systems.feed import solve_feed
from tankwright.systems.feed_way import pressure_way

from .feed_rooms import carbon, make_feed, make_tanks

WEIGHT = 998.2 * 9.80665  # Pa a metre of water at 20 °C


def test_the_filters_take_together_what_the_feed_says_they_take() -> None:
    room = make_feed(make_tanks(6), filters=(carbon(), carbon(loss=0.4e5, at=10.0)))
    result = solve_feed(room).runs[0]
    stops = pressure_way(room.feeds[0], result)
    assert [stop.kind for stop in stops] == [
        "still",
        "source",
        "filter",
        "filter",
        "manifold",
        "most",
        "least",
    ]
    taken = stops[1].pressure - stops[3].pressure
    # the network adds the friction of a filter's own few millimetres of pipe
    assert taken == pytest.approx(result.filter_loss, abs=1.0)


def test_the_manifold_begins_with_what_the_regulator_leaves() -> None:
    room = make_feed(make_tanks(6), filters=(carbon(),), regulated=1.5e5)
    result = solve_feed(room).runs[0]
    stops = {stop.kind: stop.pressure for stop in pressure_way(room.feeds[0], result)}
    assert result.regulated
    assert stops["manifold"] == 1.5e5
    # the manifold hangs higher than the source; the regulator stands where it begins
    rise = WEIGHT * (room.feeds[0].nodes[0][1][2] - room.feeds[0].source_place[2])
    assert stops.get("before regulator", stops["filter"] - rise) == pytest.approx(
        stops["filter"] - rise, abs=2.0
    )


def test_the_last_two_stops_are_the_outlets_with_the_most_and_the_least() -> None:
    tanks = (*make_tanks(3),)
    room = make_feed(tanks)
    result = solve_feed(room).runs[0]
    *_, most, least = pressure_way(room.feeds[0], result)
    pressures = {one.tank: one.pressure for one in result.outlets}
    assert most.pressure == max(pressures.values())
    assert least.pressure == min(pressures.values())
    assert pressures[least.name] == least.pressure


def test_pressure_never_rises_on_the_way_to_the_manifold() -> None:
    room = make_feed(make_tanks(8), filters=(carbon(), carbon(), carbon()), regulated=1.0e5, manifold=1.6)
    stops = pressure_way(room.feeds[0], solve_feed(room).runs[0])
    falling = [stop.pressure for stop in stops if stop.kind not in ("most", "least")]
    assert falling == sorted(falling, reverse=True)
