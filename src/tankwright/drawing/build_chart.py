"""The build as a timeline: a bar a task over the days, grouped by subject, in pages of so many rows.

What lies on the critical path is in ink; waits are hatched, what is done is grey, a diamond with a number is a hold
point, an upright line is today.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final, get_args

from tankwright.building.model import Group as Subject
from tankwright.building.model import Schedule, Slot, Task
from tankwright.drawing.colour import FAINT, FLOW, INK, PAPER, QUIET, TEAL
from tankwright.drawing.model import (
    Drawing,
    Group,
    Hatching,
    Look,
    Polyline,
    Rectangle,
    Shape,
    Text,
    line,
    shifted,
    text_width,
)

SUBJECTS: Final[Mapping[Subject, str]] = {
    "order": "Orders", "shell": "Room", "floor": "Floor", "power": "Power", "racks": "Racks", "tanks": "Tanks",
    "drilling": "Drilling", "drain": "Drain", "air": "Air", "feed": "Feed", "warmth": "Warmth and alarms",
    "proof": "Proof", "fish": "Fish",
}  # fmt: skip
WIDE: Final = 180.0
NARROW: Final = 100.0
"""Below this width a task's name stands over its bar, not beside it."""
_ROW: Final = 4.6
_BAR: Final = 2.6
_SIZE: Final = 2.5
_HEAD: Final = 8.0
_KEY: Final = 10.0  # mm under the rows
_EDGE: Final = 2.0
_LEAST_BAR: Final = 0.7
_RIGHT: Final = 9.0  # mm beside the last day, for the number of a hold point
_BESIDE: Final = 62.0  # mm for names beside their bars
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A row: the heading of a subject, or a task."""

    heading: str = ""
    task: Task | None = None
    slot: Slot | None = None
    hold: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Axis:
    """Days across the page."""

    first: date
    last: date
    left: float
    right: float

    def at(self, moment: datetime) -> float:
        days = (moment - datetime.combine(self.first, time())) / _DAY
        whole = (self.last - self.first) / _DAY + 1.0
        return self.left + days / whole * (self.right - self.left)

    @property
    def day(self) -> float:
        """Width of a day, mm."""
        return (self.right - self.left) / ((self.last - self.first) / _DAY + 1.0)


def build_charts(
    schedule: Schedule, tasks: Sequence[Task], *, title: str, width: float = WIDE, rows: int = 48
) -> tuple[Drawing, ...]:
    """The pages of the timeline; one page that says so when there is no calendar.

    Each page has the days that its own rows take, so that weeks of waiting at the end do not squeeze the rest.
    """
    if not schedule.slots:
        return (_nothing(title, width),)
    pages = _pages(_rows(schedule, tasks), rows)
    return tuple(
        _page(page, schedule, width, title if len(pages) == 1 else f"{title}, page {number} of {len(pages)}")
        for number, page in enumerate(pages, 1)
    )


def hold_numbers(schedule: Schedule, tasks: Sequence[Task]) -> dict[str, int]:
    """The number of each hold point, in the order in which they are reached."""
    held = {task.id for task in tasks if task.hold_point}
    return {
        name: number
        for number, name in enumerate((one.task for one in schedule.slots if one.task in held), 1)
    }


def _rows(schedule: Schedule, tasks: Sequence[Task]) -> list[list[_Row]]:
    """The rows of each subject, its heading first."""
    by_id = {task.id: task for task in tasks}
    numbers = hold_numbers(schedule, tasks)
    made: dict[str, list[_Row]] = {
        subject: [_Row(heading=SUBJECTS[subject])] for subject in get_args(Subject)
    }
    for slot in schedule.slots:
        task = by_id[slot.task]
        made[task.group].append(_Row(task=task, slot=slot, hold=numbers.get(task.id, 0)))
    return [rows for rows in made.values() if len(rows) > 1]


def _pages(subjects: Sequence[Sequence[_Row]], most: int) -> list[list[_Row]]:
    """Subjects poured into pages; one that is broken says its name again, and fish, which take weeks, begin a page."""
    pages: list[list[_Row]] = [[]]
    for rows in subjects:
        heading, rest = rows[0], list(rows[1:])
        apart = heading.heading == SUBJECTS["fish"]
        while rest:
            room = most - len(pages[-1]) - 1
            if pages[-1] and (apart or room < min(len(rest), 3)):
                pages.append([])
                room = most - 1
            apart = False
            pages[-1] += [heading, *rest[:room]]
            rest = rest[room:]
    return pages


def _page(rows: Sequence[_Row], schedule: Schedule, width: float, title: str) -> Drawing:
    over = width < NARROW
    pitch = _ROW * (1.75 if over else 1.0)
    slots = [row.slot for row in rows if row.slot is not None]
    first = min(slot.start for slot in slots).date()
    last = max(slot.ready for slot in slots).date()
    if first <= schedule.today + _DAY * 14 and last >= schedule.today:
        first = min(first, schedule.today)
    axis = _Axis(first=first, last=last, left=_EDGE if over else _BESIDE, right=width - _EDGE - _RIGHT)
    bottom = _HEAD + pitch * len(rows)
    parts: list[Shape] = [
        Rectangle(x=0, y=0, width=width, height=bottom + _KEY, look=Look(fill=PAPER)),
        Group(parts=tuple(_grid(axis, bottom)), layer="grid"),
    ]
    parts += _today(axis, schedule.today, bottom)
    parts += [
        _row(row, axis, _HEAD + pitch * number, pitch, over=over, width=width)
        for number, row in enumerate(rows)
    ]
    parts += _key(bottom + 1.5, width)
    count = len(slots)
    return Drawing(
        width=width, height=bottom + _KEY, scale=1.0, title=title, parts=tuple(parts),
        description=f"{count} tasks from {first.isoformat()} to {last.isoformat()}; "
        f"{sum(1 for slot in slots if slot.critical)} of them on the critical path, "
        f"{sum(1 for slot in slots if slot.done)} done.",
    )  # fmt: skip


def _grid(axis: _Axis, bottom: float) -> Iterator[Shape]:
    """Weekends shaded where they can be seen, and a line with its date every day, week or month."""
    days = (axis.last - axis.first).days + 1
    step = next(one for one in (1, 2, 7, 14, 28, 91, 366 * 30) if one * axis.day >= 13.0 or one > 91)
    taken = -1e9
    for number in range(days):
        day = axis.first + _DAY * number
        x = axis.left + number * axis.day
        if day.weekday() >= 5 and axis.day >= 0.8:
            yield Rectangle(x=x, y=_HEAD, width=axis.day, height=0.8, look=Look(fill=FAINT))
        monday = step < 7 or day.weekday() == 0
        if monday and x - taken >= 13.0:
            taken = x
            yield line((x, _HEAD), (x, bottom), Look(stroke=FAINT, width=0.15))
            words = f"{day.day} {_MONTHS[day.month - 1]}"
            if x + text_width(words, _SIZE) <= axis.right + _RIGHT:
                yield Text(at=(x, _HEAD - 2.0), text=words, size=_SIZE, colour=QUIET)


def _row(row: _Row, axis: _Axis, top: float, pitch: float, *, over: bool, width: float) -> Group:
    if row.task is None or row.slot is None:
        words = Text(at=(_EDGE, top + pitch - 1.4), text=row.heading, size=_SIZE * 1.1, colour=INK, bold=True)
        under = line(
            (_EDGE, top + pitch - 0.3), (axis.right, top + pitch - 0.3), Look(stroke=FAINT, width=0.2)
        )
        return Group(parts=(under, words), classes=("subject",))
    middle = top + pitch - _ROW / 2
    name = _cut(row.task.title, width - 2 * _EDGE if over else axis.left - _EDGE - 2.0)
    baseline = top + 2.6 if over else middle + 0.36 * _SIZE
    colour = QUIET if row.slot.done else INK
    wide = text_width(name, _SIZE)
    parts = [
        Rectangle(x=_EDGE, y=baseline - 2.2, width=wide, height=3.0, look=Look(fill=PAPER)),
        Text(at=(_EDGE, baseline), text=name, size=_SIZE, colour=colour),
        *_bar(row.slot, axis, middle),
    ]
    if row.hold:
        after = max(axis.at(row.slot.ready), axis.at(row.slot.start) + _LEAST_BAR)
        parts += _diamond(after + 1.3, middle, row.hold)
    return Group(
        parts=tuple(parts), classes=("task",), title=_told(row.task, row.slot), place=row.task.id,
    )  # fmt: skip


def _bar(slot: Slot, axis: _Axis, middle: float) -> Iterator[Shape]:
    start, end, ready = axis.at(slot.start), axis.at(slot.end), axis.at(slot.ready)
    end = max(end, start + _LEAST_BAR)
    if ready - end > 0.4:
        yield Hatching(x=end, y=middle - _BAR / 2 + 0.4, width=ready - end, height=_BAR - 0.8, spacing=1.2)
    if slot.done:
        look = Look(fill=FAINT)
    elif slot.critical:
        look = Look(fill=INK)
    else:
        look = Look(fill=FLOW, stroke=TEAL, width=0.2)
    yield Rectangle(x=start, y=middle - _BAR / 2, width=end - start, height=_BAR, look=look)


def _diamond(x: float, middle: float, number: int) -> list[Shape]:
    half = 1.1
    points = ((x, middle - half), (x + half, middle), (x, middle + half), (x - half, middle))
    words = Text(at=(x + half + 0.5, middle + 0.7), text=str(number), size=2.0, colour=INK)
    ground = Rectangle(
        x=words.at[0] - 0.1, y=middle - 0.95, width=text_width(words.text, words.size) + 0.2, height=1.9,
        look=Look(fill=PAPER),
    )  # fmt: skip
    return [Polyline(points=points, closed=True, look=Look(fill=PAPER, stroke=INK, width=0.3)), ground, words]


def _today(axis: _Axis, today: date, bottom: float) -> Iterator[Shape]:
    if axis.first <= today <= axis.last:
        x = axis.at(datetime.combine(today, time(12)))
        yield Group(
            parts=(
                line((x, _HEAD - 1.2), (x, bottom), Look(stroke=TEAL, width=0.5)),
                Text(at=(x, _HEAD - 5.0), text="today", size=_SIZE, colour=TEAL),
            ),
            classes=("today",),
            title=f"today, {today.isoformat()}",
        )


def _key(top: float, width: float) -> Iterator[Shape]:
    """What the marks mean, broken into two lines where one is too long."""
    marks: tuple[tuple[str, Shape], ...] = (
        ("critical path", Rectangle(x=0, y=0.4, width=4, height=2, look=Look(fill=INK))),
        ("may wait", Rectangle(x=0, y=0.4, width=4, height=2, look=Look(fill=FLOW, stroke=TEAL, width=0.2))),
        ("cures, dries, comes", Hatching(x=0, y=0.4, width=4, height=2, spacing=1.2)),
        ("done", Rectangle(x=0, y=0.4, width=4, height=2, look=Look(fill=FAINT))),
        ("hold point", Polyline(points=((2, 0.3), (3.1, 1.4), (2, 2.5), (0.9, 1.4)), closed=True,
                                look=Look(fill=PAPER, stroke=INK, width=0.3))),
    )  # fmt: skip
    x, y = _EDGE, top
    for words, mark in marks:
        wide = 5.0 + text_width(words, 2.2) + 3.0
        if x + wide > width and x > _EDGE:
            x, y = _EDGE, y + 3.6
        yield shifted(mark, x, y)
        yield Text(at=(x + 5.0, y + 2.2), text=words, size=2.2, colour=QUIET)
        x += wide


def _told(task: Task, slot: Slot) -> str:
    state = f"done {slot.done.isoformat()}" if slot.done else f"{slot.start:%Y-%m-%d} to {slot.end:%Y-%m-%d}"
    wait = (
        f", then waits until {slot.ready:%Y-%m-%d}"
        if slot.ready.date() > slot.end.date() and not slot.done
        else ""
    )
    return f"{task.title}: {state}{wait}"


def _cut(text: str, width: float) -> str:
    if text_width(text, _SIZE) <= width:
        return text
    while text and text_width(text + "…", _SIZE) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def _nothing(title: str, width: float) -> Drawing:
    words = "There is no calendar: see what is said of it."
    return Drawing(
        width=width, height=20.0, scale=1.0, title=title, description=words,
        parts=(
            Rectangle(x=0, y=0, width=width, height=20.0, look=Look(fill=PAPER)),
            Text(at=(_EDGE, 11.0), text=words, size=_SIZE, colour=INK),
        ),
    )  # fmt: skip
