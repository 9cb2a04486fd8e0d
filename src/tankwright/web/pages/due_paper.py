"""Rounds on paper: sheets printed, found again by their number, and typed back in the order they are printed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from tankwright.husbandry.check_digits import read_code
from tankwright.husbandry.round_sheets import Cell, RoundSheet, SheetRow
from tankwright.web.due_shown import due_now
from tankwright.web.page import FieldError, Page, View
from tankwright.workspace.disk import utcnow
from tankwright.workspace.round_paper import sheet_numbered, sheets_printed, typed_cells

WHOLE: Final = "sheet"
"""Where what is wrong with a sheet as a whole stands; a cell's is at "sheet:<row>:<column>"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A cell to type in: its number, what stands in it, what is wrong with it; `task` "" where nothing is due."""

    cell: Cell
    task: str
    typed: str
    before: str
    error: FieldError | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedRow:
    """A row to type in, with its code on paper."""

    number: int
    code: str
    row: SheetRow
    boxes: tuple[Box, ...]


def show_list(view: View) -> Mapping[str, object]:
    """The sheets printed last, and how many pages what is due would take."""
    due = due_now(view)
    asked = view.query.get("code", "").strip()[:40]
    code = read_code(asked) if asked else None
    return {
        "sheets": sheets_printed(view.log), "open": len(due.open), "places": len(due.stops()), "now": utcnow(),
        "asked": asked, "code": code, "can": view.may("enter"), "error": view.errors.get("paper"),
        "printed": tuple(one for one in view.query.get("printed", "")[:400].split(",") if one.isdigit()),
    }  # fmt: skip


def show_sheet(view: View) -> Mapping[str, object]:
    """One sheet as it is printed, with boxes to type in."""
    sheet = _asked(view)
    now = utcnow()
    whole = view.errors.get(WHOLE)
    sent = whole.sent if whole is not None else {}
    return {
        "sheet": sheet, "rows": _rows(view, sheet, sent) if sheet is not None else (), "now": now,
        "expired": sheet is not None and now > sheet.expires, "error": whole, "can": view.may("enter"),
        "written": sent.get("written", "") or f"{now.astimezone():%Y-%m-%dT%H:%M}", "sure": sent.get("asked", ""),
        "initials": sent.get("initials", ""), "kept": _count(view, "kept"), "before": _count(view, "before"),
        "at_row": _row_asked(view), "local": _local,
        "conflicts": tuple(one.text for name, one in view.errors.items() if name.startswith("conflict:")),
    }  # fmt: skip


def _count(view: View, name: str) -> str:
    asked = view.query.get(name, "")
    return asked if asked.isascii() and asked.isdigit() and len(asked) < 6 else ""


def _asked(view: View) -> RoundSheet | None:
    name = view.params["round"]
    return (
        sheet_numbered(view.log, int(name)) if name.isascii() and name.isdigit() and len(name) < 7 else None
    )


def _row_asked(view: View) -> int:
    asked = view.query.get("row", "")
    return int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 4 else 0


def _local(moment: datetime) -> str:
    return f"{moment.astimezone():%Y-%m-%d %H:%M}"


def _rows(view: View, sheet: RoundSheet, sent: Mapping[str, str]) -> tuple[TypedRow, ...]:
    known = typed_cells(view.log, sheet)
    return tuple(
        TypedRow(number=number, code=sheet.row_code(number), row=row, boxes=tuple(
            Box(cell=(number, place), task=task, typed=sent.get(f"c{number}-{place}", ""),
                before=known.get((number, place), ""), error=view.errors.get(f"sheet:{number}:{place}"))
            for place, task in enumerate(row.tasks, 1)
        ))
        for number, row in enumerate(sheet.rows, 1)
    )  # fmt: skip


LIST: Final = Page(
    name="due_paper", path="/due/paper", title="Round on paper", template="due_paper.html", show=show_list
)
SHEET: Final = Page(
    name="due_sheet",
    path="/due/paper/{round}",
    title="Sheet typed back",
    template="due_sheet.html",
    show=show_sheet,
)
