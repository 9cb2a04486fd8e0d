"""How warm every tank and every air stays in a broken room: the hour-by-hour engine from the healthy routine on.

    warmth = warmth_course(study, broken_room(study.room, fault.broken), setting, water)

Tanks a fault touches are followed by themselves, the rest by their groups. Steps are short after a sudden change and
longer later on; within a step heat and moisture balance to rounding. What changes nothing of warmth costs
nothing: the course is then the routine itself.

What is left out: water on a floor neither warms nor cools the air; thermostats hold exactly; a heater out of the water
gives it nothing and the air nothing; what drips by a program is spread over its day (`warmth_water`); fans and dryers
hang on no board of a plan, so only a cut to everything stops them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from tankwright.faults.electric import dead_room_coolers, dead_room_heaters
from tankwright.faults.model import Array, Event, Setting, WarmthCourse, WaterCourse
from tankwright.faults.warmth_build import (
    Part,
    broken_drive,
    broken_plant,
    heat_room_of,
    heater_states,
    parts_of,
    still_tanks,
    uncovered,
)
from tankwright.faults.warmth_routine import MeanSeries, Routine, routines
from tankwright.faults.warmth_water import Waters, waters_of
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.systems.heat import NO_CLIMATE, NO_WEATHER
from tankwright.systems.heat_build import evaporation_of
from tankwright.thermal.engine import INTERPRETED_VESSEL_STEPS
from tankwright.thermal.model import Drive, RoomState
from tankwright.thermal.run import RoomRun, RunStatus, run_room
from tankwright.units import Second

LEAST_STEP: Final[Second] = 10.0
FINEST: Final[Second] = 180.0
COARSE: Final[Second] = 900.0
LATER: Final = ((24.0 * 3600.0, 1800.0), (72.0 * 3600.0, 3600.0))
"""Steps come to a quarter of an hour, and from so long after a change on to half an hour and an hour."""

ROUTINE_STEP: Final[Second] = 3600.0

STEPS: Final = 20
"""Steps of one length after a sudden change, before the next, three times as long."""

FASTEST_SHARE: Final = 1.0 / 60.0
"""A first step over the shortest time constant of a tank in which water runs."""

ALIKE: Final = 0.02
"""K by which a later stretch may begin off the routine and still be it."""

FULL: Final = 0.999
"""Share of its power from which on a machine gives all it can."""


def warmth_course(
    study: Study, ill: Room, setting: Setting, water: WaterCourse, *, start: WarmthCourse | None = None
) -> WarmthCourse:
    """Warmth from the moment a fault begins; with `start` it goes on from the end of that course.

    Without a climate or a weather no tank is followed, and `not_computed` says so.
    """
    if study.room.climate is None or study.weather is None:
        why = NO_CLIMATE if study.room.climate is None else NO_WEATHER
        return _course(np.array([0.0, setting.horizon]), (), [], (("warmth and damp", why),))
    waters = waters_of(study, ill, water, setting.clock, setting.horizon)
    seen: list[_Seen] = []
    missing: list[tuple[str, str]] = []
    days = routines(study, setting.season)
    plans = [_planned(day, ill, setting, water, waters, start) for day in days]
    busy = any(plan.followed for plan in plans)
    pieces = _pieces(waters, _quickest(plans, len(waters.sudden))) if busy else ()
    edges = (
        np.unique(np.concatenate([piece.edges for piece in pieces]))
        if busy
        else np.linspace(0.0, setting.horizon, max(2, int(np.ceil(setting.horizon / ROUTINE_STEP)) + 1))
    )
    for plan in plans:
        if not plan.day.settled:
            missing.append((f"warmth of {plan.day.built.id}", "its healthy day did not settle"))
            continue
        if start is not None and plan.day.built.id not in start.spaces:
            continue
        found = (
            _followed(plan, ill, setting, pieces, edges)
            if plan.followed
            else _as_always(plan, setting, edges)
        )
        if not found.settled:
            missing.append(
                (
                    f"warmth of {plan.day.built.id}",
                    "its heat balance did not settle: it is not to be relied on",
                )
            )
            if start is None:
                continue
        seen.append(found)
    known = {name for one in seen for name in one.tanks}
    missing += [
        (f"warmth of {tank.id}", "it holds no water, or stands in no space whose warmth is known")
        for tank in study.room.tanks
        if tank.id not in known
    ]
    course = _course(edges, water.tanks, seen, tuple(missing))
    return replace(course, events=tuple(_events(study.room, ill, seen, water, start is None)))


# --- what is followed ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Plan:
    """A space, whether a fault touches it, and its tanks as they are then followed."""

    day: Routine
    followed: bool
    begin: Array
    parts: tuple[Part, ...]
    names: tuple[str, ...]
    columns: tuple[int, ...]
    warmth: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """A space as it went. `heats_full` is when its heater first gave all it has, though it does not in the routine."""

    space: str
    tanks: tuple[str, ...]
    water: Array
    rows: Array
    imbalance: float = 0.0
    heats_full: Second | None = None
    settled: bool = field(default=True)


def _planned(
    day: Routine, ill: Room, setting: Setting, water: WaterCourse, waters: Waters, start: WarmthCourse | None
) -> _Plan:
    built = day.built
    begin = day.rows(np.array([setting.clock]))[0]
    column = {name: number for number, name in enumerate(water.tanks)}
    names = tuple(name for group in built.groups for name in group.tanks if name in column)
    columns = tuple(column[name] for name in names)
    warmth = np.full(len(column), np.nan)
    for number, group in enumerate(built.groups):
        for name in group.tanks:
            if name in column:
                warmth[column[name]] = begin[3 + number]
    moved = False
    if start is not None and built.id in start.spaces and day.settled:
        moved = _goes_on(start, built.id, begin, names, column, warmth)
    heaters = heater_states(day, ill) if day.settled else {}
    followed = day.settled and (
        moved
        or bool(heaters)
        or not set(columns).isdisjoint(waters.tanks)
        or not still_tanks(built.room, ill).isdisjoint(names)
        or broken_plant(day, ill) != built.heat_room.plant
        or broken_drive(day, ill) is not day.drive
    )
    return _Plan(
        day=day, followed=followed, begin=begin, names=names, columns=columns, warmth=warmth,
        parts=parts_of(day, ill, water, waters, warmth, heaters) if followed else (),
    )  # fmt: skip


def _goes_on(
    start: WarmthCourse, space: str, begin: Array, names: Sequence[str], column: dict[str, int], warmth: Array
) -> bool:
    """Take the last row of a course over into what a space begins with; whether that is another than the routine."""
    at = start.spaces.index(space)
    row = [start.air[-1, at]]
    if start.walls.size:
        row += [start.walls[-1, at], start.moisture[-1, at]]
    apart = float(np.abs(begin[: min(len(row), 2)] - np.array(row[:2])).max())
    begin[: len(row)] = row
    last = dict(zip(start.tanks, start.water[-1], strict=True))
    for name in names:
        if name in last:
            apart = max(apart, abs(float(last[name]) - float(warmth[column[name]])))
            warmth[column[name]] = last[name]
    return apart > ALIKE


# --- steps of time ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Piece:
    """Steps of one length within one stretch of `Waters`. `first` is its first step's number among all."""

    stretch: int
    first: int
    edges: Array


