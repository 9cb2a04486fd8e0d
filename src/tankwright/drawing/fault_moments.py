"""The room as it stands at one moment of a fault: levels, water on the floor, and which tanks harm has come to."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tankwright.display import words
from tankwright.drawing.model import Drawing
from tankwright.drawing.results import DrawnFloor, DrawnMark, DrawnResults, DrawnTank
from tankwright.drawing.sheet import draw_room
from tankwright.faults.floor import floor_depth, wet_area
from tankwright.faults.judging import WORDS
from tankwright.faults.model import Array, Harm, Story
from tankwright.finding import Number, Severity
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.units import Second

ABOUT: Final = "harm of each tank at this moment of the fault"

_COME, _SOON, _LATER, _NONE = 0.0, 0.6, 0.9, 1.0
"""Places on the scale around enough whose colours stand for harm; `legend.STEP_WORDS` says it in words."""

_HOUR: Final[Second] = 3600.0
_APART: Final[Second] = 60.0  # moments nearer than this look alike
_WARMED: Final = 0.3  # K worth telling
_RISEN: Final = 2e-3  # m worth telling
_CHANGED: Final = 0.02  # of the most there was, worth telling
_TRACE: Final = 1e-4  # m3 of water on a floor worth drawing

_ITS_NUMBER: Final[Mapping[str, str]] = {
    "floor": "level", "dry": "level", "oxygen": "oxygen", "cold": "warmth", "hot": "warmth", "ammonia": "ammonia",
    "chlorine": "chlorine",
}  # fmt: skip
"""The number of a tank that tells of each kind of harm."""


def moments(story: Story, most: int = 6) -> tuple[Second, ...]:
    """The moments worth a drawing: the beginning, the first harm, when it is noticed, further kinds of harm, the end.

    They are in order, none twice.
    """
    end = float(story.water.times[-1])
    firsts: dict[str, Second] = {}
    for harm in story.harms:
        firsts.setdefault(harm.kind, harm.time)
    chosen = [0.0, end, *sorted(firsts.values())[:1], story.seen, *sorted(firsts.values())[1:]]
    kept: list[Second] = []
    for time in chosen:
        apart = all(abs(time - other) > _APART for other in kept)
        if math.isfinite(time) and 0.0 <= time <= end and apart and len(kept) < most:
            kept.append(time)
    return tuple(sorted(kept))


def moment_results(study: Study, story: Story, time: Second) -> DrawnResults:
    """What a drawing of that moment shows: a figure for each tank, its colour by the harm it has, wet floors."""
    room, display, water = study.room, study.room.display, story.water
    told = _Told(room=room, story=story, time=time)
    floors = tuple(
        floor for index, space in enumerate(water.spaces)
        if (floor := _floor(room, story, space, index, time, display)) is not None
    )  # fmt: skip
    standing = sum(_at(water.times, column, time) for column in water.floor.T)
    spilled = sum(_at(water.times, column, time) for column in water.spilled.T)
    figures = [
        ("after it began", words(Number(time, "duration"), display)),
        ("by the clock", words(Number((story.setting.clock + time) % 86_400.0, "clock"), display)),
        ("standing on the floor", words(Number(standing, "volume"), display)),
        (
            "tanks harmed",
            words(Number(float(sum(told.come(name) for name in water.tanks)), "number"), display),
        ),
    ]
    if spilled > standing + _TRACE:
        figures.insert(3, ("run onto the floor so far", words(Number(spilled, "volume"), display)))
    return DrawnResults(
        layer="fault", about=ABOUT, scale="enough", figures=tuple(figures), workings=("",) * len(figures),
        tanks=tuple(told.tank(name) for name in water.tanks), floors=floors, marks=_marks(story),
    )  # fmt: skip


def _marks(story: Story) -> tuple[DrawnMark, ...]:
    """What is broken, where the drawing shows it."""
    return tuple(
        DrawnMark(place=place, severity=Severity.PROBLEM, title=story.fault.name)
        for place in dict.fromkeys(one.what for one in story.fault.broken if one.what)
    )


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
    after = words(Number(time, "duration"), study.room.display)
    title = f"{story.fault.name}, {after} after it began"
    room = replace(room_at(study.room, story, time), title=title)
    drawn = draw_room(room, moment_results(study, story, time), plan_name=plan_name)
    return replace(drawn, title=title)


class _Told:
    """What each tank tells at a moment. Columns are looked up once: 600 tanks are asked for."""

    def __init__(self, *, room: Room, story: Story, time: Second) -> None:
        self.story, self.time, self.display = story, time, room.display
        self.harms: dict[str, list[Harm]] = {}
        for harm in sorted(story.harms, key=lambda one: one.time):
            self.harms.setdefault(harm.where, []).append(harm)
        self.courses = tuple(_courses(story))
        life = story.life
        self.known = (
            frozenset(name for name, column in zip(life.tanks, life.oxygen[1].T, strict=True)
                      if not np.isnan(column).all())
            if life is not None else frozenset()
        )  # fmt: skip

    def come(self, name: str) -> bool:
        """Whether harm has come to a tank."""
        harms = self.harms.get(name)
        return harms is not None and harms[0].time <= self.time

    def tank(self, name: str) -> DrawnTank:
        """A tank's colour, its two numbers that tell the most, and its sentence."""
        harms = self.harms.get(name, [])
        come = [harm for harm in harms if harm.time <= self.time]
        figures = self._figures(name, come[-1] if come else harms[0] if harms else None)
        share: float | None
        if come:
            share, title = _COME, ", ".join(dict.fromkeys(WORDS[harm.kind] for harm in come))
        elif harms:
            until = harms[0].time - self.time
            share = _SOON if until <= _HOUR else _LATER
            title = f"{WORDS[harms[0].kind]} in {words(Number(until, 'duration'), self.display)}"
        elif name in self.known:
            share, title = _NONE, "no harm found"
        else:
            share, title = None, "no harm found; what its fish need is not known"
        return DrawnTank(id=name, share=share, figure=figures[0], detail=figures[1], title=title)

    def _figures(self, name: str, harm: Harm | None) -> tuple[str, str]:
        """The numbers of a tank that move, the one that tells of its harm first."""
        first = _ITS_NUMBER.get(harm.kind, "") if harm is not None else ""
        told = []
        for course in sorted(self.courses, key=lambda one: one.what != first):
            column = course.columns.get(name)
            if column is None or not (course.moved[column] or course.what == first):
                continue
            values = course.values[:, column]
            value = _at(course.times, values, self.time)
            if course.what != "level":
                told.append(words(Number(value, course.dimension), self.display))
            elif abs(over := value - float(values[0])) >= 0.5e-3 or course.moved[column]:
                told.append(
                    f"{'+' if over >= 0.0 else '−'}{words(Number(abs(over), 'length'), self.display)}"
                )
        return (told[0] if told else "", told[1] if len(told) > 1 else "")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Course:
    """One quantity of all tanks over time; `moved` says of which it is worth telling."""

    what: str
    dimension: str
    times: Array
    values: Array
    columns: Mapping[str, int]
    moved: tuple[bool, ...]


