"""The first weeks of a filter: a band from friendly to unfriendly, of the tank that is fed most for its water."""

from __future__ import annotations

import math
from dataclasses import replace

from tankwright.systems.water import solve_water
from tankwright.systems.water_life_model import FirstWeeks

from .water_rooms import DRIP, TAP, water_room

DAY = 86_400.0


def weeks_of(*parts: str) -> FirstWeeks | None:
    life = solve_water(water_room(TAP, *parts, litres=50.0), DRIP).life
    assert life is not None
    return life.first_weeks


def fed(grams: float, tanks: str = "A1..A4") -> str:
    return f'[[stock]]\ntanks = "{tanks}"\nfeed = "{grams} g/day"\n'


def test_the_band_goes_from_a_good_seed_that_grows_fast_to_none_that_grows_slowly():
    """2 mg/L of nitrogen a day: days 6 to 39 and beyond by seed and by where growth was measured, as tabled."""
    weeks = weeks_of(fed(2.4))
    assert weeks is not None
    assert weeks.days.low < weeks.days.value < weeks.days.high
    assert 4 * DAY < weeks.days.low < 14 * DAY
    assert 39 * DAY < weeks.days.high < 100 * DAY
    assert weeks.ammonia_peak.low < weeks.ammonia_peak.value < weeks.ammonia_peak.high
    assert weeks.nitrite_peak.low < weeks.nitrite_peak.high


def test_the_most_heavily_fed_tank_stands_for_all():
    weeks = weeks_of(fed(0.3, "A1..A3"), fed(0.9, "A4"))
    assert weeks is not None
    assert weeks.tank == "A4"


def test_a_room_nobody_feeds_has_no_first_weeks():
    assert weeks_of() is None
    assert weeks_of(fed(0.0)) is None


def test_a_better_known_seed_narrows_the_band():
    room = water_room(TAP, fed(0.9), litres=50.0)
    assert room.laws is not None
    seed = replace(room.laws.filter_seed, band=(0.9e-5, 1.1e-5))
    wide = weeks_of(fed(0.9))
    life = solve_water(replace(room, laws=replace(room.laws, filter_seed=seed)), DRIP).life
    assert life is not None
    narrow = life.first_weeks
    assert wide is not None
    assert narrow is not None
    assert wide.days.low <= narrow.days.low <= narrow.days.high <= wide.days.high
    assert not math.isinf(narrow.days.high)


def test_a_tank_fed_beyond_any_published_course_is_named_and_not_passed_over():
    life = solve_water(water_room(TAP, fed(12.0, "A1"), fed(0.9, "A2"), litres=50.0), DRIP).life
    assert life is not None
    assert life.first_weeks is not None
    assert life.first_weeks.tank == "A2"
    assert any(subject == "tank A1" and "first weeks" in why for subject, why in life.not_computed)
