"""The work that comes again: what the plan proposes, taken with one tap; every task, to be changed or stopped; a new
one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.husbandry.proposals import Proposal, proposals
from tankwright.husbandry.register import Task
from tankwright.husbandry.rounds import range_words
from tankwright.web.page import Page, View
from tankwright.web.texts import N_
from tankwright.workspace.opened import Opened

MOST: Final = 60
"""Tasks of one page of the table."""
FORM: Final = "task"
"""Where the errors of the form stand: "task:<field>"."""
DAYS: Final = (N_("Mon"), N_("Tue"), N_("Wed"), N_("Thu"), N_("Fri"), N_("Sat"), N_("Sun"))
FIELDS: Final = (
    "label",
    "places",
    "every",
    "window",
    "by",
    "quantity",
    "unit",
    "low",
    "high",
    "rotation",
    "rest",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposed:
    """A proposal as it is shown: how many of its tasks are taken already, what it reads."""

    one: Proposal
    taken: int
    new: int
    range: str
    how_often: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Tasks that are alike, in one row: their places, and one of them to be changed."""

    task: Task
    places: tuple[str, ...]
    range: str
    days: str


def show(view: View) -> Mapping[str, object]:
    """Proposals, the table, and the form, filled in with the task the address asks for."""
    book = view.log.kept
    tasks = book.tasks() if book is not None else ()
    labels = {one.id: one.label for one in book.places()} if book is not None else {}
    asked = next((one for one in tasks if one.id == view.query.get("change", "")), None)
    rows = _rows(tasks, labels)
    return {
        "proposed": _proposed(view, tasks, labels), "rows": rows[:MOST], "more": max(0, len(rows) - MOST),
        "count": len(tasks), "changing": asked, "form": _form(view, asked, labels), "weekdays": DAYS,
        "days_words": days_words,
        "errors": {name: view.errors.get(f"{FORM}:{name}") for name in (*FIELDS, "weekdays")},
        "whole": view.errors.get(FORM), "may_edit": view.may("edit"), "taken": view.query.get("taken", "")[:80],
        "kept": view.query.get("kept", "")[:80], "stopped": view.query.get("stopped", "")[:80],
        "tanks": tuple(tank.id for tank in view.room.tanks) if view.room else (),
    }  # fmt: skip


def proposals_of(opened: Opened) -> tuple[Proposal, ...]:
    """What a worked-out plan proposes."""
    return proposals(opened.study) if opened.study is not None else ()


def _proposed(view: View, tasks: tuple[Task, ...], labels: Mapping[str, str]) -> tuple[Proposed, ...]:
    known = {(one.kind, labels.get(one.place, ""), one.label) for one in tasks}
    found = []
    for one in view.made_once.keep(view.snapshot, "proposed work", proposals_of) or ():
        new = sum((one.kind, each.place, each.label or one.label) not in known for each in one.wanted)
        ranges = {
            range_words(Task(id="", label="", unit=one.unit, low=each.low, high=each.high))
            for each in one.wanted
        }
        found.append(Proposed(
            one=one, taken=len(one.wanted) - new, new=new, range=ranges.pop() if len(ranges) == 1 else "",
            how_often=days_words(one.every_days),
        ))  # fmt: skip
    return tuple(found)


def days_words(days: float) -> str:
    """How often, in words.

    >>> days_words(1), days_words(7), days_words(0.5), days_words(28)
    ('every day', 'every week', '2 times a day', 'every 28 days')
    """
    if days < 1.0:
        return f"{1.0 / days:.3g} times a day"
    return {1.0: "every day", 7.0: "every week", 14.0: "every other week"}.get(
        float(days), f"every {days:g} days"
    )


def _rows(tasks: tuple[Task, ...], labels: Mapping[str, str]) -> list[Row]:
    alike: dict[tuple[object, ...], list[Task]] = {}
    for one in tasks:
        alike.setdefault(alike_by(one), []).append(one)
    return [
        Row(task=some[0], places=tuple(labels.get(one.place, "") for one in some), range=range_words(some[0]),
            days=" ".join(DAYS[day % 7] for day in some[0].weekdays))
        for some in sorted(alike.values(), key=lambda some: (some[0].every_days, some[0].kind, some[0].label))
    ]  # fmt: skip


def alike_by(task: Task) -> tuple[object, ...]:
    """What tasks have in common that stand in one row, and are stopped together."""
    return (
        task.kind, task.label, task.every_days, task.window_days, task.by, task.weekdays, task.low, task.high,
        task.rotation,
    )  # fmt: skip


def _form(view: View, asked: Task | None, labels: Mapping[str, str]) -> Mapping[str, str]:
    """What stands in the fields: what was sent, else the task that is changed, else the usual."""
    sent = next((one.sent for one in view.errors.values() if "label" in one.sent), None)
    if sent is not None:
        return {name: sent.get(name, "") for name in (*FIELDS, "weekdays", "task")}
    if asked is None:
        return dict.fromkeys((*FIELDS, "weekdays", "task"), "") | {"every": "7", "window": "0"}

    def said(number: float | None) -> str:
        return "" if number is None else f"{number:g}"

    return {
        "label": asked.label, "places": labels.get(asked.place, ""), "every": said(asked.every_days),
        "window": said(asked.window_days), "by": asked.by, "quantity": asked.quantity, "unit": asked.unit,
        "low": said(asked.low), "high": said(asked.high), "rotation": asked.rotation, "rest": said(asked.rest_days),
        "weekdays": " ".join(str(day) for day in asked.weekdays), "task": asked.id,
    }  # fmt: skip


PAGE: Final = Page(
    name="due_work", path="/due/work", title="Work that comes again", template="due_work.html", show=show
)
