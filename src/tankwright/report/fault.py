"""One fault as a story: what happens, line by line, with the time since it began and the time of day."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tankwright.faults.judging import WORDS
from tankwright.faults.model import Array, Event, Harm, Story
from tankwright.finding import Number
from tankwright.report.faults import json_harm
from tankwright.room.model import Room
from tankwright.units import Second, convert

DAY = 86_400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryLine:
    """Something that happens, told once for all it happens to at nearly the same time; `harm` whether it is harm."""

    time: Second
    clock: Second
    text: str
    numbers: tuple[tuple[str, Number], ...] = ()
    harm: bool = False


def story_lines(room: Room, story: Story, *, most: int = 60) -> tuple[StoryLine, ...]:
    """The story in order. Alike events of several tanks at nearly the same time are told in one line.

    Daily routine (programs that start and end) is told on the first day only.
    """
    lines = [_harm(room, story, harm) for harm in story.harms]
    for what, time, places in _gathered(story.events):
        told = f"{what}: {_some(places)}" if places else what
        lines.append(StoryLine(time=time, clock=_clock(story, time), text=told))
    end = float(story.water.times[-1])
    if math.isfinite(story.seen) and story.seen <= end:
        by = f"alarm {story.told} brings somebody" if story.told else "somebody looks"
        lines.append(StoryLine(time=story.seen, clock=_clock(story, story.seen), text=by))
    lines.append(StoryLine(time=0.0, clock=_clock(story, 0.0), text=story.fault.name))
    lines.sort(key=lambda one: (one.time, not one.harm))
    if len(lines) <= most:
        return tuple(lines)
    kept = lines[:most]
    left = len(lines) - most
    return (
        *kept,
        StoryLine(time=lines[-1].time, clock=_clock(story, lines[-1].time), text=f"and {left} more things"),
    )


def _harm(room: Room, story: Story, harm: Harm) -> StoryLine:
    where = f"tank {harm.where}" if any(tank.id == harm.where for tank in room.tanks) else harm.where
    text, numbers = f"{WORDS[harm.kind]}: {where}", []
    if harm.earliest < 0.99 * harm.time or harm.latest > 1.01 * harm.time:
        numbers.append(("early", Number(harm.earliest, "duration")))
        if math.isfinite(harm.latest):
            numbers.append(("late", Number(harm.latest, "duration")))
            text += ", {early} to {late} after it began"
        else:
            text += ", {early} at the least, perhaps never"
    return StoryLine(
        time=harm.time, clock=_clock(story, harm.time), text=text, numbers=tuple(numbers), harm=True
    )


def _gathered(events: tuple[Event, ...]) -> list[tuple[str, Second, list[str]]]:
    """Events of one word within five minutes of each other, with all their places."""
    found: list[tuple[str, Second, list[str]]] = []
    open_groups: dict[str, tuple[Second, list[str]]] = {}
    for event in events:
        known = open_groups.get(event.what)
        if known is not None and event.time - known[0] < 300.0:
            if event.where not in known[1]:
                known[1].append(event.where)
            continue
        places = [event.where] if event.where else []
        open_groups[event.what] = (event.time, places)
        found.append((event.what, event.time, places))
    return [one for one in found if not (one[0].startswith("program") and one[1] > DAY)]


def _some(places: list[str]) -> str:
    if len(places) <= 6:
        return ", ".join(places)
    return f"{', '.join(places[:5])} and {len(places) - 5} more"


def _clock(story: Story, time: Second) -> Second:
    return (story.setting.clock + time) % DAY


def json_story(story: Story) -> dict[str, object]:
    """The whole course: times in s, one list a tank."""
    water, warmth, life = story.water, story.warmth, story.life
    return {
        "fault": story.fault.name,
        "begins_s_after_midnight": story.setting.clock,
        "season": story.setting.season,
        "noticed_after_s": story.seen if math.isfinite(story.seen) else None,
        "noticed_by": story.told or "look",
        "harms": [json_harm(harm) for harm in story.harms],
        "events": [
            {"time_s": one.time, "what": one.what, "where": one.where, "value": one.value} for one in story.events
        ],
        "water": {
            "times_s": _list(water.times),
            "level_m": {tank: _list(water.level[:, index]) for index, tank in enumerate(water.tanks)},
            "floor_L": {
                space: [convert(value, "m**3", "L") for value in water.floor[:, index]]
                for index, space in enumerate(water.spaces)
            },
        },
        "warmth": None if warmth is None else {
            "times_s": _list(warmth.times),
            "water_C": {tank: [_celsius(value) for value in warmth.water[:, index]]
                        for index, tank in enumerate(warmth.tanks)},
            "air_C": {space: [_celsius(value) for value in warmth.air[:, index]]
                      for index, space in enumerate(warmth.spaces)},
        },
        "life": None if life is None else {
            "times_s": _list(life.times),
            "oxygen_mg_L": {tank: _milligrams(life.oxygen[1][:, index]) for index, tank in enumerate(life.tanks)},
            "oxygen_low_mg_L": {tank: _milligrams(life.oxygen[0][:, index]) for index, tank in enumerate(life.tanks)},
            "ammonia_mg_L": {tank: _milligrams(life.ammonia[:, index]) for index, tank in enumerate(life.tanks)},
            "chlorine_mg_L": {tank: _milligrams(life.chlorine[:, index]) for index, tank in enumerate(life.tanks)},
        },
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in story.not_computed],
    }  # fmt: skip


def _list(values: Array) -> list[float | None]:
    return [None if math.isnan(value) else float(value) for value in values]


def _celsius(value: float) -> float | None:
    return None if math.isnan(value) else convert(float(value), "K", "°C")


def _milligrams(values: Array) -> list[float | None]:
    return [None if math.isnan(value) else convert(float(value), "kg/m**3", "mg/L") for value in values]
