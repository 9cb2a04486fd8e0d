"""The room as it stands at one moment of a fault: levels, water on the floor, and how far each tank is from harm."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np

from tankwright.display import words
from tankwright.drawing.model import Drawing
from tankwright.drawing.results import DrawnFloor, DrawnResults, DrawnTank
from tankwright.drawing.sheet import draw_room
from tankwright.faults.floor import floor_depth, wet_area
from tankwright.faults.judging import WORDS
from tankwright.faults.model import Array, Harm, Story
from tankwright.finding import Number
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.units import Second

ABOUT: Final = "time until harm as a share of the time gone: under 1 it has come"
NEVER: Final = 4.0
"""The share of a tank no harm comes to while the fault is followed: well over enough."""

_WARMED: Final = 0.3  # K worth telling
_RISEN: Final = 2e-3  # m worth telling


def moments(story: Story, most: int = 5) -> tuple[Second, ...]:
    """The moments worth a drawing: the beginning, the first harms, when it is noticed, the end.

    They are in order, none twice.
    """
    end = float(story.water.times[-1])
    chosen = [0.0, end]
    if story.harms:
        chosen += [min(harm.time for harm in story.harms), max(harm.time for harm in story.harms)]
    chosen.append(story.seen)
    kept = sorted({round(time, 3) for time in chosen if math.isfinite(time) and 0.0 <= time <= end})
    return tuple(kept[:most])


def moment_results(study: Study, story: Story, time: Second) -> DrawnResults:
    """What a drawing of that moment shows: a figure for each tank, its colour by how near harm is, wet floors."""
    room, display = study.room, study.room.display
    water = story.water
    harms = _first_harms(story)
    tanks = tuple(
        _tank(room, story, name, index, time, harms.get(name)) for index, name in enumerate(water.tanks)
    )
    floors = tuple(
        floor for index, space in enumerate(water.spaces)
        if (floor := _floor(room, story, space, index, time, display)) is not None
    )  # fmt: skip
    litres = sum(
        float(np.interp(time, water.times, water.floor[:, index])) for index in range(len(water.spaces))
    )
    harmed = sum(1 for harm in harms.values() if harm.time <= time)
    clock = words(Number((story.setting.clock + time) % 86_400.0, "clock"), display)
    figures = (
        ("after it began", words(Number(time, "duration"), display)),
        ("by the clock", clock),
        ("on the floor", words(Number(litres, "volume"), display)),
        ("tanks harmed", words(Number(float(harmed), "number"), display)),
    )
    return DrawnResults(
        layer="layout", about=ABOUT, scale="enough", figures=figures, workings=("",) * len(figures),
        tanks=tanks, floors=floors,
    )  # fmt: skip


def room_at(room: Room, story: Story, time: Second) -> Room:
    """The room with the water of its tanks as high as it stands at that moment."""
    levels = levels_at(story, time)
    return replace(
        room,
        tanks=tuple(replace(tank, level=levels.get(tank.id, tank.level)) for tank in room.tanks),
    )


def levels_at(story: Story, time: Second) -> dict[str, float]:
    """Height of the water in every tank at a moment."""
    water = story.water
    return {name: _at(water.times, water.level[:, index], time) for index, name in enumerate(water.tanks)}


def story_drawing(study: Study, story: Story, time: Second, *, plan_name: str = "") -> Drawing:
    """The sheet of one moment."""
    drawn = draw_room(
        room_at(study.room, story, time), moment_results(study, story, time), plan_name=plan_name
    )
    after = words(Number(time, "duration"), study.room.display)
    return replace(drawn, title=f"{study.room.title}: {story.fault.name}, {after} after it began")


def _first_harms(story: Story) -> dict[str, Harm]:
    found: dict[str, Harm] = {}
    for harm in sorted(story.harms, key=lambda one: one.time):
        found.setdefault(harm.where, harm)
    return found


def _tank(room: Room, story: Story, name: str, index: int, time: Second, harm: Harm | None) -> DrawnTank:
    share = NEVER if harm is None else min(NEVER, harm.time / time) if time > 0.0 else NEVER
    told = _figures(room, story, name, index, time)
    come = harm is not None and harm.time <= time
    title = (
        f"{WORDS[harm.kind]}"
        if come and harm is not None
        else "no harm yet"
        if harm is not None
        else "no harm found"
    )
    unknown = story.life is None or np.isnan(story.life.oxygen[1][:, _column(story.life.tanks, name)]).all()
    if harm is None and unknown and story.life is not None:
        title = "no harm found; its fish are not known"
    return DrawnTank(id=name, share=share, figure=told[0], detail=told[1], title=title)


def _figures(room: Room, story: Story, name: str, index: int, time: Second) -> tuple[str, str]:
    """The two numbers of a tank that move the most: level, warmth, oxygen."""
    display, water, told = room.display, story.water, []
    level = water.level[:, index]
    if float(level.max() - level.min()) > _RISEN:
        over = _at(water.times, level, time) - float(level[0])
        sign = "+" if over >= 0.0 else "−"
        told.append(f"{sign}{words(Number(abs(over), 'length'), display)}")
    warmth = story.warmth
    if warmth is not None and name in warmth.tanks:
        column = warmth.water[:, _column(warmth.tanks, name)]
        if not np.isnan(column).any() and float(column.max() - column.min()) > _WARMED:
            told.append(words(Number(_at(warmth.times, column, time), "temperature"), display))
    life = story.life
    if life is not None and name in life.tanks:
        for values in (life.oxygen[1], life.chlorine, life.ammonia):
            column = values[:, _column(life.tanks, name)]
            known = column[~np.isnan(column)]
            if known.size == column.size and float(known.max() - known.min()) > 0.02 * max(
                float(known.max()), 1e-6
            ):
                told.append(words(Number(_at(life.times, column, time), "concentration"), display))
    return (told[0] if told else "as ever", told[1] if len(told) > 1 else "")


def _column(names: tuple[str, ...], name: str) -> int:
    return names.index(name)


def _at(times: Array, values: Array, time: Second) -> float:
    return float(np.interp(time, times, values))


def _floor(room: Room, story: Story, space: str, index: int, time: Second, display: str) -> DrawnFloor | None:
    litres = _at(story.water.times, story.water.floor[:, index], time)
    if litres < 1e-4:
        return None
    place = next((one for one in room.spaces if one.id == space), None)
    if place is None:
        return None
    whole = (place.box.x1 - place.box.x0) * (place.box.y1 - place.box.y0)
    share = min(1.0, wet_area(room, space, litres) / whole) if whole > 0.0 else 1.0
    deep = words(Number(floor_depth(room, space, litres), "length"), display)
    label = f"{words(Number(litres, 'volume'), display)} on the floor, {deep} deep"
    return DrawnFloor(space=space, share=share, source=_source(room, story, space, time), label=label)


def _source(room: Room, story: Story, space: str, time: Second) -> str:
    """The tank of a space that has lost the most to the floor, "" when it came from elsewhere."""
    water = story.water
    here = [tank.id for tank in room.tanks if tank.room == space and tank.id in water.tanks]
    lost = {name: _at(water.times, water.spilled[:, water.tanks.index(name)], time) for name in here}
    most = max(lost, key=lambda name: lost[name], default="")
    return most if most and lost[most] > 1e-5 else ""
