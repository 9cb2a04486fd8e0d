"""What is due, in walking order: tasks that come again, on the days they may be done, filters one at a time.

Days are those of the wall's clock: `day_of` says which day a moment is of, so that work done late in the evening is
due again in the morning of its day, not at the same hour.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final, Literal

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Draft, Observed, Plain
from tankwright.husbandry.register import DueTask, Task

UNUSUAL: Final = "ROUND-01"
NO_NUMBER: Final = "ROUND-02"

DayOf = Callable[[datetime], date]
"""Which day a moment is of, by the clock on the wall."""

State = Literal["late", "due", "held", "later"]
"""Late: its window is over. Held: another of its rotation was done too lately."""

_ORDER: Final[Mapping[State, int]] = {"late": 0, "due": 1, "held": 2, "later": 3}
_HALF_A_DAY: Final = 0.5

MET_BY: Final[Mapping[str, str]] = {"looked": "look", "fed": "feed"}
"""Events of a tank that are its work of a kind too: whoever taps that it was fed need not tick it off again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DueItem:
    """A task on the list: the day it is due, how many days it is over its window, and the day before which it waits
    for another of its rotation. `order` is where it comes as one walks."""

    task: Task
    state: State
    day: date
    last: datetime | None
    days_late: int = 0
    held_until: date | None = None
    used_litres: float | None = None
    order: int = 0


def first_day(day: date, weekdays: Iterable[int]) -> date:
    """The first day from `day` on that is one of the weekdays (0 is Monday); `day` itself where none is named.

    >>> first_day(date(2026, 8, 3), ()), first_day(date(2026, 8, 3), (5, 6))
    (datetime.date(2026, 8, 3), datetime.date(2026, 8, 8))
    """
    wanted = {one % 7 for one in weekdays}
    if not wanted:
        return day
    return next(day + timedelta(days=n) for n in range(7) if (day + timedelta(days=n)).weekday() in wanted)


def day_due(due: DueTask, day_of: DayOf, litres_a_day: float | None = None) -> date:
    """The day a task is due: its days after it was done last, or sooner when its litres are used up by then; moved to
    the next of its weekdays. One that was never done is due on the day it was made.

    >>> from datetime import UTC
    >>> done = datetime(2026, 8, 3, 22, tzinfo=UTC)
    >>> carbon = Task(id="t", label="carbon", every_days=28.0, litres=600.0, feed="drip")
    >>> due = DueTask(task=carbon, due=done + timedelta(days=28), last=done)
    >>> day_due(due, datetime.date).isoformat(), day_due(due, datetime.date, 60.0).isoformat()
    ('2026-08-31', '2026-08-13')
    """
    task = due.task
    if due.last is None:
        return first_day(day_of(due.due), task.weekdays)
    days = task.every_days
    if task.litres is not None and litres_a_day is not None and litres_a_day > 0.0:
        days = min(days, task.litres / litres_a_day)
    whole = max(0, math.floor(days + 1e-9)) if days < 1.0 else math.floor(days + 1e-9)
    return first_day(day_of(due.last) + timedelta(days=whole), task.weekdays)


def due_list(
    tasks: Iterable[DueTask], now: datetime, *, day_of: DayOf, until: date | None = None,
    order: Mapping[str, int] | None = None, rotating: Iterable[DueTask] = (),
    litres_a_day: Mapping[str, float] | None = None,
) -> tuple[DueItem, ...]:  # fmt: skip
    """What is due by the end of the day `until` (today when not said): late work first, then as one walks.

    `order` is each place's turn by its id (the room itself comes first); `rotating` all tasks of rotations, due or not,
    for what was done to one of them holds back the others; `litres_a_day` what each feed passes.

    >>> from datetime import UTC
    >>> now = datetime(2026, 8, 9, 18, tzinfo=UTC)
    >>> def told(name, days, last):
    ...     task = Task(id=name, label=name, place=name, every_days=days)
    ...     return DueTask(task=task, due=last + timedelta(days=days), last=last)
    >>> some = [told("b", 1, now - timedelta(hours=23)), told("a", 1, now - timedelta(hours=30)), told("c", 7, now)]
    >>> [one.task.id for one in due_list(some, now, day_of=datetime.date, order={"a": 1, "b": 2})]
    ['a', 'b']
    """
    today = day_of(now)
    wanted = today if until is None else until
    places = order or {}
    litres = litres_a_day or {}
    items = []
    for one in tasks:
        per_day = litres.get(one.task.feed)
        day = day_due(one, day_of, per_day)
        if day > wanted or (one.task.every_days < 1.0 and not _again_today(one, now)):
            continue
        used = None
        if one.task.litres is not None and per_day is not None and one.last is not None:
            used = per_day * max(0.0, (now - one.last) / timedelta(days=1))
        items.append(_item(one, day, today, places, used))
    return _with_rotation(items, tuple(rotating), today, day_of)


