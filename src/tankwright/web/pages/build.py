"""The build: when it is done and what holds it, what can be done today, its timeline, every task to tick."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from markupsafe import Markup

from tankwright.building.marks import Mark
from tankwright.building.model import Group, Schedule, Slot, Task
from tankwright.building.tasks_shell import order_words
from tankwright.display import sentence
from tankwright.drawing.build_chart import SUBJECTS, WIDE, build_charts, hold_numbers
from tankwright.drawing.model import Drawing
from tankwright.drawing.model import Group as DrawnGroup
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.plan.models_build import Build as Said
from tankwright.report.build import CAUTION, HOUR, day_words, time_words
from tankwright.room.assumed import assumed
from tankwright.web import clock
from tankwright.web.build_site import Build, build_of
from tankwright.web.page import Page, View
from tankwright.web.plan_values import FieldGroup, plan_of
from tankwright.web.sheets import SheetField

MOST: Final = 6
"""Tasks of today shown at once; the rest when asked for."""
ROWS: Final = 30
"""Rows of one page of the timeline."""
THIN: Final = 72.0
"""Width of the timeline on a phone, mm: there its letters are as large as those of the page."""
MOST_ROWS: Final = 16
"""Tasks of a group shown at once; a hall has a hundred and fifty of one."""
MOST_NAMES: Final = 6
"""Names in a row of what comes before, or of days without work."""
ALL: Final = "all"


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """A task that comes before: where it is shown, and whether it is done."""

    title: str
    url: str
    done: bool
    until: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A task in words. `state` is done, tonight, begin, late or "" for one whose turn comes later."""

    task: Task
    slot: Slot | None
    mark: Mark | None
    state: str
    anchor: str
    work: str
    when: str
    before: tuple[Before, ...]
    waits: tuple[str, ...]
    hold: int
    how: str
    must_see: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupRow:
    """One subject of the work: how many of its tasks are done."""

    key: Group
    name: str
    done: int
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeDays:
    """Days without work in one run, as words and as a form sends them."""

    words: str
    first: str
    last: str


def show(view: View) -> Mapping[str, object]:
    """Everything of the build that the address asks for."""
    today = clock.today()
    build = build_of(view.snapshot, view.made_once, view.marks, today)
    shown: dict[str, object] = {"build": build, "today": today, "day_words": _day, "caution": CAUTION}
    if build is None:
        return shown
    plan, tasks = build.plan, build.site.tasks
    rows = _Rows(view, build)
    hours = sum(task.labour.value for task in tasks if task.id not in build.marks)
    groups = _groups(build)
    group = _group_asked(view, build, groups)
    tonight, every = tuple(rows.row(name) for name in plan.tonight), view.query.get("tonight") == ALL
    return shown | {
        "plan": plan,
        "left": view.words(hours / HOUR, "number"),
        "done_count": sum(task.id in build.marks for task in tasks), "count": len(tasks),
        "band": _band(plan), "path": tuple(rows.row(name) for name in plan.path), "holds": _holds(view, build),
        "start": _start(view), "most": MOST_ROWS, "tonight": tonight if every else tonight[:MOST],
        "tonight_more": 0 if every else max(0, len(tonight) - MOST),
        "begun": tuple(rows.row(name) for name in plan.begin_tonight[:MOST]),
        "next_day": _next_day(rows, build), "late": tuple(rows.row(name) for name in plan.late),
        "groups": groups, "group": group, "rows": tuple(rows.row(task.id) for task in _in_turn(build, group)),
        "charts": _charts(view, build), "just": rows.standing(view.query.get("done", "")),
        "taken_back": rows.taken_back(view.query.get("undone", "")),
        "findings": build.findings, "fields": tuple(_fields(view)), "free_days": _free_days(view),
        "deliveries": _deliveries(view), "orders": order_words(), "can_tick": view.may("enter"),
    }  # fmt: skip


