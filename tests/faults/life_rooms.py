"""Quiet courses of water and warmth for the tests of life: everything as it is kept unless a test says otherwise."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.life import life_course
from tankwright.faults.model import Harm, HarmKind, LifeCourse, Setting, WarmthCourse, WaterCourse
from tankwright.room.model_broken import Broken
from tankwright.study import Study
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
HORIZON = 216_000.0
EVENING = 66_600.0
Array = NDArray[np.float64]


@cache
def study_of(name: str) -> Study:
    return open_plan(EXAMPLES / name).study


def still_water(
    study: Study,
    *,
    rows: int = 61,
    horizon: float = HORIZON,
    flows: Mapping[str, float] | None = None,
    hand: Mapping[str, float] | None = None,
    shares: Mapping[str, Array] | None = None,
) -> WaterCourse:
    """Water as it stands. `flows` are what each feed brings into every tank, `hand` into one, `shares` what of a tank's
    water there is in each row."""
    tanks = study.room.tanks
    names = tuple(tank.id for tank in tanks)
    volume = np.tile([tank.water_volume for tank in tanks], (rows, 1))
    level = np.tile([tank.level for tank in tanks], (rows, 1))
    for name, share in (shares or {}).items():
        tank, column = study.room.tank(name), names.index(name)
        bed = tank.floor_inside + tank.substrate_depth
        volume[:, column] *= share
        level[:, column] = bed + (tank.level - bed) * share
    poured = np.zeros((rows - 1, len(names)))
    for name, flow in (hand or {}).items():
        poured[:, names.index(name)] = flow
    nothing = np.zeros((rows, 0))
    return WaterCourse(
        times=np.linspace(0.0, horizon, rows), tanks=names, spaces=(), outfalls=(), vats_named=(), drains_named=(),
        sources=(), level=level, volume=volume,
        by_feed={run.id: np.full((rows - 1, len(names)), (flows or {}).get(run.id, 0.0)) for run in study.room.feeds},
        hand=poured, floor=nothing, spilled=nothing, gone=nothing, vats=nothing, drains=nothing, came=nothing,
        backwards=nothing,
    )  # fmt: skip


def warmth_of(study: Study, courses: Mapping[str, Array], *, horizon: float = HORIZON) -> WarmthCourse:
    """Every tank at what it is to have, some as a test says."""
    rows = max((len(course) for course in courses.values()), default=2)
    water = np.tile([life.wanted_temperature.value for life in study.room.lives], (rows, 1))
    names = tuple(life.tank for life in study.room.lives)
    for name, course in courses.items():
        water[:, names.index(name)] = course
    return WarmthCourse(
        times=np.linspace(0.0, horizon, rows), tanks=names, spaces=(), water=water, air=np.zeros((rows, 0))
    )


def lived(
    study: Study,
    *broken: Broken,
    water: WaterCourse | None = None,
    warmth: WarmthCourse | None = None,
    clock: float = EVENING,
    start: LifeCourse | None = None,
) -> LifeCourse:
    """The life of a room with these things broken."""
    course = water if water is not None else still_water(study)
    return life_course(
        study, replace(study.room, broken=broken), Setting(clock=clock, horizon=float(course.times[-1])), course,
        warmth, start=start,
    )  # fmt: skip


def harms_at(life: LifeCourse, kind: HarmKind, tank: str) -> list[Harm]:
    return [one for one in (*life.harms, *life.perhaps) if one.kind == kind and one.where == tank]
