"""The calendar of a build: the critical path, what each pair of hands does when, and what can be done tonight."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final, Literal

from tankwright.building.calendar import Calendar, Week
from tankwright.building.crew import Crew
from tankwright.building.hands import LEAST_LEFT, Job, Turn, give_out
from tankwright.building.marks import Mark, standing
from tankwright.building.model import After, BuildDay, Hours, Schedule, Slot, Task, Wait
from tankwright.building.paths import Times, critical_path
from tankwright.building.troubles import about_marks, endless, no_free_day, too_few_hands
from tankwright.units import Second

End = Literal["value", "low", "high"]
_PROVED: Final = "proof.done"


def schedule(tasks: Sequence[Task], crew: Crew, today: date, marks: Iterable[Mark] = ()) -> Schedule:
    """What is left to do from today on, or from the first day when that is later; what is marked done is done.

    Raises `paths.Cycle` for tasks that wait for each other, which those of a plan never do.
    """
    findings = list(too_few_hands(tasks, crew))
    done, said = about_marks(tasks, standing(marks), today)
    findings += said
    first = max(today, crew.begin or today)
    planned = _plan(tasks, crew, first, done, "value")
    if planned is None:
        findings.append(no_free_day(crew) if _hours_a_week(crew.week) <= 0 else endless(crew))
        return Schedule(today=today, findings=tuple(findings))
    slots = planned.slots(tasks, done)
    low, high = (_finish(_plan(tasks, crew, first, done, end), tasks) for end in ("low", "high"))
    tonight, begun = _tonight(tasks, crew, planned, done, today)
    last = max((slot.ready for slot in slots), default=None)
    path_end = planned.path_end
    return Schedule(
        today=today, slots=slots, finish=last, earliest=low, latest=high,
        proved=next((slot.ready for slot in slots if slot.task == _PROVED), None), path=planned.path,
        path_finish=None if path_end is None else planned.calendar.moment(path_end), tonight=tonight,
        begin_tonight=begun, days=_days(slots, tasks), late=_late(tasks, crew, today, done), findings=tuple(findings),
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Planned:
    """One way through the work, on one calendar."""

    calendar: Calendar
    turns: Mapping[str, Turn]
    times: Mapping[str, Times]
    path: tuple[str, ...]
    releases: Mapping[str, Second]
    end: End

    @property
    def path_end(self) -> Second | None:
        """When the longest way ends."""
        return max((one.earliest_finish for one in self.times.values()), default=None)

    def slots(self, tasks: Sequence[Task], done: Mapping[str, Mark]) -> tuple[Slot, ...]:
        """Every task, by when it begins."""
        made, critical = [], frozenset(self.path)
        for task in tasks:
            if task.id in done:
                day = done[task.id].done_on
                _, at = _evening_of(self.calendar, day)
                start, ready = self.calendar.moment(at), self.calendar.moment(at + _wait(task.wait, self.end))
                made.append(Slot(
                    task=task.id, start=start, end=start, ready=ready, spans=(), slack=0.0, critical=False, done=day,
                ))  # fmt: skip
                continue
            turn, times = self.turns[task.id], self.times[task.id]
            moment, worked = self.calendar.moment, self.calendar.worked
            made.append(Slot(
                task=task.id, start=moment(turn.start), end=moment(turn.end),
                ready=moment(turn.end + _wait(task.wait, self.end)),
                spans=tuple((moment(begin), moment(end)) for begin, end in turn.spans),
                slack=max(worked(times.latest_start) - worked(times.earliest_start), 0.0),
                critical=task.id in critical, held_by=turn.held_by,
            ))  # fmt: skip
        return tuple(sorted(made, key=lambda slot: (slot.start, slot.end)))


def _plan(
    tasks: Sequence[Task], crew: Crew, first: date, done: Mapping[str, Mark], end: End
) -> _Planned | None:
    """None when there is not time enough."""
    week = {"value": crew.week, "low": crew.longest, "high": crew.shortest}[end]
    if _hours_a_week(week) <= 0:
        return None
    calendar = Calendar(first, week, crew.not_on)
    by_id = {task.id: task for task in tasks}
    left = [task for task in tasks if task.id not in done]
    begin = 0.0
    lags: dict[tuple[str, str], Second] = {}
    releases: dict[str, Second] = {}
    after: dict[str, tuple[str, ...]] = {}
    for task in left:
        releases[task.id] = begin
        for link in task.after:
            lag = _lag(link, by_id[link.task], end)
            if link.task in done:
                releases[task.id] = max(releases[task.id], _over(calendar, done[link.task].done_on, lag))
            else:
                lags[link.task, task.id] = lag
        after[task.id] = tuple(link.task for link in task.after if link.task not in done)
    durations = {task.id: _work(task, crew.hands, end) for task in left}
    times, path = critical_path(
        durations, after, lags=lags, releases=releases, forward=calendar.after_work, backward=calendar.before_work,
    )  # fmt: skip
    if any(math.isinf(one.earliest_finish) for one in times.values()):
        return None
    jobs = [
        Job(
            id=task.id, work=durations[task.id], people=task.people, release=releases[task.id],
            before=tuple((one, lags[one, task.id]) for one in dict.fromkeys(after[task.id])),
            urgency=times[task.id].latest_start,
        )
        for task in left
    ]  # fmt: skip
    turns = give_out(jobs, calendar, crew.hands)
    if turns is None:
        return None
    return _Planned(calendar=calendar, turns=turns, times=times, path=path, releases=releases, end=end)


def _work(task: Task, hands: int, end: End) -> Second:
    """Working time with the people it takes, or with all there are."""
    return _hours(task.labour, end) / max(1, min(task.people, hands))


def _lag(link: After, before: Task, end: End) -> Second:
    if link.until == "done":
        return 0.0
    return _wait(before.wait if link.until == "over" else before.sets, end)


def _hours(hours: Hours, end: End) -> Second:
    return {"value": hours.value, "low": hours.low, "high": hours.high}[end]


def _wait(wait: Wait, end: End) -> Second:
    return {"value": wait.value, "low": wait.least, "high": wait.most}[end]


def _hours_a_week(week: Week) -> Second:
    return 5 * week.evening + 2 * week.weekend


def _evening_of(calendar: Calendar, day: date) -> tuple[Second, Second]:
    """When that day's work began and ended, or would have on a weekday."""
    midnight = calendar.second(day)
    window = calendar.window_of(day)
    if window is not None:
        return window
    return (
        midnight + calendar.week.evening_from,
        midnight + calendar.week.evening_from + calendar.week.evening,
    )


