"""Charts of warmth: top and bottom row through the coldest and the hottest week, and the hours of a power cut."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from tankwright.drawing.chart_model import Axis, Band, Chart, Line, line_through
from tankwright.drawing.svg import identifier
from tankwright.systems.heat_model import HeatResult, Season, SpaceHeat
from tankwright.thermal.model import Numbers
from tankwright.weather.model import month_day_hour

MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip

HOUR: Final = 3600.0


def notes(result: HeatResult) -> tuple[str, ...]:
    """What the charts stand on, for under them."""
    return (
        f"Weather: {result.weather_source or result.weather}.",
        "Thermostats that give just what holds; walls by the five links of EN ISO 13790; evaporation by Shah (2002).",
    )


def day_of_year(hour: int) -> str:
    """The day an hour of the year lies in.

    >>> day_of_year(24 * 31)
    '1 February'
    """
    month, day, _ = month_day_hour(hour)
    return f"{day} {MONTHS[month - 1]}"


def ends_of_rack(space: SpaceHeat, result: HeatResult) -> tuple[tuple[str, int], ...]:
    """The lowest and the highest row of a space's tanks, by name and column; one where all stand alike."""
    rows = [row for row in result.tanks if row.space == space.space]
    if not rows:
        return ()
    low, high = min(rows, key=lambda row: row.height), max(rows, key=lambda row: row.height)
    found = [(f"bottom row ({low.tank})", low.group)]
    if high.group != low.group:
        found.append((f"top row ({high.tank})", high.group))
    return tuple(found)


def week_chart(result: HeatResult, space: SpaceHeat, season: Season, display: str = "metric") -> Chart:
    """Outdoors, air, top and bottom row through seven days."""
    week = space.week(season)
    times: Numbers = np.arange(1.0, len(week.air) + 1.0) * HOUR
    lines = [_line("outdoors", times, week.outside), _line("air of the room", times, week.air)]
    lines += [_line(name, times, week.water[:, column]) for name, column in ends_of_rack(space, result)]
    return Chart(
        title=f"{space.space} through the {season} week, from {day_of_year(week.first_hour)}",
        x=Axis(label="into the week", dimension="duration", display=display, least=0.0, most=float(times[-1]),
               clipped=True),
        y=Axis(label="temperature", dimension="temperature", display=display),
        lines=tuple(lines), bands=_wanted(result, space), empty="no tanks",
    )  # fmt: skip


def cut_chart(result: HeatResult, space: SpaceHeat, display: str = "metric") -> Chart:
    """Air, top and bottom row after the power fails on the coldest day."""
    cut = space.cut
    lines = [_line("air of the room", cut.times, cut.air)]
    lines += [_line(name, cut.times, cut.water[:, column]) for name, column in ends_of_rack(space, result)]
    lines.append(_line("outdoors", cut.times[1:], cut.outside))
    return Chart(
        title=f"{space.space} without power, the coldest day again and again",
        x=Axis(label="after the power failed", dimension="duration", display=display, least=0.0,
               most=float(cut.times[-1])),
        y=Axis(label="temperature", dimension="temperature", display=display),
        lines=tuple(lines), bands=_wanted(result, space), empty="no tanks",
    )  # fmt: skip


def heat_charts(result: HeatResult, display: str = "metric") -> Iterator[tuple[str, Chart]]:
    """Every chart with the name of its file."""
    for space in result.spaces:
        if any(space.tanks):
            yield f"{identifier(space.space)}_coldest_week", week_chart(result, space, "coldest", display)
            yield f"{identifier(space.space)}_hottest_week", week_chart(result, space, "hottest", display)
            yield f"{identifier(space.space)}_power_cut", cut_chart(result, space, display)


def _line(name: str, times: Numbers, values: Numbers) -> Line:
    return line_through(name, tuple(zip(times.tolist(), values.tolist(), strict=True)))


def _wanted(result: HeatResult, space: SpaceHeat) -> tuple[Band, ...]:
    """What every tank of the space wants, where their zones agree on a part."""
    rows = [row for row in result.tanks if row.space == space.space and row.low is not None]
    lows = [row.low for row in rows if row.low is not None]
    highs = [row.high for row in rows if row.high is not None]
    if not lows or not highs or max(lows) >= min(highs):
        return ()
    return (Band(name="wanted", low=max(lows), high=min(highs)),)
