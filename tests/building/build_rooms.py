"""Rooms to be built, and short hands for their tasks and calendars."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from typing import NamedTuple

from tankwright.building.crew import Crew, crew_of
from tankwright.building.marks import Mark
from tankwright.building.model import Schedule, Task
from tankwright.building.schedule import schedule
from tankwright.building.tasks import tasks_of
from tankwright.building.tasks_shared import Work
from tankwright.plan.models import Plan
from tankwright.room.model import Room
from tankwright.workspace.opened import lay_plan, lay_text

ROOT = Path(__file__).parents[2]
EXAMPLES = ("cellar.toml", "cellar_mended.toml", "garage.toml", "hall.toml")
GOOD_PLAN = (ROOT / "tests" / "plan" / "good_plan.toml").read_text("utf-8")
SATURDAY = date(2026, 12, 5)

WISHED = GOOD_PLAN.replace('ids = "A1..A2"', 'ids = "A1..A2", state = "wished"').replace(
    'ids = "A3, A4"', 'ids = "A3, A4", state = "wished"'
)
"""The good plan with tanks that are still to come."""

GLUED = WISHED.replace("[tank_kind.long90]\n", '[tank_kind.long90]\nmade = "glued here"\ntop = "braced"\n')


class Site(NamedTuple):
    """A plan and all that its build hangs on."""

    plan: Plan
    room: Room
    tasks: tuple[Task, ...]
    crew: Crew

    def task(self, name: str) -> Task:
        return next(one for one in self.tasks if one.id == name)

    @property
    def work(self) -> Work:
        return Work(plan=self.plan, room=self.room)

    def schedule(self, today: date = SATURDAY, *marks: Mark) -> Schedule:
        return schedule(self.tasks, self.crew, today, marks)


def site(text: str = GOOD_PLAN, build: str = "") -> Site:
    """The site of a plan's text, with lines under its [build]."""
    laid = lay_text(Path("plan.toml"), text + (f"\n[build]\n{build}\n" if build else ""))
    assert laid.room is not None
    assert laid.read.plan is not None, laid.read.findings
    return _site(laid.read.plan, laid.room)


@cache
def example(name: str) -> Site:
    """The site of an example."""
    laid = lay_plan(ROOT / "examples" / name)
    assert laid.room is not None
    assert laid.read.plan is not None
    return _site(laid.read.plan, laid.room)


def _site(plan: Plan, room: Room) -> Site:
    return Site(plan, room, tasks_of(plan, room), crew_of(plan, room))
