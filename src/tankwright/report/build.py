"""The build order in words, as a table and as JSON: when it ends, what holds it, what can be done tonight."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Final

from tankwright.building.model import Schedule, Slot, Task, Wait
from tankwright.finding import Finding, Number
from tankwright.report.finding import json_finding
from tankwright.report.model import SummaryLine
from tankwright.units import Second

HOUR: Final[Second] = 3600.0
CAUTION: Final = (
    "Hours and waits are those of common practice and of makers' tables: the tin, the tube and the maker go before "
    "them. Mains, gas, loads and glass: a screening; your local code and licensed people decide."
)
CSV_HEADINGS: Final = (
    "task", "title", "group", "places", "after", "people", "labour_h", "start", "end", "ready", "slack_h", "critical",
    "done_on", "hold_point",
)  # fmt: skip


def summary_lines(schedule: Schedule, tasks: Sequence[Task]) -> Iterator[SummaryLine]:
    """When it is done, what it takes, what holds it."""
    done = {slot.task for slot in schedule.slots if slot.done}
    left = sum(task.labour.value for task in tasks if task.id not in done)
    yield SummaryLine(
        f"{len(tasks)} tasks, {len(done)} done; {{labour}} hours of work left, of one person",
        (("labour", Number(left / HOUR, "number")),),
    )
    if schedule.finish is None:
        yield SummaryLine("no calendar: see below")
        return
    if schedule.proved is not None:
        yield SummaryLine(f"proved with water and power on {day_words(schedule.proved)}, before any fish")
    yield SummaryLine(f"done on {day_words(schedule.finish)}{_between(schedule)}")
    if schedule.path_finish is not None and schedule.path_finish.date() < schedule.finish.date():
        yield SummaryLine(
            f"with as many hands as one likes it would be {day_words(schedule.path_finish)}, held by waits alone"
        )
    if schedule.late:
        yield SummaryLine(f"{len(schedule.late)} tasks are later than first planned")


def day_words(moment: datetime) -> str:
    """A day as it is told.

    >>> day_words(datetime(2026, 12, 5, 9, 30))
    'Sat 5 Dec 2026'
    """
    return f"{_DAYS[moment.weekday()]} {moment.day} {_MONTHS[moment.month - 1]} {moment.year}"


def time_words(moment: datetime) -> str:
    """A moment as it is told.

    >>> time_words(datetime(2026, 12, 5, 9, 30))
    'Sat 5 Dec 2026, 09:30'
    """
    return f"{day_words(moment)}, {moment:%H:%M}"


_DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def json_build(schedule: Schedule, tasks: Sequence[Task], findings: Sequence[Finding]) -> dict[str, object]:
    """Everything, units in the names of keys; moments are local, without a zone.

    `build.schema.json` describes each key.
    """
    slots = {slot.task: slot for slot in schedule.slots}
    return {
        "caution": CAUTION,
        "today": schedule.today.isoformat(),
        "finish": _iso(schedule.finish),
        "earliest": _iso(schedule.earliest),
        "latest": _iso(schedule.latest),
        "proved": _iso(schedule.proved),
        "path_finish": _iso(schedule.path_finish),
        "critical_path": list(schedule.path),
        "tonight": list(schedule.tonight),
        "begin_tonight": list(schedule.begin_tonight),
        "late": list(schedule.late),
        "days": [
            {"day": one.day.isoformat(), "tasks": list(one.tasks), "hours_h": round(one.hours / HOUR, 3)}
            for one in schedule.days
        ],
        "tasks": [_json_task(task, slots.get(task.id)) for task in tasks],
        "findings": [json_finding(one) for one in findings],
    }


def _json_task(task: Task, slot: Slot | None) -> dict[str, object]:
    return {
        "id": task.id, "title": task.title, "group": task.group, "places": list(task.places),
        "after": [{"task": one.task, "until": one.until} for one in task.after], "people": task.people,
        "labour_s": {"value": task.labour.value, "low": task.labour.low, "high": task.labour.high},
        "sets": _json_wait(task.sets), "wait": _json_wait(task.wait), "how": task.how, "hold_point": task.hold_point,
        "numbers": {name: {"value": one.value, "dimension": one.dimension} for name, one in task.numbers},
        "materials": list(task.materials), "licensed": task.licensed, "source": task.source,
        "rests_on": list(task.rests_on), "slot": None if slot is None else _json_slot(slot),
    }  # fmt: skip


def _json_slot(slot: Slot) -> Mapping[str, object]:
    return {
        "start": _iso(slot.start), "end": _iso(slot.end), "ready": _iso(slot.ready), "slack_s": slot.slack,
        "critical": slot.critical, "held_by": slot.held_by or None,
        "done_on": None if slot.done is None else slot.done.isoformat(),
        "spans": [[_iso(start), _iso(end)] for start, end in slot.spans],
    }  # fmt: skip


def _json_wait(wait: Wait) -> Mapping[str, object] | None:
    if not wait.why:
        return None
    return {"value_s": wait.value, "least_s": wait.least, "most_s": wait.most, "why": wait.why}


def csv_build(schedule: Schedule, tasks: Sequence[Task]) -> str:
    """A row a task, by when it begins; without a calendar in the order of the trade."""
    by_id = {task.id: task for task in tasks}
    slots: Mapping[str, Slot] = {slot.task: slot for slot in schedule.slots}
    told = io.StringIO()
    writer = csv.writer(told, lineterminator="\n")
    writer.writerow(CSV_HEADINGS)
    for name in (*slots,) or (*by_id,):
        task, slot = by_id[name], slots.get(name)
        writer.writerow((
            task.id, task.title, task.group, _as_text(" ".join(task.places)),
            " ".join(one.task for one in task.after),
            task.people, f"{task.labour.value / HOUR:.2f}",
            *(("",) * 6 if slot is None else (
                _iso(slot.start), _iso(slot.end), _iso(slot.ready), f"{slot.slack / HOUR:.2f}",
                "yes" if slot.critical else "", slot.done.isoformat() if slot.done else "",
            )),
            task.hold_point,
        ))  # fmt: skip
    return told.getvalue()


def _as_text(names: str) -> str:
    """Names of the owner's, which a spreadsheet must not take for a formula."""
    return f"'{names}" if names.startswith(("=", "+", "-", "@", "\t", "\r")) else names


def _iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat(timespec="minutes")


def _between(schedule: Schedule) -> str:
    if schedule.earliest is None or schedule.latest is None:
        return ""
    return f" ({day_words(schedule.earliest)} to {day_words(schedule.latest)}, by how the work goes)"