def _quickest(plans: Sequence[_Plan], stretches: int) -> Array:
    """The shortest time constant in each stretch of a tank that is followed and not nearly empty."""
    found = np.full(stretches, FINEST / FASTEST_SHARE)
    for plan in plans:
        for part in plan.parts:
            vessel = plan.day.built.heat_room.vessels[part.group]
            if part.flow is not None and part.more is not None:
                held = vessel.capacity + part.more
                tau = held / (part.flow + vessel.to_air)
                found = np.where(held > 0.2 * vessel.capacity, np.minimum(found, tau), found)
    return found


def _pieces(waters: Waters, quickest: Array) -> tuple[_Piece, ...]:
    pieces: list[_Piece] = []
    since, first, finest = 0.0, 0, FINEST
    for stretch, sudden in enumerate(waters.sudden):
        begin, end = float(waters.edges[stretch]), float(waters.edges[stretch + 1])
        if sudden:
            since, finest = begin, max(min(FASTEST_SHARE * float(quickest[stretch]), FINEST), LEAST_STEP)
        for here, there, step in _scheduled(begin, end, since, finest):
            count = max(1, int(np.ceil((there - here) / step - 1e-6)))
            pieces.append(_Piece(stretch=stretch, first=first, edges=np.linspace(here, there, count + 1)))
            first += count
    return tuple(pieces)


