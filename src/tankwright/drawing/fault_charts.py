"""One fault in time: floors and levels, temperatures, oxygen, ammonia and chlorine of the tanks it touches most."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from tankwright.drawing.chart_model import Axis, Chart, Line, Mark, line_in_band, line_through
from tankwright.faults.judging import SCREENING
from tankwright.faults.model import Array, Story
from tankwright.room.model import Room

NOTES: Final = (
    "Shaded: the band of what still water takes up through its surface, from a film to one that fish keep moving.",
    f"{SCREENING[0].upper()}{SCREENING[1:]}.",
)
MOST: Final = 4
"""Tanks a chart shows, those that change the most first."""

_LEAST_LEVEL: Final = 1e-3  # m
_LEAST_WARMTH: Final = 0.3  # K
_LEAST_SHARE: Final = 0.02  # of what there was at first


def story_charts(room: Room, story: Story, display: str) -> Iterator[tuple[str, Chart]]:
    """Every chart of a story in which something happens, with a short name."""
    water = story.water
    if float(water.floor.max(initial=0.0)) > 1e-4:
        yield "floor", _chart(
            story, "Water on the floor", "volume", display,
            [line_through(f"floor of {space}", _pairs(water.times, water.floor[:, index]))
             for index, space in enumerate(water.spaces) if water.floor[:, index].max(initial=0.0) > 1e-4],
        )  # fmt: skip
    rims = {tank.id: tank.rim for tank in room.tanks}
    below = np.array([rims[name] for name in water.tanks]) - water.level if water.tanks else water.level
    moved = _most(water.level, _LEAST_LEVEL)
    if moved:
        yield "levels", _chart(
            story, "Water below the rim", "length", display,
            [line_through(water.tanks[index], _pairs(water.times, below[:, index]), water.tanks[index])
             for index in moved], down=True,
        )  # fmt: skip
    warmth = story.warmth
    if warmth is not None:
        warmed = _most(warmth.water, _LEAST_WARMTH)
        aired = [index for index in range(len(warmth.spaces)) if _moves(warmth.air[:, index], _LEAST_WARMTH)]
        lines = [line_through(warmth.tanks[index], _pairs(warmth.times, warmth.water[:, index]), warmth.tanks[index])
                 for index in warmed]  # fmt: skip
        lines += [line_through(f"air of {warmth.spaces[index]}", _pairs(warmth.times, warmth.air[:, index]))
                  for index in aired]  # fmt: skip
        if lines:
            yield "warmth", _chart(story, "Temperatures", "temperature", display, lines)
    life = story.life
    if life is None:
        return
    falling = _most(life.oxygen[1], _LEAST_SHARE * float(np.nanmax(life.oxygen[1], initial=1e-6)))
    if falling:
        yield "oxygen", _chart(
            story, "Oxygen", "concentration", display,
            [line_in_band(life.tanks[index], zip(life.times.tolist(), *(life.oxygen[end][:, index].tolist()
                          for end in range(3)), strict=True), life.tanks[index]) for index in falling], zero=True,
        )  # fmt: skip
    for name, title, values in (
        ("ammonia", "Un-ionised ammonia, as nitrogen", life.ammonia),
        ("chlorine", "Chlorine", life.chlorine),
    ):
        rising = _most(values, 1e-7)
        if rising:
            yield name, _chart(
                story, title, "concentration", display,
                [line_through(life.tanks[index], _pairs(life.times, values[:, index]), life.tanks[index])
                 for index in rising], zero=True,
            )  # fmt: skip


def _chart(
    story: Story, title: str, dimension: str, display: str, lines: Sequence[Line],
    *, zero: bool = False, down: bool = False,
) -> Chart:  # fmt: skip
    last = float(story.water.times[-1])
    marks = [Mark(name="noticed", x=story.seen)] if 0.0 < story.seen <= last else []
    first = min((harm.time for harm in story.harms), default=math.inf)
    if 0.0 < first <= last:
        marks.append(Mark(name="first harm", x=first))
    floor = zero or dimension == "volume" or down
    return Chart(
        title=title,
        x=Axis(label="after it began", dimension="duration", display=display, least=0.0, most=last, clipped=True),
        y=Axis(label=title.lower(), dimension=dimension, display=display, least=0.0 if floor else None),
        lines=tuple(lines), marks=tuple(marks), empty="nothing changes",
    )  # fmt: skip


def _pairs(times: Array, values: Array) -> tuple[tuple[float, float | None], ...]:
    return tuple(
        (time, None if math.isnan(value) else value)
        for time, value in zip(times.tolist(), values.tolist(), strict=True)
    )


def _moves(values: Array, least: float) -> bool:
    known = values[~np.isnan(values)]
    return bool(known.size and float(known.max() - known.min()) > least)


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
            np.allclose(values[:, index], values[:, other], rtol=1e-3, atol=1e-9, equal_nan=True)
            for other in chosen
        ):
            chosen.append(index)
    return sorted(chosen)
