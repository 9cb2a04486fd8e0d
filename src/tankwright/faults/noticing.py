"""Who notices, how soon: the next look, or an alarm that calls before it.

A look is of every tank. An alarm calls when its threshold is crossed on the course of the fault, if it has power then,
and somebody is there `within` the time it says.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from tankwright.faults.airing import broken_air, healthy_air
from tankwright.faults.electric import EMPTY, dead_boards, power_is_cut
from tankwright.faults.floor import crossing, floor_area, least_depth, leaves_by_door
from tankwright.faults.model import Array, Event, Fault, LifeCourse, Setting, WarmthCourse, WaterCourse
from tankwright.room.assumed import assumed
from tankwright.room.model import AlarmPlace, Room
from tankwright.room.model_broken import BrokenKind
from tankwright.study import Study
from tankwright.units import CubicMetre, Metre, Second

DAY: Final[Second] = 86_400.0
EVENING: Final[Second] = 20.0 * 3600.0
"""When a fault begins where nothing says when somebody looks: the night is before it."""

JUST_BEFORE: Final[Second] = 60.0
"""How long before a program a fault begins that waits for it."""

LEAD_TO: Final = frozenset({"trips", "stops"})
"""Events of what breaks as a consequence; their place is its name."""

OF_PROGRAMS: Final[frozenset[BrokenKind]] = frozenset({
    "overflow", "second overflow", "drain", "outfall", "hose", "feed line", "feed outlet", "mains pressure",
    "mains off", "carbon", "chloramine", "power", "board", "circuit", "device",
})  # fmt: skip
"""What does its harm when a feed runs."""

ANY_TIME: Final[frozenset[BrokenKind]] = frozenset({
    "feed valve", "vat pump", "hand hose", "pane", "air pump", "ring pipe", "air tap", "diffuser", "heater on",
    "heater off",
})  # fmt: skip
"""What is as bad at any hour: only the time nobody looks counts."""


# --- looks --------------------------------------------------------------------------------------------------------


def next_look(looks: Iterable[Second], clock: Second) -> Second | None:
    """Time from a moment of the day to the first look after it; one at that very moment is over. None without looks.

    >>> looks = (6.75 * 3600, 18.5 * 3600)
    >>> next_look(looks, 18.5 * 3600) / 3600, next_look(looks, 6.0 * 3600) / 3600
    (12.25, 0.75)
    """
    return min((((look - clock) % DAY) or DAY for look in looks), default=None)


def gap_from(study: Study, clock: Second) -> Second:
    """How long nobody looks after a moment of the day; what is assumed where the plan does not say."""
    found = next_look(study.room.looks, clock)
    return assumed(study.room, "people.look_gap").value if found is None else found


def longest_gap(looks: Iterable[Second]) -> Second | None:
    """The longest time between two looks; None without looks.

    >>> longest_gap((6.75 * 3600, 18.5 * 3600)) / 3600
    12.25
    """
    times = tuple(looks)
    return max((next_look(times, look) or DAY for look in times), default=None)


def gap_is_stated(room: Room) -> bool:
    """Whether the plan says when somebody looks."""
    return bool(room.looks)


def absence_of(room: Room) -> Second | None:
    """The longest time nobody at all looks: the absence, or less where a helper comes."""
    if room.longest_absence is None:
        return None
    helper = longest_gap(room.helper_looks)
    absence = room.longest_absence.value
    return absence if helper is None else min(absence, helper)


def worst_clocks(study: Study, fault: Fault) -> tuple[Second, ...]:
    """Times of day a fault is tried at: just after a look, and just before a program where it waits for water.

    What begins later between two looks is found at the same look and has done less by then. Of looks after which no
    program runs, only the one the longest gap follows is tried for a fault that waits for one.

    >>> fault = Fault(name="power cut", group="power cut", broken=())
    >>> from tankwright.study import work_out
    >>> room = Room(title="", display="metric", spaces=(), racks=(), tanks=(), looks=(3600.0, 36000.0))
    >>> worst_clocks(work_out(room, frozenset()), fault)
    (36000.0, 3600.0)
    """
    room = study.room
    starts = tuple(dict.fromkeys(program.start % DAY for feed in room.feeds for program in feed.programs))
    kinds = {part.kind for part in fault.broken}
    looks = sorted(room.looks, key=lambda look: -(next_look(room.looks, look) or DAY))
    if kinds and kinds <= ANY_TIME:
        return tuple(looks[:1]) or (EVENING,)
    waits = bool(kinds & OF_PROGRAMS) and bool(starts)
    chosen = list(looks)
    if waits:
        watered = [look for look in looks if _runs_before_next(room.looks, look, starts)]
        chosen = list(dict.fromkeys((*looks[:1], *watered)))
        chosen += [(start - JUST_BEFORE) % DAY for start in starts]
    return tuple(dict.fromkeys(chosen)) or (EVENING,)


def _runs_before_next(looks: tuple[Second, ...], look: Second, starts: tuple[Second, ...]) -> bool:
    gap = next_look(looks, look) or DAY
    return any((start - look) % DAY < gap for start in starts)


# --- alarms -------------------------------------------------------------------------------------------------------


def noticed(
    study: Study,
    broken: Room,
    setting: Setting,
    water: WaterCourse,
    warmth: WarmthCourse | None,
    life: LifeCourse | None = None,  # noqa: ARG001 - no alarm of a plan watches what lives in the water
    events: tuple[Event, ...] = (),
) -> tuple[Second, str]:
    """When somebody knows, and which alarm told them ("": they looked)."""
    seen, told = gap_from(study, setting.clock), ""
    for alarm in broken.alarms:
        at = calls_at(study, broken, alarm, water, warmth, events)
        if at is not None and at + alarm.within.value < seen:
            seen, told = at + alarm.within.value, alarm.id
    return seen, told


def calls_at(
    study: Study,
    broken: Room,
    alarm: AlarmPlace,
    water: WaterCourse,
    warmth: WarmthCourse | None,
    events: tuple[Event, ...] = (),
) -> Second | None:
    """When an alarm calls, None when it does not, or has no power to when it should."""
    begins = _begins(broken, events)
    crossed = min(_crossings(study, broken, alarm, water, warmth, begins), default=None)
    if crossed is None:
        return None
    silent = None if alarm.battery_backed else _dead_from(broken, alarm, begins)
    return crossed if silent is None or crossed < silent else None


def _begins(broken: Room, events: tuple[Event, ...]) -> tuple[Second, ...]:
    """When each thing of a broken room broke: at once, or when something led to it."""
    led = {event.where: event.time for event in reversed(events) if event.what in LEAD_TO}
    return tuple(led.get(one.what, 0.0) if one.what or one == EMPTY else 0.0 for one in broken.broken)


def _at(broken: Room, begins: tuple[Second, ...], time: Second) -> Room:
    """The room as it was at a time, for what has power."""
    so_far = (one for one, begun in zip(broken.broken, begins, strict=True) if begun <= time)
    return replace(broken, broken=tuple(so_far))


def _dead_from(broken: Room, alarm: AlarmPlace, begins: tuple[Second, ...]) -> Second | None:
    """When an alarm without a battery loses its power; one on no board only loses it with all."""
    for time in sorted(set(begins)):
        then = _at(broken, begins, time)
        if power_is_cut(then) or any(board.id == alarm.board for board in dead_boards(then)):
            return time
    return None


def _crossings(
    study: Study,
    broken: Room,
    alarm: AlarmPlace,
    water: WaterCourse,
    warmth: WarmthCourse | None,
    begins: tuple[Second, ...],
) -> Iterator[Second]:
    """Every first moment something an alarm watches is where it calls."""
    if alarm.watches == "power":
        yield from _without_power(broken, alarm, begins)
    elif alarm.watches == "air pressure":
        yield from _without_air(study, broken, alarm, begins)
    elif alarm.watches == "floor water":
        yield from _wet(broken, alarm, water)
    elif alarm.watches == "level" and alarm.of == "vat":
        for name in alarm.names:
            if name in water.vats_named:
                yield from _first(water.times, -water.vats[:, water.vats_named.index(name)], 0.0)
    elif alarm.watches == "level":
        still = {tank.id: tank.level for tank in broken.tanks}
        yield from _beyond(alarm, water.times, water.tanks, water.level, still)
    elif warmth is not None and alarm.of == "space":
        yield from _beyond(alarm, warmth.times, warmth.spaces, warmth.air, {})
    elif warmth is not None:
        wanted = {one.tank: one.wanted_temperature.value for one in broken.lives} if alarm.of_wanted else {}
        yield from _beyond(alarm, warmth.times, warmth.tanks, warmth.water, wanted)


def _beyond(
    alarm: AlarmPlace, times: Array, named: tuple[str, ...], course: Array, usual: dict[str, float]
) -> Iterator[Second]:
    """When a course first leaves what an alarm lets pass; its ends are counted from what is usual, if that is known."""
    for index, name in enumerate(named):
        if name not in alarm.names or (alarm.of_wanted and name not in usual):
            continue
        base = usual.get(name, 0.0)
        if alarm.high is not None:
            yield from _first(times, course[:, index], base + alarm.high.value)
        if alarm.low is not None:
            yield from _first(times, -course[:, index], -(base + alarm.low.value))


def _first(times: Array, course: Array, limit: float) -> Iterator[Second]:
    """The first moment a course is at or over a limit, if it ever is."""
    time = crossing(times, course, limit)
    if time < math.inf:
        yield time


def _wet(broken: Room, alarm: AlarmPlace, water: WaterCourse) -> Iterator[Second]:
    if alarm.high is None:
        return
    for index, space in enumerate(water.spaces):
        if space in alarm.names:
            yield from _first(
                water.times, water.floor[:, index], wets_sensor(broken, space, alarm.high.value)
            )


def wets_sensor(room: Room, space: str, depth: Metre) -> CubicMetre:
    """The water on a floor at which a sensor stands in so much of it.

    A film is never thinner than its own skin allows, so a sensor that calls in less than that is reached with the
    film: where it lies in its way nobody knows, an assumed share of the floor is wet by then. One that wants more
    waits until the whole floor is that deep.
    """
    film = least_depth(room)
    if depth <= film:
        return assumed(room, "alarm.wet_share").value * film * floor_area(room, space)
    volume = depth * floor_area(room, space)
    return volume if volume <= leaves_by_door(room, space) else math.inf


def _without_power(broken: Room, alarm: AlarmPlace, begins: tuple[Second, ...]) -> Iterator[Second]:
    for time in sorted(set(begins)):
        then = _at(broken, begins, time)
        off = {board.id for board in dead_boards(then)} if alarm.of == "board" else _dead_circuits(then)
        if power_is_cut(then) or (alarm.of != "supply" and not off.isdisjoint(alarm.names)):
            yield time
            return


def _dead_circuits(room: Room) -> set[str]:
    circuits = room.power.circuits if room.power is not None else ()
    broken = {(one.kind, one.what) for one in room.broken}
    return {one.id for one in circuits if ("circuit", one.id) in broken or ("device", one.device) in broken}


def _without_air(
    study: Study, broken: Room, alarm: AlarmPlace, begins: tuple[Second, ...]
) -> Iterator[Second]:
    if alarm.low is None:
        return
    healthy = healthy_air(study).pressures
    for time in sorted(set(begins)):
        held = broken_air(study, _at(broken, begins, time)).pressures
        for run in alarm.names:
            least = alarm.low.value * (healthy.get(run, 0.0) if alarm.of_running else 1.0)
            if run in held and held[run] < least:
                yield time
                return
