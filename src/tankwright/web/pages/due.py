"""What is due at a desk: a table in the order of the round, late work first, each done with a tick or its number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from tankwright.web import clock
from tankwright.web.due_shown import (
    STATES,
    TaskShown,
    counts_by_zone,
    due_now,
    parts_of,
    shown,
)
from tankwright.web.page import FieldError, Page, View
from tankwright.workspace.round_work import Due, stands

MOST: Final = 80
"""Rows of one page of the table."""
DAYS: Final = (0, 1, 7, 30)
"""How many days ahead one can look."""
DONE: Final = "due"
"""Where the error of the table's form stands; that of one task is at "due:<its id>"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row: its place ("" for the room), whether hands are washed before it, its task, what was typed for it."""

    place: str
    washes: bool
    one: TaskShown
    typed: str
    error: FieldError | None


def show(view: View) -> Mapping[str, object]:
    """The table, and what was done last."""
    ahead = _ahead(view)
    due = due_now(view, clock.today() + timedelta(days=ahead))
    rows = _rows(view, due)
    start = _start(view, len(rows))
    book = view.log.kept
    done_key = view.query.get("done", "")
    return {
        "due": due, "rows": rows[start : start + MOST], "count": len(rows), "start": start, "most": MOST,
        "states": STATES, "ahead": ahead, "choices": DAYS, "round_parts": parts_of(due), "zones": counts_by_zone(due),
        "late": sum(one.state == "late" for one in due.items), "open": len(due.open),
        "held": sum(one.state == "held" for one in due.items),
        "has_work": book is not None and bool(book.tasks()),
        "done": stands(book, done_key) if book is not None and done_key else None, "done_key": done_key,
        "done_count": view.query.get("n", ""), "undone": "undone" in view.query, "error": view.errors.get(DONE),
        "sure": view.errors[DONE].sent.get("asked", "") if DONE in view.errors else "",
        "can": view.may("enter"),
    }  # fmt: skip


def _ahead(view: View) -> int:
    asked = view.query.get("days", "")
    return next((one for one in DAYS if str(one) == asked), 0)


def _start(view: View, count: int) -> int:
    asked = view.query.get("from", "")
    number = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 1
    return min(max(0, (number - 1) // MOST * MOST), max(0, (count - 1) // MOST * MOST))


def _rows(view: View, due: Due) -> list[Row]:
    rows = []
    washed = set(due.washes)
    again = view.errors[DONE].sent if DONE in view.errors else {}
    ticked = again.get("ticked", "").split()
    for item in due.items:
        place = item.task.place
        error = view.errors.get(f"due:{item.task.id}")
        sent = again.get(f"v:{item.task.id}", "") or ("yes" if item.task.id in ticked else "")
        rows.append(Row(
            place=due.label(place), washes=place in washed, one=shown(item, due.today), error=error,
            typed=error.typed if error is not None else sent,
        ))  # fmt: skip
        washed.discard(place)
    return rows


PAGE: Final = Page(name="due", path="/due", title="Due", template="due.html", show=show, group="life")