class _Rows:
    """Makes the rows of a build."""

    def __init__(self, view: View, build: Build) -> None:
        self.view, self.build = view, build
        self.slots = {slot.task: slot for slot in build.plan.slots}
        self.holds = hold_numbers(build.plan, build.site.tasks)
        self.number = {task.id: number for number, task in enumerate(build.site.tasks)}

    def row(self, name: str) -> Row:
        task, slot = self.build.site.by_id[name], self.slots.get(name)
        mark = self.build.marks.get(name)
        return Row(
            task=task, slot=slot, mark=mark, state=self._state(name), anchor=self.anchor(name),
            work=self.view.words(task.labour.value, "duration"), when=_when(slot, self.build.today),
            before=tuple(self._before(one.task, one.until) for one in task.after), waits=tuple(self._waits(task)),
            hold=self.holds.get(name, 0), how=self.say(task, task.how), must_see=self.say(task, task.hold_point),
        )  # fmt: skip

    def say(self, task: Task, text: str) -> str:
        """A text of a task in the reader's units."""
        return sentence(text, task.numbers, self.view.display)

    def anchor(self, name: str) -> str:
        """The name of a task's place on the page: short, whatever the racks are called."""
        return f"task-{self.number[name]}"

    def url(self, name: str) -> str:
        """Where a task stands with all that is known of it."""
        return self.view.url("/build", group=self.build.site.by_id[name].group) + f"#{self.anchor(name)}"

    def standing(self, name: str) -> Row | None:
        """The task of that name when it is done."""
        return self.row(name) if name in self.build.marks and name in self.build.site.by_id else None

    def taken_back(self, name: str) -> Row | None:
        """The task of that name when it is not done."""
        return self.row(name) if name in self.build.site.by_id and name not in self.build.marks else None

    def _state(self, name: str) -> str:
        plan = self.build.plan
        if name in self.build.marks:
            return "done"
        if name in plan.tonight:
            return "tonight"
        if name in plan.begin_tonight:
            return "begin"
        return "late" if name in plan.late else ""

    def _before(self, name: str, until: str) -> Before:
        until_words = {"over": "and its wait over", "set": "and set", "done": ""}[until]
        task = self.build.site.by_id[name]
        has_wait = task.wait.value > 0 if until == "over" else task.sets.value > 0
        return Before(
            title=task.title,
            url=self.url(name),
            done=name in self.build.marks,
            until=until_words if has_wait else "",
        )

    def _waits(self, task: Task) -> Iterator[str]:
        for wait in (task.sets, task.wait):
            if wait.value > 0:
                usual, least, most = (
                    self.view.words(one, "duration") for one in (wait.value, wait.least, wait.most)
                )
                band = f" ({least} to {most})" if least != most else ""
                yield f"{usual}{band}: {wait.why}"


def _when(slot: Slot | None, today: date) -> str:
    """When it is its turn."""
    if slot is None:
        return ""
    if slot.done is not None:
        return ""
    begins, ends = slot.start, slot.end
    if begins.date() == ends.date():
        return f"{'today' if begins.date() == today else _day(begins)}, {begins:%H:%M} to {ends:%H:%M}"
    return f"{time_words(begins)} to {time_words(ends)}"


def _day(day: date) -> str:
    return day_words(day if isinstance(day, datetime) else datetime.combine(day, time()))


def _band(plan: Schedule) -> tuple[str, str] | None:
    """The days between which it is done, when they differ."""
    if plan.earliest is None or plan.latest is None or plan.earliest.date() == plan.latest.date():
        return None
    return _day(plan.earliest), _day(plan.latest)


def _holds(view: View, build: Build) -> str:
    """What most of the way to the end is made of: the longest wait on the longest way."""
    on_it = [build.site.by_id[name] for name in build.plan.path]
    longest = max(on_it, key=lambda task: task.wait.value, default=None)
    if longest is None or longest.wait.value <= 0:
        return ""
    return f"{view.words(longest.wait.value, 'duration')} after “{longest.title}” ({longest.wait.why})"


def _next_day(rows: _Rows, build: Build) -> tuple[str, tuple[Row, ...]] | None:
    """The next day with work after today, and what is worked on then."""
    for one in build.plan.days:
        if one.day > build.today:
            return _day(one.day), tuple(rows.row(name) for name in one.tasks[:MOST_NAMES])
    return None


def _start(view: View) -> int:
    """The first task shown of a group that has many."""
    asked = view.query.get("from", "")
    at = int(asked) - 1 if asked.isascii() and asked.isdigit() and len(asked) < 6 else 0
    return max(0, at - at % MOST_ROWS)


def _groups(build: Build) -> tuple[GroupRow, ...]:
    made = []
    for key, name in SUBJECTS.items():
        tasks = [task for task in build.site.tasks if task.group == key]
        if tasks:
            done = sum(task.id in build.marks for task in tasks)
            made.append(GroupRow(key=key, name=name, done=done, count=len(tasks)))
    return tuple(made)


