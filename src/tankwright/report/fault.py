"""One fault as a story: what happens, line by line, with the time since it began and the time of day."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeVar

from tankwright.faults.judging import WORDS
from tankwright.faults.model import Array, Event, Harm, Story
from tankwright.faults.names import follows
from tankwright.finding import Number
from tankwright.report.faults import json_harm
from tankwright.room.model import Room
from tankwright.units import Second, convert

DAY = 86_400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryLine:
    """Something that happens, told once for all it happens to at nearly the same time; `harm` whether it is harm,
    `perhaps` whether it is harm that only an end of a band brings."""

    time: Second
    clock: Second
    text: str
    numbers: tuple[tuple[str, Number], ...] = ()
    harm: bool = False
    perhaps: bool = False


_MOST_NAMED: Final = 6


def story_lines(room: Room, story: Story, *, most: int = 60) -> tuple[StoryLine, ...]:
    """The story in order. What happens to several tanks within five minutes is told in one line; daily routine is not
    told at all."""
    lines = [StoryLine(time=0.0, clock=_clock(story, 0.0), text=story.fault.name)]
    lines += _events(room, story)
    lines += _harms(room, story)
    end = float(story.water.times[-1])
    if math.isfinite(story.seen) and story.seen <= end:
        by = f"alarm {story.told} brings somebody" if story.told else "somebody looks"
        lines.append(StoryLine(time=story.seen, clock=_clock(story, story.seen), text=by))
    if not story.harms:
        whole = "no harm found" if not story.not_computed else "no harm found in what could be worked out"
        lines.append(StoryLine(time=end, clock=_clock(story, end), text=f"{whole}; followed no further"))
    lines.sort(key=lambda one: one.time)
    if len(lines) <= most:
        return tuple(lines)
    left, last = len(lines) - most, lines[-1].time
    more = StoryLine(time=last, clock=_clock(story, last), text=f"and {left} more things until then")
    return (*lines[:most], more)


# --- what happens -------------------------------------------------------------------------------------------------

_HAPPENS: Final[Mapping[str, str]] = {
    "air line runs back": "water runs back out of the air tubes{to}",
    "feed runs back": "water runs back through the feed outlets{to}",
    "siphon breaks": "drawn down to where its siphon breaks, no more runs out",
    "spill begins": "runs over its rim onto the floor{to}",
    "spill ends": "runs over no more",
    "overflow begins": "full again, its overflow runs",
    "tank dry": "empty",
    "float shuts": "its float shuts the feed",
    "drain full": "the blocked drain stands full up to the hoses",
    "drain runs back": "the drain comes up through the hose into the tank",
    "vat empty": "the vat is empty",
    "heating off": "no more heat for the room",
    "cooling off": "no more cooling for the room",
    "heater at full power": "the room's heater at full power and not enough",
    "heater uncovered": "the heater stands in air",
    "trips": "trips: all that hangs on it is dead",
    "stops": "stops",
    "runs empty": "the backup is empty",
    "leak sensor shuts the feed": "the leak sensor shuts the feed",
    "not followed further": "not followed further than this",
}
"""An event's word as a sentence about its place; {to} is where the water goes."""


def _events(room: Room, story: Story) -> Iterator[StoryLine]:
    """Alike events within five minutes in one line; what comes again and again is told once, a spill twice."""
    groups = _within(story.events, lambda one: (one.what, one.to))
    told: dict[tuple[str, str, tuple[str, ...]], int] = {}
    for (what, to), alike in groups:
        places = _in_order(room, (one.where for one in alike))
        count = told[what, to, places] = told.get((what, to, places), 0) + 1
        if count > (2 if what == "spill begins" else 1):
            continue
        words = _HAPPENS.get(what, what).replace("{to}", _towards(room, what, to, alike))
        text = f"{in_a_row(places)}: {words}" if places else words
        text += ", again and again" if count == 2 else ""
        yield StoryLine(time=alike[0].time, clock=_clock(story, alike[0].time), text=text)


def _towards(room: Room, what: str, to: str, alike: Sequence[Event]) -> str:
    """Where the water of an event goes, in words."""
    if what == "spill begins":
        spaces = dict.fromkeys(tank.room for tank in room.tanks if any(tank.id == one.where for one in alike))
        return f" of {in_a_row(tuple(spaces))}" if spaces else ""
    if not to:
        return ""
    if any(space.id == to for space in room.spaces):
        return f" onto the floor of {to}"
    return f" into tank {to}" if any(tank.id == to for tank in room.tanks) else f" into {to}"


# --- what harm comes ----------------------------------------------------------------------------------------------


def _harms(room: Room, story: Story) -> Iterator[StoryLine]:
    """Alike harms within five minutes in one line, with the band over all of them; then those that only an end of a
    band brings, at the time they may come first."""
    for kind, alike in _within(story.harms, lambda one: one.kind):
        early, late = min(one.earliest for one in alike), max(one.latest for one in alike)
        first, last = alike[0].time, alike[-1].time
        text, numbers = f"{WORDS[kind]}{_of(room, kind, alike)}", []
        if early < 0.99 * first or late > 1.01 * last:
            numbers.append(("early", Number(early, "duration")))
            if math.isfinite(late):
                numbers.append(("late", Number(late, "duration")))
                text += ", {early} to {late} after it began"
            else:
                text += ", {early} after it began at the earliest, perhaps never"
        yield StoryLine(time=first, clock=_clock(story, first), text=text, numbers=tuple(numbers), harm=True)
    known = {(one.kind, one.where) for one in story.harms}
    maybe = [
        replace(one, time=one.earliest)
        for one in (story.life.perhaps if story.life is not None else ())
        if math.isfinite(one.earliest) and (one.kind, one.where) not in known
    ]
    for kind, alike in _within(sorted(maybe, key=lambda one: one.time), lambda one: one.kind, DAY):
        text = f"from here on perhaps {WORDS[kind]}{_of(room, kind, alike)}: {_DECIDES.get(kind, _BAND)}"
        yield StoryLine(time=alike[0].time, clock=_clock(story, alike[0].time), text=text, perhaps=True)


