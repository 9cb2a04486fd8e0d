"""Rounds on paper: sheets printed of what is due, and typed back cell by cell, each kept once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from tankwright.finding import Finding
from tankwright.husbandry.round_sheets import (
    Cell,
    RoundSheet,
    cell_says,
    printed_draft,
    read_sheet,
    sheet_of,
    sheets,
    typed_before,
)
from tankwright.logbook.outcome import By, Recorded, Refused
from tankwright.workspace.log import RoomLog
from tankwright.workspace.outcomes import trouble
from tankwright.workspace.round_work import Due

NOTHING: Final = "ROUND-03"


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedSheet:
    """What became of typed cells: how many were kept now and before, what was wrong (then nothing was kept), which
    unusual numbers are asked about, and cells that were typed before and said something else."""

    kept: int = 0
    before: int = 0
    mistakes: tuple[tuple[Cell | None, Finding], ...] = ()
    asks: tuple[tuple[Cell, Finding], ...] = ()
    conflicts: tuple[tuple[Cell, Finding], ...] = ()


def print_round(log: RoomLog, due: Due, by: By, now: datetime) -> tuple[RoundSheet, ...] | Finding:
    """Make the sheets of what is due and record that they were printed; of one key once."""
    from tankwright.logbook.rounds_asked import next_sheet_number  # noqa: PLC0415 - loads the database

    book = log.book
    labels = {name: one.label for name, one in due.places.items()}
    made = sheets(due.open, labels, now, next_sheet_number(book))
    if not made:
        return trouble(NOTHING, "sheet", "has nothing to print: nothing is due", wanted="work that is due")
    came = book.record([printed_draft(one) for one in made], by)
    if isinstance(came, Refused):
        return came.findings[0]
    return tuple(sheet_of(event) for event in came.events if event.kind == "sheet_printed")


def sheets_printed(log: RoomLog) -> tuple[RoundSheet, ...]:
    """The sheets printed last, newest first."""
    from tankwright.logbook.rounds_asked import printed_sheets  # noqa: PLC0415 - loads the database

    book = log.kept
    return () if book is None else tuple(sheet_of(one) for one in printed_sheets(book))


def sheet_numbered(log: RoomLog, number: int) -> RoundSheet | None:
    """The sheet of that number."""
    from tankwright.logbook.rounds_asked import printed_sheet  # noqa: PLC0415 - loads the database

    book = log.kept
    event = printed_sheet(book, number) if book is not None else None
    return None if event is None else sheet_of(event)


def typed_cells(log: RoomLog, sheet: RoundSheet) -> Mapping[Cell, str]:
    """What was typed in of a sheet already, by cell."""
    from tankwright.logbook.rounds_asked import sheet_cells  # noqa: PLC0415 - loads the database

    book = log.kept
    if book is None:
        return {}
    found = {}
    start = f"sheet/{sheet.number}/"
    for event in sheet_cells(book, sheet.number):
        row, _, column = event.key.removeprefix(start).partition("/")
        if event.kind == "task_done" and row.isdigit() and column.isdigit():
            found[int(row), int(column)] = cell_says(event)
    return found


def type_back(
    log: RoomLog, sheet: RoundSheet, typed: Mapping[Cell, str], written: datetime, by: By, *, now: datetime,
    sure: Iterable[Cell] = (),
) -> TypedSheet:  # fmt: skip
    """Keep typed cells, or say what is wrong with any of them; then nothing is kept.

    Each cell is kept under its own key: typed again and the same it is there already, and another thing is a conflict
    of which the first stands.
    """
    from tankwright.logbook.rounds_asked import tasks_named  # noqa: PLC0415 - loads the database

    book = log.book
    names = {task for row in sheet.rows for task in row.tasks if task}
    tasks = {one.task.id: one.task for one in tasks_named(book, names)}
    read = read_sheet(sheet, typed, written, tasks, now=now, sure=sure)
    if read.mistakes or read.asks:
        return TypedSheet(mistakes=read.mistakes, asks=read.asks)
    kept = before = 0
    conflicts = []
    for cell, draft in read.drafts:
        key = sheet.key(cell)
        there = book.by_key(key)
        if there is not None:
            conflict = typed_before(sheet, cell, there, draft)
            before += conflict is None
            if conflict is not None:
                conflicts.append((cell, conflict))
            continue
        came = book.record([draft], By(who=by.who, device=by.device, key=key, offset=by.offset))
        if isinstance(came, Recorded):
            kept += 1
        else:
            return TypedSheet(
                kept=kept, before=before, mistakes=((cell, came.findings[0]),), conflicts=tuple(conflicts)
            )
    return TypedSheet(kept=kept, before=before, conflicts=tuple(conflicts))
