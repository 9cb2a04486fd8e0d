"""The build of the plan as it stands: its tasks, who builds, the calendar from today on, each made once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from threading import Lock
from typing import Final

from tankwright.building.crew import Crew, crew_of
from tankwright.building.marks import Mark, standing
from tankwright.building.model import Schedule, Task
from tankwright.building.schedule import schedule
from tankwright.building.tasks import tasks_of
from tankwright.building.tasks_shared import Work
from tankwright.building.troubles import judge_build
from tankwright.checks.all import worst_first
from tankwright.finding import Finding
from tankwright.plan.models import Plan
from tankwright.room.model import Room
from tankwright.takeoff.model import Takeoff
from tankwright.web.made import MadeOnce
from tankwright.workspace.build_marks import BuildMarks
from tankwright.workspace.opened import Opened
from tankwright.workspace.outcomes import Snapshot


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """What a plan takes to build, whoever did what of it by now. `findings` are about the plan alone."""

    tasks: tuple[Task, ...]
    by_id: Mapping[str, Task]
    crew: Crew
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """A site with its calendar from `today` on. `marks` are those that stand, `revision` how many were ever made."""

    site: Site
    today: date
    marks: Mapping[str, Mark]
    revision: int
    plan: Schedule

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is to be said of the build, worst first."""
        return worst_first((*self.site.findings, *self.plan.findings))


def build_of(snapshot: Snapshot, made_once: MadeOnce, book: BuildMarks, today: date) -> Build | None:
    """The build of the last good plan; None without one, and for a room with nothing to build in it."""
    site = made_once.keep(snapshot, "build site", _site)
    if site is None or not site.tasks:
        return None
    every = book.all()
    marks = standing(every)
    name = ("build calendar", today, tuple(sorted(marks.items(), key=lambda one: one[0])))
    plan = made_once.keep(snapshot, name, lambda _: schedule(site.tasks, site.crew, today, every))
    assert plan is not None
    return Build(site=site, today=today, marks=marks, revision=len(every), plan=plan)


def _site(good: Opened) -> Site | None:
    if good.plan is None or good.room is None or not good.room.racks:
        return None
    work = Work(plan=good.plan, room=good.room, takeoff=_counted(good.plan, good.room))
    tasks, crew = tasks_of(good.plan, good.room, work.takeoff), crew_of(good.plan, good.room)
    return Site(
        tasks=tasks, by_id={task.id: task for task in tasks}, crew=crew, findings=judge_build(work, crew)
    )


_COUNTED: list[tuple[Plan, Room, Takeoff]] = []  # the newest first
_KEPT: Final = 2
_LOCK: Final = Lock()


def _counted(plan: Plan, room: Room) -> Takeoff:
    """The parts of a plan, counted anew unless only [build] has changed: they do not hang on who builds when."""
    from tankwright.takeoff.counting import count_parts  # noqa: PLC0415 - with the graphs it needs, and only here

    bare = plan.model_copy(update={"build": None})
    with _LOCK:
        for before, place, counted in _COUNTED:
            if before == bare and place == room:
                return counted
    counted = count_parts(plan, room)
    with _LOCK:
        _COUNTED.insert(0, (bare, room, counted))
        del _COUNTED[_KEPT:]
    return counted
