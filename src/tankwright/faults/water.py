"""Where the water of a broken room goes: the level of every tank in time, and what is on the floor.

    course = water_course(study, broken, Setting(clock=18.5 * 3600, horizon=216_000.0))

Tanks start as their daily routine leaves them at that time of day. A tank whose way out is free is followed in closed
form (`water_path`); tanks whose shared drain stands full act on each other and are followed together (`water_group`).
"""

from __future__ import annotations

from dataclasses import replace

from tankwright.faults.model import Setting, WaterCourse
from tankwright.faults.water_run import WaterRun
from tankwright.room.model import Room
from tankwright.study import Study

__all__ = ["water_course"]


def water_course(
    study: Study, broken: Room, setting: Setting, *, start: WaterCourse | None = None
) -> WaterCourse:
    """Follow the water of a room in which things are broken.

    Args:
        study: of the healthy room.
        broken: the same room with `Room.broken` filled; only that is read of it.
        setting: the time of day at which it breaks (or, with `start`, goes on), and how long it is followed.
        start: a course so far; this one goes on from its last row, its times counted from nothing again.

    Raises nothing: what cannot be followed is named in `not_computed`.
    """
    ill = replace(study.room, broken=broken.broken)
    return WaterRun(study=study, room=ill, setting=setting, start=start).course()
