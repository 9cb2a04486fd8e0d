"""The build book: every sheet of a plan in the order one builds, each also to be had alone; and all its data files."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tankwright.building.ical import calendar_file
from tankwright.display import printable, sentence
from tankwright.documents.data_files import csv_of, workbook_of
from tankwright.documents.entries import entries
from tankwright.documents.model import Sheet, Table
from tankwright.documents.pdf import pdf_of
from tankwright.documents.source import Book
from tankwright.workspace.disk import utcnow

Progress = Callable[[int, int], None]


def sheets_of(book: Book, wanted: Sequence[str] = (), progress: Progress | None = None) -> tuple[Sheet, ...]:
    """The sheets asked for by their names, all when none is named; `progress` counts them and may raise to stop."""
    chosen = [one for one in entries(book.room) if not wanted or one.name in wanted]
    made: list[Sheet] = []
    for number, entry in enumerate(chosen):
        if progress is not None:
            progress(number, len(chosen))
        made += entry.make(book)
    return tuple(made)


def book_pdf(book: Book, wanted: Sequence[str] = (), progress: Progress | None = None) -> bytes:
    """The book, or the sheets asked for, as one PDF. `progress` counts sheets made, then the pages being set."""
    of = len(entries(book.room)) + 1

    def told(done: int, _of: int) -> None:
        if progress is not None:
            progress(done, of)

    sheets = sheets_of(book, wanted, told)
    told(of - 1, of)
    pdf = whole_pdf(book, sheets, contents=not wanted)
    told(of, of)
    return pdf


def whole_pdf(book: Book, sheets: Sequence[Sheet], *, contents: bool = True) -> bytes:
    """Sheets that were made, as one PDF; with `contents` the first ends with a list of all."""
    return pdf_of(
        sheets, title=printable(book.room.title), foot=book.foot, paper=book.small, display=book.display,
        contents=contents and bool(sheets),
    )  # fmt: skip


def tables_in(sheets: Sequence[Sheet]) -> tuple[Table, ...]:
    """The tables that are data, in the order of the book."""
    return tuple(
        block
        for sheet in sheets
        for block in (*sheet.blocks, *sheet.data)
        if isinstance(block, Table) and block.file
    )


def data_files(book: Book, sheets: Sequence[Sheet]) -> dict[str, bytes]:
    """CSV of every table, one workbook of them all, the calendar, and drawings for CAD, by file name."""
    from tankwright.drawing.dxf import drill_dxf, fronts_dxf, plan_dxf  # noqa: PLC0415 - a library of CAD comes with it

    tables = tables_in(sheets)
    files = {f"tables/{table.file}.csv": csv_of(table, book.display).encode("utf-8") for table in tables}
    files["tables.xlsx"] = workbook_of(tables, book.display)
    if book.schedule.slots:
        files["build.ics"] = calendar_file(
            book.schedule, book.tasks, title=f"{book.room.title}: build order", room=book.opened.path.stem,
            stamp=utcnow(), sequence=len(book.asked.marks),
            say=lambda text, numbers: printable(sentence(text, numbers, book.display)),
        )  # fmt: skip
    files["plan.dxf"] = plan_dxf(book.room).encode("utf-8")
    files["fronts.dxf"] = fronts_dxf(book.room).encode("utf-8")
    if any(tank.holes for tank in book.room.tanks):
        files["drill.dxf"] = drill_dxf(book.room).encode("utf-8")
    return files