def _scheduled(
    begin: Second, end: Second, since: Second, finest: Second
) -> Iterator[tuple[Second, Second, Second]]:
    """Parts of a stretch with the step each is gone through in: longer, the longer ago the last change."""
    ages = _ages(finest)
    here = begin
    step, until = next(ages)
    while here < end:
        while since + until <= here:
            step, until = next(ages)
        there = min(end, since + until)
        if end - there < 0.5 * step:
            there = end
        yield here, there, step
        here = there


def _ages(finest: Second) -> Iterator[tuple[Second, Second]]:
    """Steps, and the age of the change up to which each is taken."""
    step, until = finest, STEPS * finest
    while step < COARSE:
        yield step, until
        step = min(3.0 * step, COARSE)
        until += STEPS * step
    for age, longer in LATER:
        yield step, age
        step = longer
    yield step, np.inf


# --- one space ----------------------------------------------------------------------------------------------------


def _as_always(plan: _Plan, setting: Setting, edges: Array) -> _Seen:
    rows = plan.day.rows(setting.clock + edges)
    groups = {name: number for number, group in enumerate(plan.day.built.groups) for name in group.tanks}
    return _Seen(
        space=plan.day.built.id, tanks=plan.names, rows=rows[:, :3],
        water=rows[:, [3 + groups[name] for name in plan.names]],
    )  # fmt: skip


def _followed(plan: _Plan, ill: Room, setting: Setting, pieces: Sequence[_Piece], edges: Array) -> _Seen:
    day, parts, built = plan.day, plan.parts, plan.day.built
    drive, plant, law = broken_drive(day, ill), broken_plant(day, ill), evaporation_of(built)
    means = MeanSeries(drive).between(setting.clock + edges)
    groups = np.array([part.group for part in parts], dtype=int)
    state = RoomState(
        air=float(plan.begin[0]), mass=float(plan.begin[1]), slab=float(plan.begin[0]),
        humidity=float(plan.begin[2]),
        water=tuple(float(np.mean(plan.warmth[list(part.columns)])) for part in parts),
    )  # fmt: skip
    rows, waters = [np.array([[state.air, state.mass, state.humidity]])], [np.array([state.water])]
    worst, settled, full = 0.0, True, None
    compiled = (len(edges) - 1) * len(
        parts
    ) > INTERPRETED_VESSEL_STEPS  # by size alone: the same wherever it runs
    heating = plant.heating_power
    often_full = heating > 0.0 and float(day.run.plant_heat.max(initial=0.0)) >= FULL * heating
    for piece in pieces:
        here = slice(piece.first, piece.first + len(piece.edges) - 1)
        stretch = {name: series[here] for name, series in means.items()}
        arriving = stretch["inflow_temperature"][:, groups] if built.groups else stretch["inflow_temperature"]
        shares = np.array([0.0 if one.hand is None else one.hand[piece.stretch] for one in parts])
        stretch["inflow_temperature"] = arriving * (1.0 - shares) + day.hand * shares
        acting = replace(
            drive,
            interval=float(piece.edges[1] - piece.edges[0]),
            vessel_gain=np.array([part.gain(piece.stretch) for part in parts]) if parts else 0.0,
            **stretch,
        )
        room = heat_room_of(day, plant, parts, piece.stretch)
        run = run_room(room, acting, start=state, coefficient=law, compiled=compiled)
        if run.status is not RunStatus.SETTLED:
            settled = False
            break
        worst = max(worst, run.heat_imbalance / _heat_that_moves(room.air.to_outside, acting, run))
        if full is None and not often_full and heating > 0.0 and run.plant_heat.max() >= FULL * heating:
            full = float(piece.edges[int((run.plant_heat >= FULL * heating).argmax())])
        rows.append(np.column_stack([run.air, run.mass, run.humidity]))
        waters.append(run.water)
        state = run.end
    return _assembled(plan, np.vstack(rows), np.vstack(waters), edges, worst, full, settled)