def _group_asked(view: View, build: Build, groups: Sequence[GroupRow]) -> Group:
    """The group the address asks for; else that of what is most urgent today, or the first with anything left."""
    asked = view.query.get("group")
    for one in groups:
        if one.key == asked:
            return one.key
    for name in build.plan.tonight[:1]:
        return build.site.by_id[name].group
    return next((one.key for one in groups if one.done < one.count), groups[0].key)


def _in_turn(build: Build, group: Group) -> list[Task]:
    """The tasks of a group by when they begin, those that are done last."""
    place = {slot.task: number for number, slot in enumerate(build.plan.slots)}
    return sorted(
        (task for task in build.site.tasks if task.group == group),
        key=lambda task: (task.id in build.marks, place.get(task.id, 0)),
    )


# --- the timeline -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Charts:
    """One page of the timeline, wide and narrow."""

    wide: Markup
    narrow: Markup
    page: int
    pages: int


def _charts(view: View, build: Build) -> Charts | None:
    if not build.plan.slots:
        return None
    title = f"{view.title}: build order"
    key = ("build charts", build.today, tuple(sorted(build.marks)))
    made = view.made_once.keep(
        view.snapshot, key,
        lambda _: tuple(build_charts(build.plan, build.site.tasks, title=title, width=width, rows=ROWS)
                        for width in (WIDE, THIN)),
    )  # fmt: skip
    assert made is not None
    wide, narrow = made
    asked = view.query.get("page", "")
    page = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 4 else _first_left(wide, build)
    page = min(max(page, 1), len(wide))
    return Charts(
        wide=_svg(wide[page - 1], "timeline"), narrow=_svg(narrow[min(page, len(narrow)) - 1], "timeline-narrow"),
        page=page, pages=len(wide),
    )  # fmt: skip


def _svg(drawing: Drawing, name: str) -> Markup:
    return Markup(to_screen_svg(drawing, label=f"{drawing.title}. {drawing.description}", name=name))


def _first_left(pages: Sequence[Drawing], build: Build) -> int:
    """The first page with a task that is not done."""
    for number, page in enumerate(pages, 1):
        named = (part.place for part in page.parts if isinstance(part, DrawnGroup) and "task" in part.classes)
        if any(name and name not in build.marks for name in named):
            return number
    return 1


# --- what the plan says of it -----------------------------------------------------------------------------------------


def _fields(view: View) -> Iterator[FieldGroup]:
    room = view.room
    assert room is not None

    def field(key: str, label: str, dimension: str, help_: str = "", row: str = "") -> SheetField:
        said = assumed(room, row or f"build.{key}")
        return SheetField(
            pointer=f"/build/{key}", label=label, help=help_,
            assumed=view.words(said.value, dimension) if said.is_assumed else "",
        )  # fmt: skip

    yield FieldGroup(title="When", fields=(
        SheetField(pointer="/build/begin", label="First day", help="as year, month and day: 2026-12-05",
                   default="today"),
        field("evening", "Work on a weekday evening", "duration"),
        field("weekend", "Work on a Saturday or a Sunday", "duration"),
    ))  # fmt: skip
    yield FieldGroup(title="Who", fields=(
        field("hands", "People who build", "number"), field("one_lifts", "What one lifts", "mass"),
    ))  # fmt: skip
    yield FieldGroup(title="The room while things are glued", fields=(
        field("temperature", "Temperature", "temperature"), field("humidity", "Relative humidity", "share"),
    ))  # fmt: skip


def _said(view: View) -> Said:
    plan = plan_of(view)
    return (plan.build if plan is not None else None) or Said()


def _free_days(view: View) -> tuple[FreeDays, ...]:
    """Days without work, those that follow each other as one."""
    runs: list[tuple[date, date]] = []
    for day in sorted(set(_said(view).not_on)):
        if runs and day - runs[-1][1] == timedelta(days=1):
            runs[-1] = (runs[-1][0], day)
        else:
            runs.append((day, day))
    return tuple(
        FreeDays(
            words=_day(first) if first == last else f"{_day(first)} to {_day(last)}", first=first.isoformat(),
            last=last.isoformat(),
        )
        for first, last in runs
    )  # fmt: skip


def _deliveries(view: View) -> tuple[str, ...]:
    return tuple(one.what for one in _said(view).deliveries)


PAGE = Page(name="build", path="/build", title="Build order", template="build.html", show=show, group="build")
