"""A round as a page of paper: one row a tank in walking order, a box for what is due there, its usual range above."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from tankwright.documents.model import Block, Cell, Column, Paragraph, Sheet, Table
from tankwright.documents.pdf import pdf_of
from tankwright.drawing.paper import Paper
from tankwright.husbandry.round_sheets import RoundSheet

HOW: Final = (
    'Write what you read, not what should be; "/" is looked at and done, nothing is not done. A box with × in it'
    " is not due. Put down the time and your initials, then type it in under the sheet's number: same rows, same order."
)
BOXES: Final = 118.0  # mm that all boxes of a row share
NARROWEST, WIDEST = 12.0, 26.0


def round_sheet(sheet: RoundSheet) -> Sheet:
    """One page of a round.

    >>> from datetime import UTC, datetime
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> round_sheet(RoundSheet(number=417, printed=at, expires=at, columns=(), rows=())).name
    'round-417'
    """
    title = f"Round, sheet {sheet.code}"
    return Sheet(name=f"round-{sheet.number}", title=title, part="round", blocks=tuple(_blocks(sheet)))


def _blocks(sheet: RoundSheet) -> Sequence[Block]:
    wide = min(WIDEST, max(NARROWEST, BOXES / max(1, len(sheet.columns))))
    columns = [Column(name="row"), Column(name="where")]
    columns += [Column(name=_head(one.label, one.range, one.unit), write=wide) for one in sheet.columns]
    rows: list[tuple[Cell, ...]] = []
    for number, row in enumerate(sheet.rows, 1):
        cells = [_box(task, sheet.columns[place].unit) for place, task in enumerate(row.tasks)]
        rows.append((sheet.row_code(number), row.label, *cells))
    line = (Column(name=""), Column(name="", write=60.0), Column(name=""), Column(name="", write=26.0))
    written: tuple[Cell, ...] = ("date and time", None, "initials", None)
    return (
        Paragraph(text=f"Printed {sheet.printed.astimezone():%Y-%m-%d %H:%M}, may be written on until"
                       f" {sheet.expires.astimezone():%Y-%m-%d}. {HOW}"),
        Table(title="", columns=line, rows=(written,)),
        Table(title="", columns=tuple(columns), rows=tuple(rows)),
        Paragraph(text="Seen beside the boxes, and where:"),
        Table(title="", columns=(Column(name="", write=178.0),), rows=((None,), (None,), (None,))),
    )  # fmt: skip


def _head(label: str, usual: str, unit: str) -> str:
    return f"{label}\n{usual or unit}".strip()


def _box(task: str, unit: str) -> Cell:
    """What stands small in a box: its unit, or a cross where nothing is due."""
    return (unit or None) if task else "×"


def round_pdf(sheets: Sequence[RoundSheet], *, title: str, paper: Paper = "A4") -> bytes:
    """The pages of a round as one PDF."""
    foot = f"{title} · sheet {', '.join(one.code for one in sheets)}"
    return pdf_of([round_sheet(one) for one in sheets], title=f"{title}: round", foot=foot, paper=paper)
