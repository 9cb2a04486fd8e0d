"""What the sheets of one plan are made from: parts, tasks, calendar, each worked out once and only when asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Final

from tankwright.building.crew import crew_of
from tankwright.building.marks import Mark
from tankwright.building.model import Schedule, Task
from tankwright.building.schedule import schedule
from tankwright.building.tasks import tasks_of
from tankwright.display import printable
from tankwright.drawing.paper import Paper
from tankwright.plan.models import Plan
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.systems.glass_full_model import FullPane, HoleMap
from tankwright.workspace.glass_work import drilled, known_map, known_pane, screened, worked_out_glass
from tankwright.workspace.opened import Opened
from tankwright.workspace.parts_work import WorkedParts, worked_out_parts

Progress = Callable[[int, int], None]

_PAPERS: Final[dict[str, tuple[Paper, Paper]]] = {"metric": ("A4", "A3"), "US": ("Letter", "Tabloid")}
"""Paper of tables and of large drawings, by the reader's units."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """How a book is to be made. `today` is its date, `revision` names the state of the plan, `marks` are what of the
    build is done, `address` is where the app is reached in the house, for codes on labels ("" for none). `small` and
    `large` are papers instead of the usual ones."""

    today: date
    revision: str
    marks: tuple[Mark, ...] = ()
    address: str = ""
    small: Paper | None = None
    large: Paper | None = None


class Book:
    """What the sheets of one plan are made from, each thing worked out once and only when a sheet asks for it.

    A `quick` one is for a single sheet that somebody waits for: panes are in full only where that was done before."""

    def __init__(
        self, opened: Opened, asked: Asked, progress: Progress | None = None, *, quick: bool = False
    ) -> None:
        if opened.plan is None or opened.room is None or opened.study is None:
            raise ValueError("a plan that was not worked out has no book")
        self.opened, self.asked = opened, asked
        self.plan: Plan = opened.plan
        self.room: Room = opened.room
        self.study: Study = opened.study
        self.name = opened.path.name
        self.progress = progress
        self.quick = quick

    @property
    def display(self) -> str:
        """The reader's units."""
        return self.room.display

    @property
    def small(self) -> Paper:
        """Paper of tables and drill sheets."""
        return self.asked.small or _PAPERS.get(self.display, _PAPERS["metric"])[0]

    @property
    def large(self) -> Paper:
        """Paper of plan, fronts and schematics."""
        return self.asked.large or _PAPERS.get(self.display, _PAPERS["metric"])[1]

    @property
    def foot(self) -> str:
        """What stands along the foot of every page."""
        return printable(
            f"{self.room.title} · {self.name}, {self.asked.revision} · made {self.asked.today:%Y-%m-%d}"
        )

    @cached_property
    def worked(self) -> WorkedParts:
        """Parts, cuts, basket."""
        worked = worked_out_parts(self.opened, self.progress)
        assert worked is not None
        return worked

    @cached_property
    def panes(self) -> tuple[FullPane, ...]:
        """Every pane of glass by finite elements: worked out for a book where that was not done before."""
        if self.quick:
            known = (known_pane(self.opened, one) for one in screened(self.opened))
            return tuple(one for one in known if one is not None)
        checked = worked_out_glass(self.opened, self.progress)
        return checked.panes if checked is not None else ()

    @cached_property
    def maps(self) -> tuple[HoleMap, ...]:
        """The maps of holes that somebody had made; a book makes none, each takes up to a minute."""
        kinds = dict.fromkeys(tank.kind for tank in self.room.tanks)
        known = (known_map(self.opened, hole) for kind in kinds for hole in drilled(self.opened, kind))
        return tuple(one for one in known if one is not None)

    @cached_property
    def tasks(self) -> tuple[Task, ...]:
        """The tasks of the build."""
        return tasks_of(self.plan, self.room, self.worked.purchase.takeoff)

    @cached_property
    def schedule(self) -> Schedule:
        """When each is done."""
        return schedule(self.tasks, crew_of(self.plan, self.room), self.asked.today, self.asked.marks)
