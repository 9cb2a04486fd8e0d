"""The build as tasks with what comes before what, and as a calendar with the hands there are. Frozen.

Labour and waits are seconds. Moments of a schedule are local times as the clock on the wall shows them, without a zone.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from tankwright.finding import Finding, Number
from tankwright.units import Second

Group = Literal[
    "order", "shell", "floor", "power", "racks", "tanks", "drilling", "drain", "air", "feed", "warmth", "proof", "fish",
]  # fmt: skip
"""What a task is about; a timeline groups its bars by it, in this order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """What must come before, and how much of it: until its wait is `over`, until it has `set` so that it may be
    handled, or until its work is `done`."""

    task: str
    until: Literal["over", "set", "done"] = "over"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """Work of one person, s, with the band it may lie in."""

    value: Second
    low: Second
    high: Second


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """Time that must pass after a task, in which nobody works: to cure, to dry, to come. `least` and `most` are its
    band; `why` says what is waited for."""

    value: Second = 0.0
    least: Second = 0.0
    most: Second = 0.0
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One piece of work.

    `id` is the same after a change of the plan that leaves the piece of work what it is. `people` are the hands it
    takes, 0 where another than the builders does it, `labour` the hours of one person in all. `sets` is until it
    may be handled, `wait` until it may be filled,
    loaded or used. `hold_point` says what must be seen or measured before anybody goes on, "" where nothing need be.
    `how` and `hold_point` may name `numbers` in braces. `materials` are keys of articles, `places` ids of things in
    the room. `licensed`: whoever may do it where you live decides, not this program.
    """

    id: str
    title: str
    group: Group
    labour: Hours
    how: str
    places: tuple[str, ...] = ()
    after: tuple[After, ...] = ()
    people: int = 1
    sets: Wait = Wait()
    wait: Wait = Wait()
    hold_point: str = ""
    numbers: tuple[tuple[str, Number], ...] = ()
    materials: tuple[str, ...] = ()
    source: str = ""
    rests_on: tuple[str, ...] = ()
    licensed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """When a task is done. `spans` are its pieces of work, one an evening; `ready` is when its wait is over.

    `slack` is the working time by which it may begin later, by what must come before what alone. `critical`: it
    lies on the longest way through the work. `held_by` is the task it waited for, by link or by hands. `done` is the
    day somebody marked it done.
    """

    task: str
    start: datetime
    end: datetime
    ready: datetime
    spans: tuple[tuple[datetime, datetime], ...]
    slack: Second
    critical: bool
    held_by: str = ""
    done: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildDay:
    """What is worked on in one day, and the hours of all hands together."""

    day: date
    tasks: tuple[str, ...]
    hours: Second


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """The calendar of the build, or why there is none (then `slots` is empty and `findings` say so).

    `finish` is when the last wait is over with the hands there are, `proved` when the last test is, before any fish;
    `earliest` and `latest` are `finish` with every time at the ends of its band. `path` is the longest way
    through the work,
    `path_finish` its end had everybody as many hands as they like. `tonight` can be begun and finished today,
    `begin_tonight` only begun. `late` were to
    be done before today when the build began.
    """

    today: date
    slots: tuple[Slot, ...] = ()
    finish: datetime | None = None
    proved: datetime | None = None
    earliest: datetime | None = None
    latest: datetime | None = None
    path: tuple[str, ...] = ()
    path_finish: datetime | None = None
    tonight: tuple[str, ...] = ()
    begin_tonight: tuple[str, ...] = ()
    days: tuple[BuildDay, ...] = ()
    late: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()

    def slot(self, task: str) -> Slot:
        """When that task is done; KeyError for one that is none."""
        for one in self.slots:
            if one.task == task:
                return one
        raise KeyError(task)
