"""A round on paper as PDF: every code and tank is on it, nothing hangs over the edge, boxes are wide enough."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime

import pypdf
import pytest

from tankwright.documents.model import Table
from tankwright.documents.round_sheet import NARROWEST, round_pdf, round_sheet
from tankwright.drawing.paper import Paper
from tankwright.husbandry.register import Task
from tankwright.husbandry.round_sheets import MOST_COLUMNS, MOST_ROWS, RoundSheet, sheets
from tankwright.husbandry.rounds import DueItem

from .test_pdf import letters, pages_of

AT = datetime(2026, 8, 2, 7, tzinfo=UTC)


def full() -> RoundSheet:
    """A page with as many rows and columns as it has room for, all with long names."""
    items = [
        DueItem(task=Task(id=f"{row}-{column}", label=f"Kind of work {column} with a name", place=f"p{row}",
                          kind=f"k{column}", quantity="x", unit="mL/min", low=1.0, high=30.0 + column),
                state="due", day=date(2026, 8, 2), last=None, order=row)
        for row in range(1, MOST_ROWS + 1) for column in range(MOST_COLUMNS)
    ]  # fmt: skip
    (sheet,) = sheets(items, {f"p{row}": f"R12-C{row:02d}" for row in range(1, 60)}, AT, 123456)
    return sheet


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_full_page_is_one_page_with_nothing_cut(paper: Paper) -> None:
    pdf = round_pdf([full()], title="Cellar", paper=paper)
    (page,) = pypdf.PdfReader(io.BytesIO(pdf)).pages
    text = page.extract_text()
    for row in range(1, MOST_ROWS + 1):
        assert full().row_code(row) in text
        assert f"R12-C{row:02d}" in text
    (drawn,) = pages_of(pdf)
    wide, tall = drawn.get_size()
    for _, left, bottom, right, top in letters(drawn):
        assert left >= 0
        assert right <= wide
        assert bottom >= 0
        assert top <= tall


def test_the_range_stands_over_its_column_and_a_box_can_be_written_in() -> None:
    sheet = round_sheet(full())
    table = next(one for one in sheet.blocks if isinstance(one, Table) and len(one.columns) > 4)
    assert table.columns[2].name.endswith("1 to 30 mL/min")
    assert all(column.write >= NARROWEST for column in table.columns[2:])


def test_no_text_of_the_owner_becomes_markup() -> None:
    task = Task(id="t", label="#emph[x] $y$ <b>", place="p", kind="k")
    items = [DueItem(task=task, state="due", day=date(2026, 8, 2), last=None, order=1)]
    (sheet,) = sheets(items, {"p": "*A1*"}, AT, 1)
    text = pypdf.PdfReader(io.BytesIO(round_pdf([sheet], title="#pagebreak()"))).pages[0].extract_text()
    assert "#emph[x] $y$ <b>" in text
    assert "*A1*" in text
