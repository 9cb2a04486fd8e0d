"""Charts of what the water becomes: nitrate over weeks, chlorine over a day, the first weeks of a filter."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from tankwright.display import words
from tankwright.drawing.chart_model import Axis, Band, Chart, line_in_band, line_through
from tankwright.finding import Number
from tankwright.room.model import Room
from tankwright.systems.feed_time import DAY
from tankwright.systems.water_chlorine import chlorine_day
from tankwright.systems.water_life_model import FirstWeeks, TankChlorine, TankNitrogen, WaterLife
from tankwright.systems.water_nitrogen import nitrate_course

WEEKS: Final = 26
SHOWN: Final = 3
"""Tanks on one chart of nitrate: the one furthest over its want with its band, the next unlike it as plain lines."""

NOTES: Final = (
    "Screening: the ground is the band it may lie in by what is assumed; a test of the water decides.",
)
_BEYOND: Final = 3.0  # the chart of chlorine reaches this many times its value or the limit at the most


def water_life_charts(room: Room, life: WaterLife) -> Iterator[tuple[str, Chart]]:
    """Every chart there is something to show on, by a name for its file."""
    for name, chart in (("nitrate", nitrate_chart(room, life)), ("chlorine", chlorine_chart(room, life))):
        if chart.lines:
            yield name, chart
    if life.first_weeks is not None:
        yield "first_weeks_ammonia", first_weeks_chart(room, life.first_weeks, "ammonia")
        yield "first_weeks_nitrite", first_weeks_chart(room, life.first_weeks, "nitrite")


def nitrate_chart(room: Room, life: WaterLife) -> Chart:
    """Nitrate over half a year of the tanks that come to most against their wants, from new water on."""
    wanted = {want.tank: want.wanted.value for want in life.wants}
    worst = _unlike([one for one in life.nitrogen if one.tank in wanted], wanted)
    lines = [
        line_in_band(one.tank, nitrate_course(one, WEEKS), one.tank) if not number else line_through(
            one.tank, tuple((time, value) for time, _, value, _ in nitrate_course(one, WEEKS)), one.tank)
        for number, one in enumerate(worst)
    ]  # fmt: skip
    bands: tuple[Band, ...] = ()
    if worst:
        said = "wanted" if worst[0].wanted_nitrate is not None else "the usual limit"
        bands = (Band(name=f"{said} in {worst[0].tank}", low=0.0, high=wanted[worst[0].tank]),)
    return Chart(
        title="nitrate over half a year from new water",
        x=Axis(label="time", dimension="duration", display=room.display, least=0.0, most=WEEKS * 7 * DAY, clipped=True),
        y=Axis(label="nitrate", dimension="concentration", display=room.display, least=0.0),
        lines=tuple(lines), bands=bands, empty="no tank's nitrate is known",
    )  # fmt: skip


def _unlike(tanks: Sequence[TankNitrogen], wanted: dict[str, float]) -> list[TankNitrogen]:
    """The worst few, of tanks that come to the same only one."""
    at_end = {one.tank: nitrate_course(one, WEEKS)[-1][2] / wanted[one.tank] for one in tanks}
    found: list[TankNitrogen] = []
    for one in sorted(tanks, key=lambda one: -at_end[one.tank]):
        if not found or at_end[one.tank] < 0.85 * at_end[found[-1].tank]:
            found.append(one)
        if len(found) == SHOWN:
            break
    return found


def chlorine_chart(room: Room, life: WaterLife) -> Chart:
    """Chlorine over a day like every other in the tank that gets most, with its carbon fresh and spent."""
    worst: TankChlorine | None = max(life.chlorine, key=lambda one: one.bare.peak.value, default=None)
    lines = []
    if worst is not None:
        if worst.fresh is not None:
            lines.append(
                line_in_band("carbon spent", chlorine_day(room, life, worst, fresh=False), worst.tank)
            )
            lines.append(
                line_in_band("carbon fresh", chlorine_day(room, life, worst, fresh=True), worst.tank)
            )
        else:
            lines.append(line_in_band(worst.tank, chlorine_day(room, life, worst, fresh=False), worst.tank))
    title, most = "chlorine over a day", None
    if worst is not None:
        title += f" in {worst.tank}, where it comes to most"
        reach = worst.bare.peak.high
        if reach > _BEYOND * max(worst.bare.peak.value, life.limit):  # else the limit could not be seen
            most = _BEYOND * max(worst.bare.peak.value, life.limit)
            title += f"; its band goes on to {words(Number(reach, 'concentration'), room.display)}"
    return Chart(
        title=title,
        x=Axis(label="clock", dimension="clock", display=room.display, least=0.0, most=DAY, clipped=True),
        y=Axis(label="total chlorine", dimension="concentration", display=room.display, least=0.0, most=most,
               clipped=most is not None),
        lines=tuple(lines),
        bands=(Band(name="below the limit", low=0.0, high=life.limit),),
        empty="no drip brings chlorine",
    )  # fmt: skip


def first_weeks_chart(room: Room, weeks: FirstWeeks, what: str) -> Chart:
    """Ammonia or nitrite of a new filter: the usual course, and the band all courses between both ends sweep."""
    courses = (weeks.early, weeks.middle, weeks.late)
    end = max(course.times[-1] if math.isinf(course.cycled_at) else course.cycled_at for course in courses)
    times = np.linspace(0.0, 1.1 * max(end, 7 * DAY), 150)
    levels = [np.interp(times, course.times, getattr(course, what)) for course in courses]
    tops = sorted(
        (course.times[int(np.argmax(getattr(course, what)))], max(getattr(course, what)))
        for course in courses
    )
    # the courses between these three peak between their peaks, so the band's top runs along them
    along = np.interp(times, [at for at, _ in tops], [top for _, top in tops], left=0.0, right=0.0)
    high = np.maximum.reduce([*levels, along])
    low = np.minimum.reduce(levels)
    points = zip(times.tolist(), low.tolist(), levels[1].tolist(), high.tolist(), strict=True)
    return Chart(
        title=f"{what} in the first weeks of a new filter, {weeks.tank} in full feed",
        x=Axis(label="time", dimension="duration", display=room.display, least=0.0, most=times[-1], clipped=True),
        y=Axis(label=f"{what}, as nitrogen", dimension="concentration", display=room.display, least=0.0),
        lines=(line_in_band("usual", points, weeks.tank),),
        bands=(Band(name="grown in", low=0.0, high=weeks.limit),),
    )  # fmt: skip