def _again_today(due: DueTask, now: datetime) -> bool:
    """Work of several times a day is due again when most of its time has gone by."""
    if due.last is None:
        return True
    return (now - due.last) / timedelta(days=1) >= due.task.every_days * _HALF_A_DAY


def _item(one: DueTask, day: date, today: date, places: Mapping[str, int], used: float | None) -> DueItem:
    over = (today - day).days - math.floor(one.task.window_days + 1e-9)
    state: State = "later" if day > today else "late" if over > 0 else "due"
    return DueItem(
        task=one.task, state=state, day=day, last=one.last, days_late=max(0, over), used_litres=used,
        order=places.get(one.task.place, -1 if not one.task.place else len(places)),
    )  # fmt: skip


def _with_rotation(
    items: list[DueItem], rotating: tuple[DueTask, ...], today: date, day_of: DayOf
) -> tuple[DueItem, ...]:
    """Of each rotation the one that waits longest stays due; the others, and it too while one was done lately, are
    held, each until its turn."""
    free: dict[str, date] = {}
    for one in rotating:
        if one.task.rotation and one.last is not None:
            day = day_of(one.last) + _rest(one.task)
            free[one.task.rotation] = max(free.get(one.task.rotation, day), day)
    told = []
    for item in sorted(items, key=lambda one: (one.day, one.last is not None, one.order, one.task.id)):
        name = item.task.rotation
        if not name:
            told.append(item)
            continue
        turn = first_day(max(free.get(name, today), today), item.task.weekdays)
        free[name] = turn + _rest(item.task)
        told.append(item if turn <= today else replace(item, state="held", days_late=0, held_until=turn))
    return tuple(sorted(told, key=lambda one: (_ORDER[one.state], one.order, *rank_of(one.task))))


def in_order(items: Iterable[DueItem], order: Mapping[str, int]) -> tuple[DueItem, ...]:
    """A list in another order of places, by their ids; the room itself comes first.

    >>> in_order((), {})
    ()
    """
    last = len(order) + 1
    turned = [replace(one, order=order.get(one.task.place, last if one.task.place else -1)) for one in items]
    return tuple(sorted(turned, key=lambda one: (_ORDER[one.state], one.order, *rank_of(one.task))))


def rank_of(task: Task) -> tuple[float, bool, str, str]:
    """The turn of a task among those of one place: what is done most often first, and looking before all else.

    >>> rank_of(Task(id="t", label="Look", every_days=1, kind="look"))
    (1, False, 'look', 't')
    """
    return task.every_days, task.kind != "look", task.kind, task.id


def _rest(task: Task) -> timedelta:
    return timedelta(days=max(1, math.ceil(task.rest_days - 1e-9)))


def days_of(
    due: DueTask, day_of: DayOf, first: date, last: date, litres_a_day: float | None = None
) -> tuple[date, ...]:
    """The days from `first` to `last` on which a task falls due when it is done each time; late work on the first.

    >>> from datetime import UTC
    >>> done = datetime(2026, 8, 1, 9, tzinfo=UTC)
    >>> weekly = DueTask(task=Task(id="t", label="glass", every_days=7), due=done + timedelta(days=7), last=done)
    >>> [one.day for one in days_of(weekly, datetime.date, date(2026, 8, 10), date(2026, 8, 25))]
    [10, 17, 24]
    """
    task = due.task
    days = task.every_days
    if task.litres is not None and litres_a_day:
        days = min(days, task.litres / litres_a_day)
    step = timedelta(days=max(1, math.floor(days + 1e-9)))
    day = max(day_due(due, day_of, litres_a_day), first)
    day = first_day(day, task.weekdays)
    found = []
    while day <= last:
        found.append(day)
        day = first_day(day + step, task.weekdays)
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Upcoming:
    """Work of one kind on one day to come: its name and the places, by their labels ("" is the room)."""

    day: date
    kind: str
    label: str
    places: tuple[str, ...]
    range: str = ""
    by: str = ""


def upcoming(
    tasks: Iterable[DueTask], labels: Mapping[str, str], day_of: DayOf, first: date, last: date, *,
    litres_a_day: Mapping[str, float] | None = None,
) -> tuple[Upcoming, ...]:  # fmt: skip
    """What falls due on each day from `first` to `last` when everything is done each time; alike work of a day as one.

    `labels` are places by their ids, in walking order. Rotations are not spread out: which of them comes first is
    decided by what is done meanwhile.

    >>> from datetime import UTC
    >>> done = datetime(2026, 8, 1, 9, tzinfo=UTC)
    >>> look = DueTask(task=Task(id="t", label="Look", place="p", kind="look"), due=done, last=done)
    >>> [(one.day.day, one.places) for one in upcoming([look], {"p": "A1"}, datetime.date, date(2026, 8, 2),
    ...                                               date(2026, 8, 3))]
    [(2, ('A1',)), (3, ('A1',))]
    """
    order = {name: number for number, name in enumerate(labels)}
    grouped: dict[tuple[date, str, str, str, str], list[str]] = {}
    for one in sorted(tasks, key=lambda due: (order.get(due.task.place, -1), due.task.id)):
        task = one.task
        per_day = (litres_a_day or {}).get(task.feed)
        for day in days_of(one, day_of, first, last, per_day):
            key = (day, task.kind, task.label, range_words(task), task.by)
            grouped.setdefault(key, []).append(labels.get(task.place, "") if task.place else "")
    return tuple(
        Upcoming(day=day, kind=kind, label=label, range=usual, by=by, places=tuple(places))
        for (day, kind, label, usual, by), places in sorted(grouped.items())
    )