def _courses(story: Story) -> Iterator[_Course]:
    def course(
        what: str, dimension: str, times: Array, names: tuple[str, ...], values: Array, least: Array
    ) -> _Course:
        known = np.asarray((~np.isnan(values)).all(axis=0))
        span = np.where(known, np.ptp(np.nan_to_num(values), axis=0), 0.0)
        return _Course(
            what=what, dimension=dimension, times=times, values=values,
            columns={name: column for column, name in enumerate(names) if known[column]},
            moved=tuple((span > least).tolist()),
        )  # fmt: skip

    water, warmth, life = story.water, story.warmth, story.life
    if water.tanks:
        yield course("level", "length", water.times, water.tanks, water.level, np.array(_RISEN))
    if warmth is not None and warmth.tanks:
        yield course("warmth", "temperature", warmth.times, warmth.tanks, warmth.water, np.array(_WARMED))
    if life is not None and life.tanks:
        for what, values in (
            ("oxygen", life.oxygen[1]), ("chlorine", life.chlorine), ("ammonia", life.ammonia),
        ):  # fmt: skip
            least = np.maximum(_CHANGED * np.nan_to_num(values).max(axis=0), 1e-6)
            yield course(what, "concentration", life.times, life.tanks, values, least)


def _at(times: Array, values: Array, time: Second) -> float:
    return float(np.interp(time, times, values))


def _floor(room: Room, story: Story, space: str, index: int, time: Second, display: str) -> DrawnFloor | None:
    litres = _at(story.water.times, story.water.floor[:, index], time)
    if litres < _TRACE:
        return None
    place = next((one for one in room.spaces if one.id == space), None)
    if place is None:
        return None
    whole = (place.box.x1 - place.box.x0) * (place.box.y1 - place.box.y0)
    share = min(1.0, wet_area(room, space, litres) / whole) if whole > 0.0 else 1.0
    deep = words(Number(floor_depth(room, space, litres), "length"), display)
    label = f"{words(Number(litres, 'volume'), display)} on the floor of {space}, {deep} deep where it stands"
    return DrawnFloor(space=space, share=share, source=_source(room, story, space, time), label=label)


def _source(room: Room, story: Story, space: str, time: Second) -> str:
    """The tank of a space that has lost the most to the floor, "" when it came from elsewhere."""
    water = story.water
    column = {name: index for index, name in enumerate(water.tanks)}
    lost = {
        tank.id: _at(water.times, water.spilled[:, column[tank.id]], time)
        for tank in room.tanks if tank.room == space and tank.id in column
    }  # fmt: skip
    most = max(lost, key=lambda name: lost[name], default="")
    return most if most and lost[most] > 1e-5 else ""
