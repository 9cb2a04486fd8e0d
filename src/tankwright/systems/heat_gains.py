"""What warms and moistens a space beside its heaters: sun, lights, pumps, people and the water that drips in."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.origin import Known
from tankwright.physics.heat_arrays import humidity_ratios, saturation_pressures
from tankwright.room.model import FeedRun, Room
from tankwright.room.model_climate import Towards
from tankwright.room.model_water import WaterPlace
from tankwright.thermal.model import Numbers
from tankwright.units import Dimensionless, Kelvin, Watt
from tankwright.weather.model import DAYS_IN_MONTH, HOURS, Hours, WeatherYear
from tankwright.weather.planes import FACING, Plane, on_plane, through_window

HourIndex = NDArray[np.int64]
"""Hours of the year, 0 to 8759, in the order in which they act."""

PERSON_HEAT: Final[Watt] = 75.0
"""W of dry heat of someone at light work. Source: ASHRAE Fundamentals, heat gain of people, from memory."""

PERSON_MOISTURE: Final = 0.06 / 3600.0
"""kg/s. Source: Hastings and Wall (2007), table 10.1.1, as reprinted: 40 to 60 g/h seated, 60 to 120 average."""

DAY_MIDDLE: Final = 14.0
"""Clock hour about which lights and other loads of less than 24 hours run. Source: common practice, no source."""

OUTER_FILM: Final = 0.04
"""m2 K/W from a wall's outer face to the air. Source: EN ISO 6946."""


@lru_cache(maxsize=24)
def plane_of(weather: WeatherYear, towards: Towards) -> Plane:
    """The sun of a year on a wall or on a flat roof, worked out once for each year."""
    if towards in FACING:
        return on_plane(weather, azimuth=FACING[towards])
    return on_plane(weather, tilt=0.0)


@lru_cache(maxsize=4)
def month_outdoors(weather: WeatherYear) -> Hours:
    """For every hour the mean temperature of its month."""
    return np.repeat(np.array(weather.monthly_means), np.multiply(DAYS_IN_MONTH, 24))


@lru_cache(maxsize=4)
def middle_of_winter(weather: WeatherYear) -> float:
    """The hour in the middle of the coldest month."""
    month = int(np.argmin(weather.monthly_means))
    return 24.0 * (sum(DAYS_IN_MONTH[:month]) + DAYS_IN_MONTH[month] / 2.0)


@lru_cache(maxsize=4)
def outside_humidity(weather: WeatherYear) -> Hours:
    """Water in a kilogram of dry outdoor air through a year."""
    vapour = weather.relative_humidity * saturation_pressures(weather.dry_bulb)
    return np.asarray(humidity_ratios(vapour, weather.pressure))


@lru_cache(maxsize=4)
def house_humidity(weather: WeatherYear) -> Hours:
    """Water in a kilogram of dry air of the house: what its month has outdoors, as walls and things even out days."""
    parts = np.split(outside_humidity(weather), np.cumsum(DAYS_IN_MONTH)[:-1] * 24)
    return np.repeat(np.array([part.mean() for part in parts]), np.multiply(DAYS_IN_MONTH, 24))


def sun_on_window(weather: WeatherYear, towards: Towards, share: Dimensionless, hours: HourIndex) -> Numbers:
    """W that come through a square metre of glass; `share` is its g-value times what blinds leave."""
    plane = plane_of(weather, towards)
    picked = Plane(
        beam=plane.beam[hours],
        sky=plane.sky[hours],
        ground=plane.ground[hours],
        incidence=plane.incidence[hours],
    )
    return through_window(picked, solar_gain=share)


def warmer_by_sun(
    weather: WeatherYear, towards: Towards, absorptance: Dimensionless, hours: HourIndex
) -> Numbers:
    """How much warmer the outdoors seems to a wall the sun shines on, K.

    Source: EN ISO 13790, 11.3.4: the absorbed sun leaves through the outer film; what it radiates to the sky is not
    taken off, which makes a roof a little warmer than it is.
    """
    return absorptance * OUTER_FILM * plane_of(weather, towards).total[hours]


def running(hours_a_day: float, hours: HourIndex) -> Numbers:
    """The share of each hour in which something runs that is on so many hours about the middle of the day.

    >>> running(10.0, np.arange(8, 21)).tolist()
    [0.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 0.0, 0.0]
    """
    clock = (hours % 24).astype(float)
    start, end = DAY_MIDDLE - hours_a_day / 2.0, DAY_MIDDLE + hours_a_day / 2.0
    share = np.zeros(len(hours))
    for day in (-24.0, 0.0, 24.0):
        share += np.clip(
            np.minimum(clock + 1.0, end + day) - np.maximum(clock, start + day), 0.0, 1.0
        )  # one turn of the clock either way, for what runs past midnight
    return np.minimum(share, 1.0)


def loads_of(room: Room, space: str) -> tuple[tuple[str, Watt, float], ...]:
    """What is plugged in in a space: its name, W, hours a day.

    A board on a rack is in the rack's space, any other in the first. All of a load's power becomes heat of the air.
    What heats or cools is left out: the climate's and the tanks' own tables tell of it.
    """
    if room.power is None or not room.spaces:
        return ()
    racks = {rack.id: rack.room for rack in room.racks}
    first = room.spaces[0].id
    return tuple(
        (load.name, load.power.value * load.count, load.hours)
        for board in room.power.boards
        if racks.get(board.rack or "", first) == space
        for load in board.loads
        if load.does not in {"heat", "cool"}
    )


def loads_heat(room: Room, space: str, hours: HourIndex) -> Numbers:
    """W of all that is plugged in in a space."""
    heat = np.zeros(len(hours))
    for _, power, hours_a_day in loads_of(room, space):
        heat += power * (1.0 if hours_a_day >= 24.0 else running(hours_a_day, hours))
    return heat


def source_temperatures(room: Room) -> dict[str, tuple[Known, Known]]:
    """The coldest and the hottest water that drips into each tank, by the waters of the plan."""
    found: dict[str, tuple[Known, Known]] = {}
    waters = {water.id: water for water in room.waters}
    for feed in room.feeds:
        pair = _of_feed(feed, waters)
        for outlet in feed.outlets:
            found.setdefault(outlet.tank, pair)
    return found


def _of_feed(feed: FeedRun, waters: Mapping[str, WaterPlace]) -> tuple[Known, Known]:
    water = next((one for one in waters.values() if feed.source in one.comes_from), None)
    winter = water.winter if water is not None else None
    summer = water.summer if water is not None else None
    return (
        winter or ASSUMPTIONS["water.winter"].known(),
        summer or ASSUMPTIONS["water.summer"].known(),
    )


def water_through_the_year(weather: WeatherYear, winter: Kelvin, summer: Kelvin, hours: HourIndex) -> Numbers:
    """The temperature of the source: coldest in the middle of the coldest month, hottest half a year later."""
    turn = 2.0 * math.pi * (hours - middle_of_winter(weather)) / HOURS
    return np.asarray(0.5 * (winter + summer) - 0.5 * (summer - winter) * np.cos(turn))
