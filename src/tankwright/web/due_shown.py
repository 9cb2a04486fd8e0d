"""What is due as pages show it: tasks in words, with the steps and chips of their numbers, and racks as one walks."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final
from urllib.parse import quote

from tankwright.husbandry.register import DueTask, Task
from tankwright.husbandry.rounds import DueItem, range_words
from tankwright.husbandry.water_quantities import quantity_called
from tankwright.web import clock
from tankwright.web.page import View
from tankwright.web.texts import N_
from tankwright.workspace.disk import utcnow
from tankwright.workspace.round_work import Due, due_of

ROOM: Final = "room"
"""What the part of a round without tanks is called in addresses."""

STATES: Final = {"late": N_("late"), "due": N_("due"), "held": N_("waits"), "later": N_("later")}


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskShown:
    """A task in words. `range` is its usual range, `by` how far + and − move its number, `start` where they begin,
    `chips` numbers to tap, `ago` how long since it was done last in days, None for never."""

    task: Task
    state: str
    day: date
    range: str
    by: float
    start: str
    chips: tuple[str, ...]
    ago: int | None
    last: datetime | None
    days_late: int
    held_until: date | None
    used: str

    @property
    def reads(self) -> bool:
        """True where a number is read when it is done."""
        return bool(self.task.quantity)


def due_now(view: View, until: date | None = None) -> Due:
    """What is due for this page."""
    return due_of(view.log, utcnow(), clock.day_of, study=view.study, until=until)


def shown(item: DueItem, today: date) -> TaskShown:
    """One item of the list in words."""
    return _shown(item.task, item.state, item.day, item.last, today, item)


def shown_done(one: DueTask, today: date) -> TaskShown:
    """A task of today that is done already."""
    return _shown(one.task, "done", today, one.last, today, None)


def _shown(
    task: Task, state: str, day: date, last: datetime | None, today: date, item: DueItem | None
) -> TaskShown:
    by = step_of(task)
    used = ""
    if item is not None and item.used_litres is not None and task.litres is not None:
        used = f"{item.used_litres:.0f} of {task.litres:.0f} L"
    return TaskShown(
        task=task, state=state, day=day, range=range_words(task), by=by, start=as_fine(_middle(task), by),
        chips=_chips(task, by), ago=None if last is None else (today - clock.day_of(last)).days, last=last,
        days_late=item.days_late if item is not None else 0, used=used,
        held_until=item.held_until if item is not None else None,
    )  # fmt: skip


def step_of(task: Task) -> float:
    """What + and − move the number of a task by: the step of its test, or about a tenth of its range.

    >>> step_of(Task(id="t", label="t", quantity="ph")), step_of(Task(id="t", label="t", low=30.0, high=36.0))
    (0.1, 0.5)
    """
    known = quantity_called(task.quantity) if task.quantity else None
    if known is not None and task.unit in ("", known.unit):
        return known.step
    if task.low is None or task.high is None or task.high <= task.low:
        return 1.0
    wanted = (task.high - task.low) / 10.0
    decade = 10.0 ** math.floor(math.log10(wanted) + 1e-9)
    return min((times * decade for times in (1.0, 2.0, 5.0, 10.0)), key=lambda one: abs(one - wanted))


def as_fine(value: float, by: float) -> str:
    """A number with the places of its step.

    >>> as_fine(33.36, 0.5), as_fine(7.0, 0.1), as_fine(120.0, 10.0)
    ('33.4', '7.0', '120')
    """
    return f"{value:.{max(0, -math.floor(math.log10(by) + 1e-9))}f}"


def _middle(task: Task) -> float:
    ends = [one for one in (task.low, task.high) if one is not None]
    return sum(ends) / len(ends) if ends else 1.0


def _chips(task: Task, by: float) -> tuple[str, ...]:
    """Four numbers around the middle of the range, each a tap away."""
    if not task.quantity:
        return ()
    middle = round(_middle(task) / by) * by
    return tuple(as_fine(middle + way * by, by) for way in (-1.0, 0.0, 1.0, 2.0))


# --- the parts of a round --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A piece of the round: a rack, or what is of the room. `open` tasks and `late` ones among them."""

    name: str
    tanks: int
    open: int
    late: int

    @property
    def path(self) -> str:
        """Its address."""
        return part_path(self.name)


def part_path(name: str, stop: str = "") -> str:
    """The address of a part of the round, open at one of its tanks.

    >>> part_path("A"), part_path("A", "A 3")
    ('/due/walk/A', '/due/walk/A?kind=A%203')
    """
    path = f"/due/walk/{quote(name, safe='').replace('%2F', '%252F')}"
    return f"{path}?kind={quote(stop, safe='')}" if stop else path


def part_of(due: Due, place: str) -> str:
    """The part of the round a place is in: its rack, or the room."""
    known = due.places.get(place)
    return ROOM if known is None else known.rack or ROOM


def parts_of(due: Due) -> tuple[Part, ...]:
    """The parts with open work, in the order of the round."""
    names = dict.fromkeys(part_of(due, place) for place in due.stops())
    found = []
    for name in names:
        mine = [one for one in due.open if part_of(due, one.task.place) == name]
        tanks = {one.task.place for one in mine if one.task.place}
        found.append(Part(name=name, tanks=len(tanks), open=len(mine),
                          late=sum(one.state == "late" for one in mine)))  # fmt: skip
    return tuple(found)


def counts_by_zone(due: Due) -> tuple[tuple[str, int, int], ...]:
    """Each zone ("" for the room) with its open tasks and the late ones among them."""
    counted: dict[str, tuple[int, int]] = {}
    for one in due.open:
        place = due.places.get(one.task.place)
        zone = place.zone if place is not None else ""
        there, late = counted.get(zone, (0, 0))
        counted[zone] = there + 1, late + (one.state == "late")
    return tuple((zone, *numbers) for zone, numbers in sorted(counted.items()))
