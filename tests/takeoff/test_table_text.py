"""Tables as spreadsheets write them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.takeoff.table_text import NotATable, read_amount, read_table, table_text


@given(st.binary(max_size=200) | st.text(max_size=80).map(str.encode))
def test_nothing_a_file_holds_raises(raw: bytes) -> None:
    text = table_text(raw)
    if isinstance(text, str):
        table = read_table(text)
        assert all(row.line >= 1 for row in table.rows)


@pytest.mark.parametrize(
    ("typed", "sign", "value"),
    [
        ("1.20", ",", "1.20"), ("1,20", ",", "1.20"), ("1,20", ";", "1.20"), ("1 200,50", "\t", "1200.50"),
        ("-3", ",", "-3"),
        ("1,234", ",", None), ("nan", ",", None), ("1e400", ",", None), ("", ",", None), ("١", ",", None),
        ("1_0", ",", None),
    ],
)  # fmt: skip
def test_an_amount_is_read_or_is_none(typed: str, sign: str, value: str | None) -> None:
    if value is None and typed == "1e400":
        assert read_amount(typed, sign) == Decimal("1e400"), (
            "finite, and for the reader of the column to bound"
        )
    else:
        assert read_amount(typed, sign) == (None if value is None else Decimal(value))


def test_a_quoted_cell_may_go_over_lines_and_the_line_is_where_it_ends() -> None:
    table = read_table('a,b\n"x\ny",1\nz,2\n')
    assert [(row.line, row.cells["a"]) for row in table.rows] == [(3, "x\ny"), (4, "z")]


def test_where_reading_stops_is_told_by_its_line() -> None:
    table = read_table('a,b\nx,1\n"y,2\n')
    assert isinstance(table.broken, NotATable)
    assert table.broken.line == 3
    assert len(table.rows) == 1
