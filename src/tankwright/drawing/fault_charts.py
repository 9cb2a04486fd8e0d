"""One fault in time: floors and levels, temperatures, oxygen, ammonia and chlorine of the tanks it touches most."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from tankwright.drawing.chart_model import Axis, Chart, Line, Mark, line_in_band, line_through
from tankwright.faults.judging import SCREENING
from tankwright.faults.model import Array, LifeCourse, Story, WarmthCourse, WaterCourse

CAUTION: Final = f"{SCREENING[0].upper()}{SCREENING[1:]}."
BAND: Final = (
    "Shaded: the band of what still water takes up through its surface,"
    " from a film to one that fish keep moving."
)
MOST: Final = 4
"""Tanks a chart shows, those that change the most first."""

_LEAST_LEVEL: Final = 1e-3  # m
_LEAST_WARMTH: Final = 0.3  # K
_LEAST_SHARE: Final = 0.02  # of what there was at first
_BESIDE: Final = 0.1  # a level that moves less than this beside the one that moves most is no news
_TRACE: Final = 1e-4  # m3 on a floor worth drawing
_EVEN, _EARLY, _EVENTS = 73, 16, 24
"""Points of a line: evenly over the time, closer together at the beginning, and where something happens."""


def story_charts(story: Story, display: str) -> Iterator[tuple[str, Chart]]:
    """Every chart of a story in which something happens, with a short name."""
    yield from _water(_Drawn(story, display, "water"), story.water)
    if story.warmth is not None:
        yield from _warmth(_Drawn(story, display, "warmth"), story.warmth)
    if story.life is not None:
        yield from _life(_Drawn(story, display, "life"), story.life)


def notes_of(name: str) -> tuple[str, ...]:
    """What stands under a chart of that short name.

    >>> len(notes_of("oxygen")), len(notes_of("levels"))
    (2, 1)
    """
    return (BAND, CAUTION) if name == "oxygen" else (CAUTION,)


class _Drawn:
    """What the charts of one course have in common: the moments their lines go through, and the frame."""

    def __init__(self, story: Story, display: str, of: str) -> None:
        course = {"water": story.water, "warmth": story.warmth, "life": story.life}[of]
        assert course is not None
        self.story, self.display, self.known = story, display, course.times
        self.last = float(story.water.times[-1])
        happens = [one.time for one in story.events][:_EVENTS] + [one.time for one in story.harms][:_EVENTS]
        end = min(self.last, float(course.times[-1]))
        wanted = np.concatenate([
            np.linspace(0.0, end, _EVEN), np.geomspace(max(end * 1e-4, 1.0), max(end, 2.0), _EARLY), happens,
        ])  # fmt: skip
        self.times: Array = np.unique(np.clip(wanted, 0.0, end))

    def at(self, values: Array) -> Array:
        """A course at the moments that are drawn."""
        return np.interp(self.times, self.known, values)

    def line(self, name: str, values: Array, place: str = "") -> Line:
        """A line through a course."""
        return line_through(name, _pairs(self.times, self.at(values)), place)

    def chart(
        self, title: str, dimension: str, lines: Sequence[Line], *, zero: bool = False, axis: str = ""
    ) -> Chart:
        """The frame: when it is noticed and when harm begins are marked."""
        story, last = self.story, self.last
        first = min((harm.time for harm in story.harms), default=math.inf)
        marks = [
            Mark(name=name, x=time)
            for name, time in (("first harm", first), ("noticed", story.seen))
            if 0.0 < time <= last
        ]
        time = Axis(
            label="after it began",
            dimension="duration",
            display=self.display,
            least=0.0,
            most=last,
            clipped=True,
        )
        return Chart(
            title=title,
            x=time,
            y=Axis(label=axis or title.lower(), dimension=dimension, display=self.display, least=0.0 if zero else None),
            lines=tuple(lines), marks=tuple(marks), empty="nothing changes",
        )  # fmt: skip


def _water(drawn: _Drawn, water: WaterCourse) -> Iterator[tuple[str, Chart]]:
    wet = [
        (f"standing in {space}", column)
        for space, column in zip(water.spaces, water.floor.T, strict=True)
        if column.max(initial=0.0) > _TRACE
    ]
    spilled = water.spilled.sum(axis=1)
    if spilled.max(initial=0.0) > water.floor.sum(axis=1).max(initial=0.0) + _TRACE:
        wet.append(("run onto the floor so far", spilled))
    if wet:
        lines = [drawn.line(name, column) for name, column in wet]
        yield "floor", drawn.chart("Water on the floor", "volume", lines, zero=True)
    if not water.tanks:
        return
    over = water.level - water.level[0]
    most = float(np.ptp(over, axis=0).max(initial=0.0))
    lines = [
        drawn.line(water.tanks[index], over[:, index], water.tanks[index])
        for index in _most(over, max(_LEAST_LEVEL, _BESIDE * most))
    ]
    if lines:
        yield (
            "levels",
            drawn.chart("Water against its height at first", "length", lines, axis="higher or lower"),
        )


def _warmth(drawn: _Drawn, warmth: WarmthCourse) -> Iterator[tuple[str, Chart]]:
    lines = [
        drawn.line(warmth.tanks[index], warmth.water[:, index], warmth.tanks[index])
        for index in _most(warmth.water, _LEAST_WARMTH)
    ]
    lines += [
        drawn.line(f"air of {space}", column)
        for space, column in zip(warmth.spaces, warmth.air.T, strict=True)
        if _moves(column, _LEAST_WARMTH)
    ]
    if lines:
        yield "warmth", drawn.chart("Temperatures", "temperature", lines, axis="of water and air")


def _life(drawn: _Drawn, life: LifeCourse) -> Iterator[tuple[str, Chart]]:
    falling = _most(life.oxygen[1], _LEAST_SHARE * float(np.nanmax(life.oxygen[1], initial=1e-6)))
    if falling:
        lines = [
            line_in_band(
                life.tanks[index],
                zip(
                    drawn.times.tolist(),
                    *(drawn.at(life.oxygen[end][:, index]).tolist() for end in range(3)),
                    strict=True,
                ),
                life.tanks[index],
            )
            for index in falling
        ]
        yield "oxygen", drawn.chart("Oxygen", "concentration", lines, zero=True)
    for name, title, values in (
        ("ammonia", "Un-ionised ammonia, as nitrogen", life.ammonia),
        ("chlorine", "Chlorine", life.chlorine),
    ):
        rising = _most(values, 1e-7)
        if rising:
            lines = [drawn.line(life.tanks[index], values[:, index], life.tanks[index]) for index in rising]
            yield name, drawn.chart(title, "concentration", lines, zero=True)


def _pairs(times: Array, values: Array) -> tuple[tuple[float, float | None], ...]:
    return tuple(
        (time, None if math.isnan(value) else value)
        for time, value in zip(times.tolist(), values.tolist(), strict=True)
    )


def _moves(values: Array, least: float) -> bool:
    known = values[~np.isnan(values)]
    return bool(known.size and float(np.ptp(known)) > least)


def _most(values: Array, least: float) -> list[int]:
    """Columns that change the most, in the order of the tanks; those that go the very same way are shown once."""
    if not values.size:
        return []
    spans = [
        (float(np.nanmax(column) - np.nanmin(column)) if not np.isnan(column).all() else 0.0)
        for column in values.T
    ]
    chosen: list[int] = []
    for index in sorted(range(len(spans)), key=lambda one: -spans[one]):
        if spans[index] <= least or len(chosen) == MOST:
            break
        if not any(
            np.allclose(
                values[:, index], values[:, other], rtol=1e-3, atol=0.02 * spans[index], equal_nan=True
            )
            for other in chosen
        ):
            chosen.append(index)
    return sorted(chosen)
