"""The water tests of the logbook: gathered for charts, verdicts and the drawing."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from tankwright.husbandry.last_tests import LastTests, last_tests
from tankwright.husbandry.water_limits import all_limits
from tankwright.husbandry.water_quantities import NAMES
from tankwright.husbandry.water_readings import water_series
from tankwright.room.model import Room
from tankwright.workspace.log import RoomLog

SHOWN: Final = timedelta(days=3 * 366)
"""How far back tests are looked at."""


def last_test_facts(log: RoomLog, room: Room, now: datetime) -> tuple[LastTests, ...]:
    """The newest tests of every place, for the layer of the drawing."""
    log.follow_plan(room)
    places = tuple(one for one in log.book.places() if one.kind in {"tank", "vat"})
    series, _ = water_series(log.book.readings(quantities=NAMES, since=now - SHOWN))
    return last_tests(places, series, all_limits(room, (one.label for one in places)), now)
