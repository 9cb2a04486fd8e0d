"""What lives in the tanks through a fault: oxygen, ammonia and chlorine over time, and when fish come to harm.

What the fault cannot touch stays at the level it had in the routine of the room, and nothing is counted as its harm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from tankwright.faults.airing import AIR_KINDS, POWER_KINDS, Airing, broken_air, healthy_air
from tankwright.faults.ammonia import ammonia_course
from tankwright.faults.chlorine import broken_waters, chlorine_course, routine_chlorine, routine_peaks
from tankwright.faults.life_harms import (
    ALREADY,
    harms_of,
    least_levels,
    passings,
    told,
    warmth_limits,
    with_fish,
    without_word,
)
from tankwright.faults.model import Array, Harm, HarmKind, LifeCourse, Setting, WarmthCourse, WaterCourse
from tankwright.faults.oxygen import oxygen_course
from tankwright.faults.pieces import Pieces, crossed, pieces_of
from tankwright.physics.disinfectants import CHLORINE_LIMIT
from tankwright.room.assumed import assumed
from tankwright.room.model import Room
from tankwright.room.model_broken import BrokenKind
from tankwright.study import Study
from tankwright.systems.water_nitrogen import AMMONIA_OF_ITS_NITROGEN

_INFLOW: Final[frozenset[BrokenKind]] = frozenset(
    {"feed valve", "feed line", "feed outlet", "hand hose", "mains pressure", "mains off", "vat pump"}
)
_LOSS: Final[frozenset[BrokenKind]] = frozenset({"pane", "feed outlet", "feed line", "mains off", "air pump"})
_HEAT: Final[frozenset[BrokenKind]] = frozenset(
    {"heater on", "heater off", "room heater", "room cooler", "lights", "pane"}
)  # fmt: skip

TOUCHED: Final[dict[HarmKind, frozenset[str]]] = {
    "oxygen": AIR_KINDS | POWER_KINDS | _HEAT | _LOSS,
    "ammonia": AIR_KINDS | POWER_KINDS | _INFLOW | _LOSS | {"chloramine"},
    "chlorine": _INFLOW | {"carbon", "chloramine"},
    "cold": POWER_KINDS | _HEAT | _INFLOW,
    "hot": POWER_KINDS | _HEAT | _INFLOW,
    "dry": _LOSS | _INFLOW | POWER_KINDS | AIR_KINDS,
}
"""By which kinds of fault each harm can come; others leave the routine of the room alone."""

UNKNOWN: Final = "the plan does not say what fish live there, so no harm to them is counted"
"""Why a tank is left out."""


@dataclass(slots=True)
class _Life:
    """What is gathered on the way."""

    names: tuple[str, ...]
    fish: frozenset[str]
    going_on: bool
    harms: list[Harm] = field(default_factory=list)
    perhaps: list[Harm] = field(default_factory=list)
    missing: list[tuple[str, str]] = field(default_factory=list)

    def count(self, kind: HarmKind, times: Array, values: Array) -> None:
        """Adds the harms of a kind; a stage that goes on from another has no past of its own to tell."""
        harms, perhaps, already = harms_of(kind, self.names, times, values.tolist(), self.fish)
        self.harms += harms
        self.perhaps += perhaps
        if not self.going_on:
            self.missing += told(already, ALREADY[kind])

    def lacking(self, course: Array, reason: str) -> None:
        """Names the tanks with fish of which some row of a course is not known."""
        gone = np.isnan(course).any(axis=0)
        names = [self.names[number] for number in np.flatnonzero(gone)]
        self.missing += told([name for name in names if name in self.fish], reason)


def life_course(
    study: Study,
    broken: Room,
    setting: Setting,
    water: WaterCourse,
    warmth: WarmthCourse | None,
    *,
    start: LifeCourse | None = None,
) -> LifeCourse:
    """Oxygen, ammonia and chlorine of every tank, and the harms of its fish, from the fault on.

    `study` is of the healthy room, `broken` the room with `Room.broken`. `start` is the course so far: this one goes on
    from its last row.
    """
    room, kinds = study.room, {one.kind for one in broken.broken}
    names = tuple(tank.id for tank in room.tanks)
    touched = {kind for kind, by in TOUCHED.items() if not by.isdisjoint(kinds)}
    life = _Life(names=names, fish=with_fish(room.lives), going_on=start is not None)
    if not names or not touched:
        return _untouched(study, setting, water, names, start)
    pieces = pieces_of(names, _still(room), water, warmth)
    healthy, air = healthy_air(study), broken_air(study, broken)
    life.missing += [one for one in air.unknown if one not in healthy.unknown]
    if unsaid := without_word(room):
        life.missing += told(unsaid, UNKNOWN)
    held = start.held if start is not None and start.held is not None else None
    oxygen = _oxygen(life, study, pieces, air, touched, start)
    total, gas = _ammonia(life, study, broken, pieces, (healthy, air), touched, held)
    levels = _chlorine(life, study, broken, pieces, setting, touched, held)
    if not touched.isdisjoint(("cold", "hot")):
        _warmth(life, room, pieces, warmth)
    if "dry" in touched:
        limits = least_levels(room)
        life.count("dry", passings(pieces, pieces.level, limits, falling=True), limits[1])
    return LifeCourse(
        times=pieces.times, tanks=names, oxygen=oxygen, ammonia=gas, chlorine=levels[1],
        harms=tuple(sorted(life.harms, key=lambda one: one.time)), perhaps=tuple(life.perhaps),
        held=np.stack([total[:, -1], levels[:, -1]]), not_computed=tuple(dict.fromkeys(life.missing)),
    )  # fmt: skip


def _still(room: Room) -> tuple[Array, Array, Array]:
    """Volumes, levels and temperatures as the room is kept."""
    lives = {one.tank: one.wanted_temperature.value for one in room.lives}
    return (
        np.array([tank.water_volume for tank in room.tanks]),
        np.array([tank.level for tank in room.tanks]),
        np.array([lives.get(tank.id, math.nan) for tank in room.tanks]),
    )


def _untouched(
    study: Study, setting: Setting, water: WaterCourse, names: tuple[str, ...], start: LifeCourse | None
) -> LifeCourse:
    """The levels of the routine, told at the beginning and the end."""
    times = water.times[[0, -1]]
    if start is not None:
        oxygen, ammonia, chlorine = start.oxygen[:, -1], start.ammonia[-1], start.chlorine[-1]
    else:
        rows = {one.tank: one for one in study.oxygen.tanks} if study.oxygen is not None else {}
        steady = [rows[name].steady if name in rows else None for name in names]
        oxygen = np.array([[math.nan if one is None else one.value for one in steady]] * 3)
        life = study.water.life if study.water is not None else None
        gas = (
            {
                one.tank: one.unionised.value / AMMONIA_OF_ITS_NITROGEN
                for one in life.nitrogen
                if one.unionised
            }
            if life
            else {}
        )
        ammonia = np.array([gas.get(name, math.nan) for name in names])
        chlorine = routine_chlorine(study, names, setting.clock)
    return LifeCourse(
        times=times, tanks=names, oxygen=np.repeat(oxygen[:, None], 2, axis=1),
        ammonia=np.repeat(ammonia[None], 2, axis=0), chlorine=np.repeat(chlorine[None], 2, axis=0),
        held=start.held if start is not None else None,
    )  # fmt: skip


def _oxygen(
    life: _Life, study: Study, pieces: Pieces, air: Airing, touched: set[HarmKind], start: LifeCourse | None
) -> Array:
    result = study.oxygen
    if result is None or result.laws is None:
        if "oxygen" in touched:
            life.missing.append(
                ("oxygen", "was not worked out in the healthy room, so it is not in a broken one")
            )
        return np.full((3, len(pieces.times), len(life.names)), math.nan)
    course = oxygen_course(study, pieces, air.flows, start=start.oxygen[:, -1] if start is not None else None)
    if "oxygen" in touched:
        limit = np.full((len(pieces.times), len(life.names)), result.laws.trouble.value)
        times = crossed(pieces, course.level, course.gain, course.rate, limit, falling=True)
        life.count("oxygen", np.where(course.moved, times, math.inf), limit[0])
        life.lacking(
            course.level[1, :1], "its oxygen is not known: how much its fish weigh, or its air, is not"
        )
        later = np.where(np.isnan(course.level[1, 0]), 0.0, course.level[1])
        life.lacking(later, "its oxygen: the water leaves the temperatures its formulas reach")
    return course.level


def _ammonia(
    life: _Life,
    study: Study,
    broken: Room,
    pieces: Pieces,
    airs: tuple[Airing, Airing],
    touched: set[HarmKind],
    held: Array | None,
) -> tuple[Array, Array]:
    """Total ammonia (3 x times x tanks), and the gas of the value."""
    if study.room.laws is None or study.water is None or study.water.life is None:
        nothing = np.full((3, len(pieces.times), len(life.names)), math.nan)
        return nothing, nothing[1]
    waters, chloramine = broken_waters(study, broken.broken)
    course = ammonia_course(
        study, pieces, _air_left(life.names, *airs), assumed(study.room, "filter.without_air"), waters, chloramine,
        start=held[0] if held is not None else None,
    )  # fmt: skip
    if "ammonia" in touched:
        times = crossed(pieces, course.total, course.gain, course.rate, course.limit, falling=False)
        times = np.where(course.moved, times, np.inf)
        times[:, course.already & np.isfinite(times[1])] = 0.0
        life.count("ammonia", times, course.limit[0])
        life.lacking(
            course.total[1, :1], "its ammonia: its feed is not known, or its filter does not keep up as it is"
        )
        life.lacking(course.limit[:1], "its ammonia: the pH of its water is not known")
    return course.total, course.unionised


def _air_left(names: tuple[str, ...], healthy: Airing, now: Airing) -> Array:
    """The share of its air each tank has left; a filter that never had any goes on as it does."""
    left = np.ones(len(names))
    for number, name in enumerate(names):
        had = healthy.flows.get(name, 0.0)
        if had > 0.0:
            left[number] = min(now.flows.get(name, math.nan) / had, 1.0)
    return left


def _chlorine(
    life: _Life,
    study: Study,
    broken: Room,
    pieces: Pieces,
    setting: Setting,
    touched: set[HarmKind],
    held: Array | None,
) -> Array:
    """Chlorine (3 x times x tanks)."""
    if study.room.laws is None:
        return np.full((3, len(pieces.times), len(life.names)), math.nan)
    waters, _ = broken_waters(study, broken.broken)
    course = chlorine_course(
        study, pieces, waters, setting.clock, start=held[1] if held is not None else None
    )
    if "chlorine" in touched:
        limit = np.full((len(pieces.times), len(life.names)), CHLORINE_LIMIT)
        times = crossed(pieces, course.level, course.gain, course.rate, limit, falling=False)
        usual = routine_peaks(study, life.names) >= CHLORINE_LIMIT
        times[:, usual & np.isfinite(times[1])] = 0.0
        life.count("chlorine", times, limit[0])
        life.lacking(course.level[1], "the chlorine of the water that runs in is not known")
    return course.level


def _warmth(life: _Life, room: Room, pieces: Pieces, warmth: WarmthCourse | None) -> None:
    if warmth is None:
        life.missing.append(("warmth", "was not followed, so no cold and no heat is counted as harm"))
        return
    lost = [name for name in life.names if name in life.fish and name not in warmth.tanks]
    life.missing += told(
        lost, "how warm it stays was not followed, so no cold and no heat is counted as harm"
    )
    cold, hot = warmth_limits(room)
    life.count("cold", passings(pieces, pieces.warmth, cold, falling=True), cold[1])
    life.count("hot", passings(pieces, pieces.warmth, hot, falling=False), hot[1])
