"""Dates as people write them in tables."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.workspace.bringing.dates import ColumnOrder, column_order, read_date


@pytest.mark.parametrize(
    ("text", "order", "said"),
    [
        ("2026-08-02", None, "2026-08-02T12:00"),
        ("2/8/2026", "day first", "2026-08-02T12:00"),
        ("2/8/2026", "month first", "2026-02-08T12:00"),
        ("02.08.26 07:15", "day first", "2026-08-02T07:15"),
        ("2 Aug 2026", None, "2026-08-02T12:00"),
        ("2. August 99", None, "1999-08-02T12:00"),
        ("13/8/2026", None, "2026-08-13T12:00"),
        ("8/13/2026", None, "2026-08-13T12:00"),
        ("8/8/2026", None, "2026-08-08T12:00"),
    ],
)
def test_a_date_is_read(text: str, order: object, said: str) -> None:
    read = read_date(text, order)  # type: ignore[arg-type]
    assert read is not None
    assert read.isoformat(timespec="minutes") == said


@pytest.mark.parametrize(
    "text", ["", "soon", "2026-13-01", "31/4/2026", "1/2", "0/0/0", "2026-08-02T25:00", "3/4/2026"]
)
def test_what_is_no_date_or_could_be_two_is_none(text: str) -> None:
    assert read_date(text, None) is None


def test_an_order_told_does_not_bend_a_date_that_contradicts_it() -> None:
    assert read_date("13/8/2026", "month first") is None
    assert read_date("8/13/2026", "day first") is None


def test_a_column_of_two_minds_proves_nothing() -> None:
    assert column_order(["13/8/2026", "8/13/2026"]) == ColumnOrder(order=None, for_day=1, for_month=1)
    assert column_order(["13/8/2026", "8/13/2026"]).of_two_minds


def test_a_cell_that_is_a_date_is_taken_as_it_is() -> None:
    assert read_date(datetime(2026, 8, 2), None) == datetime(2026, 8, 2, 12)
    assert read_date(datetime(2026, 8, 2, 7, 15), None) == datetime(2026, 8, 2, 7, 15)


@given(
    st.lists(st.dates(date(1975, 1, 1), date(2060, 1, 1)), min_size=1),
    st.sampled_from(["day first", "month first"]),
)
def test_what_is_written_in_one_order_is_read_back(days: list[date], order: str) -> None:
    said = "%d/%m/%Y" if order == "day first" else "%m/%d/%Y"
    cells = [day.strftime(said) for day in days]
    found = column_order(cells)
    assert found.order in {order, None, "year first"}
    if any(day.day > 12 for day in days):
        assert found.order == order
    for day, cell in zip(days, cells, strict=True):
        read = read_date(cell, order)  # type: ignore[arg-type]
        assert read is not None
        assert read.date() == day