_BAND: Final = "only at the unkind end of what is assumed"
_DECIDES: Final[Mapping[str, str]] = {
    "oxygen": "only where still water takes up little; an oxygen drop test decides",
}


def _of(room: Room, kind: str, alike: Sequence[Harm]) -> str:
    """Where harm comes, in words: water on the floor comes from a tank, everything else is in one."""
    places = _in_order(room, (one.where for one in alike))
    tanks = {tank.id for tank in room.tanks}
    if not all(place in tanks for place in places):
        return f": {in_a_row(places)}"
    named = f"tank {places[0]}" if len(places) == 1 else f"tanks {in_a_row(places)}"
    return {"floor": f" from {named}", "dry": f", {named}"}.get(kind, f" in {named}")


def _in_order(room: Room, places: Iterable[str]) -> tuple[str, ...]:
    """Each once, tanks as they stand in the room."""
    once = {place for place in places if place}
    tanks = tuple(tank.id for tank in room.tanks if tank.id in once)
    return (*tanks, *sorted(once.difference(tanks)))


_Told = TypeVar("_Told", Event, Harm)
_Key = TypeVar("_Key", bound=Hashable)


def _within(
    happened: Iterable[_Told], key: Callable[[_Told], _Key], span: Second = 300.0
) -> list[tuple[_Key, list[_Told]]]:
    """Things in order of time, those of one key within a span of the first of them together."""
    found: list[tuple[_Key, list[_Told]]] = []
    open_groups: dict[_Key, list[_Told]] = {}
    for one in happened:
        named = key(one)
        group = open_groups.get(named)
        if group is not None and one.time - group[0].time < span:
            group.append(one)
            continue
        open_groups[named] = [one]
        found.append((named, open_groups[named]))
    return found


def in_a_row(places: Sequence[str]) -> str:
    """Places in a row: numbers that follow each other by their ends, no more than a line holds.

    >>> in_a_row(("A1", "A2", "A3", "B7", "hall"))
    'A1..A3, B7, hall'
    """
    runs: list[list[str]] = []
    for place in places:
        if runs and follows(runs[-1][-1], place):
            runs[-1].append(place)
        else:
            runs.append([place])
    shown = runs if len(runs) <= _MOST_NAMED else runs[: _MOST_NAMED - 1]
    words = ", ".join(f"{run[0]}..{run[-1]}" if len(run) > 2 else ", ".join(run) for run in shown)
    left = len(places) - sum(len(run) for run in shown)
    return f"{words} and {left} more" if left else words


def _clock(story: Story, time: Second) -> Second:
    return (story.setting.clock + time) % DAY


def json_story(story: Story) -> dict[str, object]:
    """The whole course: times in s, one list a tank."""
    water, warmth, life = story.water, story.warmth, story.life
    return {
        "fault": story.fault.name,
        "begins_after_midnight_s": story.setting.clock,
        "season": story.setting.season,
        "noticed_after_s": story.seen if math.isfinite(story.seen) else None,
        "noticed_by": story.told or "look",
        "harms": [json_harm(harm) for harm in story.harms],
        "events": [
            {"time_s": one.time, "what": one.what, "where": one.where, "value": one.value, "to": one.to or None}
            for one in story.events
        ],
        "water": {
            "times_s": _list(water.times),
            "level_m": {tank: _list(water.level[:, index]) for index, tank in enumerate(water.tanks)},
            "floor_l": {
                space: [convert(value, "m**3", "L") for value in water.floor[:, index]]
                for index, space in enumerate(water.spaces)
            },
        },
        "warmth": None if warmth is None else {
            "times_s": _list(warmth.times),
            "water_c": {tank: [_celsius(value) for value in warmth.water[:, index]]
                        for index, tank in enumerate(warmth.tanks)},
            "air_c": {space: [_celsius(value) for value in warmth.air[:, index]]
                      for index, space in enumerate(warmth.spaces)},
        },
        "life": None if life is None else {
            "times_s": _list(life.times),
            "oxygen_mg_per_l": {tank: _milligrams(life.oxygen[1][:, index]) for index, tank in enumerate(life.tanks)},
            "oxygen_low_mg_per_l": {tank: _milligrams(life.oxygen[0][:, index])
                                    for index, tank in enumerate(life.tanks)},
            "ammonia_mg_per_l": {tank: _milligrams(life.ammonia[:, index]) for index, tank in enumerate(life.tanks)},
            "chlorine_mg_per_l": {tank: _milligrams(life.chlorine[:, index]) for index, tank in enumerate(life.tanks)},
        },
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in story.not_computed],
    }  # fmt: skip


def _list(values: Array) -> list[float | None]:
    return [None if math.isnan(value) else float(value) for value in values]


def _celsius(value: float) -> float | None:
    return None if math.isnan(value) else convert(float(value), "K", "°C")


def _milligrams(values: Array) -> list[float | None]:
    return [None if math.isnan(value) else convert(float(value), "kg/m**3", "mg/L") for value in values]