def _heat_that_moves(to_outside: float, drive: Drive, run: RoomRun) -> float:
    """The largest heat that passes anywhere in the room at once, W: what an imbalance is a share of."""
    outside = np.asarray(drive.outside_temperature)
    passing = (to_outside + np.asarray(drive.ventilation_conductance)) * np.abs(outside - run.air)
    given = np.abs(run.plant_heat) + run.vessel_heating.sum(axis=1) + np.abs(np.asarray(drive.air_gain))
    return max(1.0, float((passing + given).max()))


def _assembled(
    plan: _Plan, rows: Array, waters: Array, edges: Array, worst: float, full: Second | None, settled: bool
) -> _Seen:
    """Each tank from its part; what did not settle is held at its last row, and is said not to be relied on."""
    lacking = len(edges) - len(rows)
    if lacking > 0:
        rows = np.vstack([rows, np.repeat(rows[-1:], lacking, axis=0)])
        waters = np.vstack([waters, np.repeat(waters[-1:], lacking, axis=0)])
    of = {column: number for number, part in enumerate(plan.parts) for column in part.columns}
    water = waters[:, [of[column] for column in plan.columns]]
    water[0] = plan.warmth[list(plan.columns)]
    return _Seen(
        space=plan.day.built.id, tanks=plan.names, water=water, rows=rows, imbalance=worst,
        heats_full=full, settled=settled,
    )  # fmt: skip


# --- together -----------------------------------------------------------------------------------------------------


def _course(
    times: Array, order: Sequence[str], seen: Sequence[_Seen], missing: tuple[tuple[str, str], ...]
) -> WarmthCourse:
    by_tank = {name: (one, number) for one in seen for number, name in enumerate(one.tanks)}
    tanks = tuple(name for name in order if name in by_tank)
    none = np.zeros((len(times), 0))
    whole = np.hstack([one.water for one in seen]) if seen else none
    place = {name: number for number, name in enumerate(name for one in seen for name in one.tanks)}
    rows = [np.column_stack([one.rows[:, kind] for one in seen]) if seen else none for kind in range(3)]
    return WarmthCourse(
        times=times,
        tanks=tanks,
        spaces=tuple(one.space for one in seen),
        water=whole[:, [place[name] for name in tanks]] if tanks else none,
        air=rows[0],
        walls=rows[1],
        moisture=rows[2],
        imbalance=max((one.imbalance for one in seen), default=0.0),
        not_computed=missing,
    )


def _events(
    healthy: Room, ill: Room, seen: Sequence[_Seen], water: WaterCourse, first: bool
) -> Iterator[Event]:
    followed = {one.space for one in seen}
    if first:
        for space in sorted(followed & dead_room_heaters(ill)):
            yield Event(time=0.0, what="heating off", where=space)
        for space in sorted(followed & dead_room_coolers(ill)):
            yield Event(time=0.0, what="cooling off", where=space)
    for one in seen:
        if one.heats_full is not None:
            yield Event(time=one.heats_full, what="heater at full power", where=one.space)
    for time, name in uncovered(healthy, water, [name for one in seen for name in one.tanks]):
        yield Event(time=time, what="heater uncovered", where=name)
