"""Which tasks are done: marks as pure data, and as the lines a file keeps."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from tankwright.units import clip

LONGEST: Final = {"task": 120, "who": 80, "note": 2000, "key": 80}


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A task was done on that day. `undone` takes back what was marked before. `key` is its sender's own, so that
    sending it again is no second mark; "" for none."""

    task: str
    done_on: date
    who: str = ""
    note: str = ""
    undone: bool = False
    key: str = ""


def standing(marks: Iterable[Mark]) -> dict[str, Mark]:
    """The newest mark of each task, those taken back left out; marks come oldest first.

    >>> one = Mark(task="a", done_on=date(2026, 12, 5))
    >>> standing((one, Mark(task="a", done_on=date(2026, 12, 6), undone=True)))
    {}
    """
    newest = {one.task: one for one in marks}
    return {task: one for task, one in newest.items() if not one.undone}


def record_of(mark: Mark) -> dict[str, Any]:
    """The mark as a line of a journal keeps it.

    >>> record_of(Mark(task="tanks.place:A", done_on=date(2026, 12, 5)))["done_on"]
    '2026-12-05'
    """
    record = {
        "task": clip(mark.task, LONGEST["task"]), "done_on": mark.done_on.isoformat(),
        "who": clip(mark.who, LONGEST["who"]), "note": mark.note[: LONGEST["note"]], "undone": mark.undone,
    }  # fmt: skip
    return {**record, "key": mark.key[: LONGEST["key"]]} if mark.key else record


def mark_of(record: Mapping[str, Any]) -> Mark | None:
    """The mark of a record; None when it is none.

    >>> mark_of({"task": "a", "done_on": "2026-12-05"}).done_on
    datetime.date(2026, 12, 5)
    >>> mark_of({"task": "a", "done_on": "soon"}) is None
    True
    """
    task, day = record.get("task"), record.get("done_on")
    if not isinstance(task, str) or not task.strip() or not isinstance(day, str):
        return None
    try:
        done_on = date.fromisoformat(day)
    except ValueError:
        return None
    return Mark(
        task=task, done_on=done_on, who=str(record.get("who") or ""), note=str(record.get("note") or ""),
        undone=record.get("undone") is True, key=str(record.get("key") or ""),
    )  # fmt: skip