# --- done ----------------------------------------------------------------------------------------------------------


def is_unusual(task: Task, value: float) -> bool:
    """True for a number outside the usual range of its task.

    >>> is_unusual(Task(id="t", label="pH", quantity="ph", low=6.5, high=7.5), 7.8)
    True
    """
    return (task.low is not None and value < task.low) or (task.high is not None and value > task.high)


def range_words(task: Task) -> str:
    """The usual range of a task as it stands over its column, "" where it has none.

    >>> range_words(Task(id="t", label="t", quantity="temperature", unit="°C", low=24.0, high=26.5))
    '24 to 26.5 °C'
    >>> range_words(Task(id="t", label="t", quantity="no3", unit="mg/L", high=40.0))
    'at most 40 mg/L'
    """
    match task.low, task.high:
        case None, None:
            return ""
        case None, high:
            told = f"at most {high:g}"
        case low, None:
            told = f"at least {low:g}"
        case low, high:
            told = f"{low:g} to {high:g}"
    return f"{told} {task.unit}".strip()


def done(
    task: Task, happened: datetime, *, value: float | None = None, note: str = "", sheet: str = "",
    row: int | None = None, looked: bool = False,
) -> Draft:  # fmt: skip
    """Work that was done, with what was read. `looked`: its reader looked and wrote no number.

    >>> from datetime import UTC
    >>> warm = Task(id="t", label="Temperature", place="p", quantity="temperature", unit="°C")
    >>> done(warm, datetime(2026, 8, 2, tzinfo=UTC), value=25.0).observed[0].value
    25.0
    """
    details: dict[str, Plain] = {"task": task.id}
    if sheet:
        details["sheet"] = sheet
    if row is not None:
        details["row"] = row
    if looked:
        details["looked"] = True
    read = (Observed(quantity=task.quantity, value=value, unit=task.unit),) if value is not None else ()
    return Draft(
        kind="task_done", happened=happened, place=task.place, note=note, details=details, observed=read
    )


def read_number(task: Task, typed: str) -> float | Finding:
    """The number somebody typed for a task, with or without its unit; or what is wrong with it.

    Comma and point are both taken.

    >>> warm = Task(id="t", label="Temperature", quantity="temperature", unit="°C")
    >>> read_number(warm, "25,5 °C"), read_number(warm, "warm").text
    (25.5, '"warm" is no number')
    """
    text = typed.strip()
    if task.unit and text.casefold().endswith(task.unit.casefold()):
        text = text[: len(text) - len(task.unit)].strip()
    try:
        value = float(text.replace(",", ".").replace("−", "-"))
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or abs(value) > 1e9:
        said = f'"{typed.strip()[:40]}" is no number' if typed.strip() else "has no number"
        return Finding(
            code=NO_NUMBER, severity=Severity.PROBLEM, subject=task.label, text=said,
            wanted=f'the number that was read, such as "{_example(task)}"', found=typed.strip()[:40],
        )  # fmt: skip
    return value


def unusual(task: Task, value: float, place: str = "") -> Finding:
    """The question that a number outside its usual range raises before it is kept."""
    return Finding(
        code=UNUSUAL, severity=Severity.WARNING, subject=f"{task.label} {place}".strip(),
        text=f"{value:g} {task.unit}".strip() + " is unusual", wanted=range_words(task), found=f"{value:g}",
        remedy="read it again; if it is so, say that it is as read", places=(place,) if place else (),
    )  # fmt: skip


def _example(task: Task) -> str:
    middle = next((one for one in (task.low, task.high) if one is not None), 7.0)
    return f"{middle:g} {task.unit}".strip()


def met_by(draft: Draft, due: Iterable[DueTask], day_of: DayOf) -> tuple[Draft, ...]:
    """The work that something which happened at a tank does too: its look, its feeding, when due that day or before.

    >>> from datetime import UTC
    >>> at = datetime(2026, 8, 2, 9, tzinfo=UTC)
    >>> look = DueTask(task=Task(id="t", label="Look", place="p", kind="look"), due=at, last=None)
    >>> [one.kind for one in met_by(Draft(kind="looked", happened=at, place="p"), [look], datetime.date)]
    ['task_done']
    """
    kind = MET_BY.get(draft.kind)
    if kind is None or not draft.place:
        return ()
    return tuple(
        done(one.task, draft.happened)
        for one in due
        if one.task.kind == kind
        and one.task.place == draft.place
        and day_due(one, day_of) <= day_of(draft.happened)
    )