def _over(calendar: Calendar, day: date, lag: Second) -> Second:
    """When a wait after a task that was done on that day is over. Nobody wrote the hour: a wait is counted from the
    end of that day's work, and without one the same evening may go on."""
    begin, end = _evening_of(calendar, day)
    return end + lag if lag > 0 else begin


def _finish(planned: _Planned | None, tasks: Sequence[Task]) -> datetime | None:
    if planned is None:
        return None
    waits = {task.id: _wait(task.wait, planned.end) for task in tasks}
    last = max((turn.end + waits[one] for one, turn in planned.turns.items()), default=None)
    return None if last is None else planned.calendar.moment(last)


def _tonight(
    tasks: Sequence[Task], crew: Crew, planned: _Planned, done: Mapping[str, Mark], today: date
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What today's time is enough for, all that must come before it being done; and what can only be begun."""
    window = planned.calendar.window_of(today)
    if window is None or today < planned.calendar.first:
        return (), ()
    fits, begins = [], []
    for task in tasks:
        if task.id in done or any(link.task not in done for link in task.after):
            continue
        left = window[1] - max(window[0], planned.releases[task.id])
        if left <= 0 or task.people > crew.hands:
            continue
        if _work(task, crew.hands, "value") <= left:
            fits.append(task.id)
        elif left >= LEAST_LEFT:
            begins.append(task.id)

    def urgency(one: str) -> float:
        return planned.times[one].latest_start

    return tuple(sorted(fits, key=urgency)), tuple(sorted(begins, key=urgency))


def _days(slots: Sequence[Slot], tasks: Sequence[Task]) -> tuple[BuildDay, ...]:
    """What is worked on each day, and the hours of all who work at it."""
    people = {task.id: task.people for task in tasks}
    by_day: dict[date, list[tuple[datetime, datetime, str]]] = {}
    for slot in slots:
        for start, end in slot.spans:
            by_day.setdefault(start.date(), []).append((start, end, slot.task))
    return tuple(
        BuildDay(
            day=day, tasks=tuple(dict.fromkeys(task for *_, task in sorted(spans))),
            hours=sum((end - start).total_seconds() * people[task] for start, end, task in spans),
        )
        for day, spans in sorted(by_day.items())
    )  # fmt: skip


def _late(tasks: Sequence[Task], crew: Crew, today: date, done: Mapping[str, Mark]) -> tuple[str, ...]:
    """What was to be done before today, had all gone as it was first planned."""
    if crew.begin is None or crew.begin >= today:
        return ()
    first = _plan(tasks, crew, crew.begin, {}, "value")
    if first is None:
        return ()
    midnight = first.calendar.second(today)
    return tuple(task.id for task in tasks if task.id not in done and first.turns[task.id].end < midnight)


def begins_on(crew: Crew, today: date) -> date:
    """The first day anybody may work.

    >>> week = Week(evening=0.0, weekend=7200.0, evening_from=0.0, weekend_from=0.0)
    >>> crew = Crew(week=week, shortest=week, longest=week, hands=1)
    >>> begins_on(crew, date(2026, 12, 3))
    datetime.date(2026, 12, 5)
    """
    first = max(today, crew.begin or today)
    window = Calendar(first, crew.week, crew.not_on).window_after(0.0)
    return first if window is None else first + timedelta(seconds=window[0])
