"""One fault from its beginning to its end, and what it comes to at its worst moment.

    story = story_of(study, fault, Setting(clock=18.5 * 3600, horizon=216_000.0))
    outcome = outcome_of(study, fault)

The study is always of the healthy room. What a fault leads to (a plug under water trips its device, a flooded pump
stops) breaks too, from that moment on: the story is then told in stages, each from the state the last one ended in.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from numpy import interp

from tankwright.faults.breaking import broken_room
from tankwright.faults.electric import EMPTY
from tankwright.faults.floor import consequences, floor_depth, floor_harms
from tankwright.faults.joining import joined_life, joined_warmth, joined_water
from tankwright.faults.life import life_course
from tankwright.faults.listing import seasons_of
from tankwright.faults.model import (
    Event,
    Fault,
    Harm,
    LifeCourse,
    Outcome,
    Setting,
    Story,
    WarmthCourse,
    WaterCourse,
)
from tankwright.faults.noticing import absence_of, gap_from, noticed, worst_clocks
from tankwright.faults.warmth import warmth_course
from tankwright.faults.water import water_course
from tankwright.room.model import Room
from tankwright.room.model_broken import Broken
from tankwright.study import Study
from tankwright.units import CubicMetre, Second

DAY: Final = 86_400.0
LONGEST: Final = 14.0 * DAY
"""How long a fault is followed at the most, however long the plan says nobody comes."""

MOST_STAGES: Final = 4
"""Things a fault may lead to, one after the other, that are still followed."""

A_TANK: Final[CubicMetre] = 20e-3
"""Water on the floor that is as bad as one tank harmed, when faults are ranked. Our own."""

STILL_RUNNING: Final[CubicMetre] = 0.5e-3
"""More on the floor in the last day than this, and the water has no end of its own."""


@dataclass(frozen=True, slots=True)
class _Stage:
    """A stretch of a story with the same things broken."""

    water: WaterCourse
    warmth: WarmthCourse | None
    life: LifeCourse | None


def followed_for(study: Study, gap: Second) -> Second:
    """How long a fault is followed: the longest absence, a day, or the gap between looks, whichever is longest."""
    return min(max(absence_of(study.room) or 0.0, gap, DAY), LONGEST)


def story_of(study: Study, fault: Fault, setting: Setting) -> Story:
    """What happens once a fault has begun, all of it coupled: water, warmth, then what lives in it."""
    room = study.room
    broken: tuple[Broken, ...] = fault.broken
    so_far: _Stage | None = None
    events: list[Event] = []
    begun, rest = 0.0, setting
    for number in range(MOST_STAGES):
        ill = broken_room(room, broken)
        before = so_far.water if so_far is not None else None
        water = water_course(study, ill, rest, start=before)
        then = consequences(study, ill, water, begun=begun) if number < MOST_STAGES - 1 else ()
        fresh = [(time, one) for time, one in then if one not in broken and time < rest.horizon]
        if fresh:
            time, one = min(fresh, key=lambda pair: pair[0])
            if time > 0.0:
                so_far = _with(so_far, _stage(study, ill, replace(rest, horizon=time), so_far), begun)
            events.append(Event(time=begun + time, what=_happens(one), where=one.what or "backup"))
            broken = (*broken, one)
            begun += time
            rest = replace(
                setting, clock=(setting.clock + begun) % DAY, horizon=max(setting.horizon - begun, 1.0)
            )
            continue
        so_far = _with(so_far, _stage(study, ill, rest, so_far, water), begun)
        break
    assert so_far is not None
    return _told(study, fault, setting, broken_room(room, broken), so_far, events)


def _stage(
    study: Study, ill: Room, setting: Setting, before: _Stage | None, water: WaterCourse | None = None
) -> _Stage:
    if water is None:
        water = water_course(study, ill, setting, start=before.water if before is not None else None)
    warmth = warmth_course(study, ill, setting, water, start=before.warmth if before is not None else None)
    life = life_course(study, ill, setting, water, warmth, start=before.life if before is not None else None)
    return _Stage(water, warmth, life)


def _with(before: _Stage | None, after: _Stage, begun: Second) -> _Stage:
    if before is None:
        return after
    return _Stage(
        joined_water(before.water, after.water, begun),
        joined_warmth(before.warmth, after.warmth, begun),
        joined_life(before.life, after.life, begun),
    )


def _happens(one: Broken) -> str:
    if one == EMPTY:
        return "runs empty"
    return "trips" if one.kind in ("device", "circuit", "board") else "stops"


def _told(
    study: Study, fault: Fault, setting: Setting, ill: Room, whole: _Stage, events: list[Event]
) -> Story:
    water, warmth, life = whole.water, whole.warmth, whole.life
    every = [*events, *water.events, *(warmth.events if warmth is not None else ())]
    harms = [*floor_harms(study, ill, water), *(life.harms if life is not None else ())]
    first: dict[tuple[str, str], Harm] = {}
    for harm in sorted(harms, key=lambda one: one.time):
        first.setdefault((harm.kind, harm.where), harm)
    told_events = tuple(sorted(every, key=lambda one: one.time))
    seen, told = noticed(study, ill, setting, water, warmth, life, told_events)
    missing = [
        *water.not_computed,
        *(warmth.not_computed if warmth is not None else ()),
        *(life.not_computed if life is not None else ()),
    ]
    return Story(
        fault=fault,
        setting=setting,
        water=water,
        warmth=warmth,
        life=life,
        events=told_events,
        harms=tuple(first.values()),
        seen=seen,
        told=told,
        not_computed=tuple(dict.fromkeys(missing)),
    )


# --- the worst moment -------------------------------------------------------------------------------------------


def settings_of(study: Study, fault: Fault, clock: Second | None = None) -> tuple[Setting, ...]:
    """The moments and weathers a fault is tried at: after each look and before each program, or at a stated time."""
    clocks = (clock,) if clock is not None else worst_clocks(study, fault)
    return tuple(
        Setting(clock=at, horizon=followed_for(study, gap_from(study, at)), season=season)
        for at in clocks
        for season in seasons_of(fault)
    )


def outcome_of(study: Study, fault: Fault, clock: Second | None = None) -> Outcome:
    """What a fault comes to when it begins at the worst of the moments tried."""
    return min(
        (outcome_from(study, story_of(study, fault, one)) for one in settings_of(study, fault, clock)),
        key=badness,
    )


def worst_story(study: Study, fault: Fault, clock: Second | None = None) -> tuple[Story, Outcome]:
    """The story behind the outcome, with the outcome."""
    told = [story_of(study, fault, one) for one in settings_of(study, fault, clock)]
    outcomes = [outcome_from(study, one) for one in told]
    worst = min(range(len(told)), key=lambda index: badness(outcomes[index]))
    return told[worst], outcomes[worst]


def badness(one: Outcome) -> tuple[float, ...]:
    """Sorts outcomes, the worst first: harm before anybody notices, within the absence, later, never; then by how much
    is harmed by then, `A_TANK` of water on the floor counting as one tank; then by time."""
    rank = 0.0 if one.before_look else 1.0 if one.in_absence else 2.0 if one.first is not None else 3.0
    tanks, floor = (
        (one.tanks, one.floor) if one.before_look else (one.tanks_absence, one.floor_absence or one.floor)
    )
    time = one.first.time if one.first is not None else 0.0
    return (rank, -(len(tanks) + floor / A_TANK), time, -len(one.tanks_absence), -(one.floor_absence or 0.0))


def outcome_from(study: Study, story: Story) -> Outcome:
    """A story in few numbers."""
    room, water = study.room, story.water
    gap = gap_from(study, story.setting.clock)
    absence = absence_of(room)
    end = story.setting.horizon
    until = min(absence, end) if absence is not None else None
    tanks = {tank.id for tank in room.tanks}
    times: dict[str, Second] = {}
    for harm in story.harms:
        if harm.where in tanks:
            times[harm.where] = min(harm.time, times.get(harm.where, harm.time))
    by_look = tuple(name for name, time in times.items() if time < story.seen)
    by_absence = tuple(name for name, time in times.items() if until is not None and time < until)
    stock = {life.tank: life.stock.mass.value for life in room.lives if life.stock and life.stock.mass}
    floor = _floor_at(water, min(story.seen, end))
    warmth = story.warmth
    return Outcome(
        fault=story.fault.name,
        group=story.fault.group,
        cause=story.fault.cause,
        clock=story.setting.clock,
        season=story.setting.season,
        first=min(story.harms, key=lambda one: one.time, default=None),
        seen=story.seen,
        told=story.told,
        gap=gap,
        absence=absence,
        floor=sum(floor.values()),
        ran=max(sum(floor.values()), _lost_at(water, min(story.seen, end))),
        floor_absence=sum(_floor_at(water, until).values()) if until is not None else None,
        depth=max((floor_depth(room, space, litres) for space, litres in floor.items()), default=0.0),
        finite=_ends(water),
        tanks=by_look,
        tanks_absence=by_absence,
        fish=sum(stock.get(name, 0.0) for name in by_look),
        tank_times=tuple(sorted(times.items(), key=lambda pair: pair[1])),
        coldest=float(warmth.water.min()) if warmth is not None and warmth.water.size else None,
        hottest=float(warmth.water.max()) if warmth is not None and warmth.water.size else None,
        not_computed=story.not_computed,
    )


def _floor_at(water: WaterCourse, time: Second) -> dict[str, CubicMetre]:
    return {
        space: float(interp(time, water.times, water.floor[:, index]))
        for index, space in enumerate(water.spaces)
    }


def _lost_at(water: WaterCourse, time: Second) -> CubicMetre:
    """What tanks have lost to floors since the fault began."""
    lost = water.spilled.sum(1)
    return float(interp(time, water.times, lost)) - float(lost[0])


def _ends(water: WaterCourse) -> bool:
    """Whether the water on floors stops by itself: nothing to speak of in the last day."""
    end = float(water.times[-1])
    grown = [
        float(sums[-1]) - float(interp(max(end - DAY, 0.0), water.times, sums))
        for sums in (water.spilled.sum(1), water.floor.sum(1))
    ]
    return max(grown) < STILL_RUNNING
