"""Rows of people's tables: what each says, and what is not understood with where and why."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from itertools import count

import pytest

from tankwright.finding import Finding
from tankwright.workspace.bringing.columns import TableReading, changed_reading, guessed_reading
from tankwright.workspace.bringing.rows import Known, Understood, understood_rows
from tankwright.workspace.bringing.tables import Table, read_table

NOW = datetime(2026, 8, 2, 20, tzinfo=UTC)


def known() -> Known:
    numbers = count(1)
    return Known(
        places={"A3": "pa3", "B1": "pb1"}, lines={}, stocks={"Amber": "s1"}, living={"pb1": ("s1",)}, now=NOW,
        zone=UTC, new_id=lambda: f"new{next(numbers)}",
    )  # fmt: skip


def read(text: str, **said: str) -> tuple[tuple[Understood, ...], tuple[Finding, ...]]:
    table = read_table("people.csv", text.encode())
    assert isinstance(table, Table)
    reading = changed_reading(guessed_reading(table, frozenset({"A3", "B1"})), said)
    return understood_rows(table, reading, known())


def test_tests_of_water_are_read_with_their_units() -> None:
    rows, wrong = read(
        "Date;Tank;pH;KH (ppm);Temp (°F);NO2;Comment\n2.8.2026;A3;7,2;90;77;<0,05;after feeding\n13.7.2026;B1;7;;;;\n"
    )
    assert wrong == ()
    first = rows[1].drafts[0]
    assert [(one.quantity, one.value, one.unit) for one in first.observed] == [
        ("ph", 7.2, ""), ("kh", 5.043, "°dH"), ("temperature", 77.0, "°F"), ("no2", 0.05, "mg/L"),
    ]  # fmt: skip
    assert (first.observed[3].low, first.observed[3].high) == (0.0, 0.05)
    assert first.note == "after feeding"
    assert first.happened == datetime(2026, 8, 2, 12, tzinfo=UTC)


def test_dates_that_could_be_two_are_not_guessed_until_their_order_is_told() -> None:
    text = "Date,Tank,pH\n2/8/2026,A3,7\n3/4/2026,B1,7\n"
    rows, wrong = read(text)
    assert rows == ()
    assert [(one.code, one.subject, one.found) for one in wrong] == [
        ("TAKE-04", "row 2", "date: 2/8/2026"), ("TAKE-04", "row 3", "date: 3/4/2026"),
    ]  # fmt: skip
    rows, wrong = read(text, order="day first")
    assert [one.row for one in rows] == [3, 2]  # as they happened
    assert wrong == ()


def test_of_a_column_of_two_minds_only_what_is_certain_is_read() -> None:
    rows, wrong = read("Date,Tank,pH\n13/8/2025,A3,7\n8/13/2025,B1,7\n3/4/2025,B1,7\n")
    assert sorted(one.row for one in rows) == [2, 3]
    assert [one.line for one in wrong] == [4]


def test_what_happened_is_read_in_the_words_people_use() -> None:
    rows, wrong = read(
        "Date,Tank,What,How many,Stock,From,Price\n"
        "2026-01-05,A3,bought,6,Slate 1,a show,30\n"
        "2026-02-01,A3,dead,,,,\n"
        "2026-02-02,B1,died,2,,,\n"
        "2026-03-01,A3,fry,40,Slate 2,,\n"
        "2026-03-09,A3,water change,,,,\n"
    )
    assert wrong == ()
    kinds = [[draft.kind for draft in one.drafts] for one in rows]
    assert kinds == [["stock_opened", "arrived"], ["died"], ["died"], ["stock_opened", "born"], ["cleaned"]]
    assert rows[1].drafts[0].stock == rows[0].drafts[0].stock  # the only fish there
    assert (rows[2].drafts[0].stock, rows[2].drafts[0].flows[0].quantity) == ("s1", -2)
    assert rows[0].drafts[1].details == {"price": 30.0, "from": "a show"}


def test_a_death_among_several_stocks_is_kept_as_a_question() -> None:
    rows, _ = read("Date,Tank,What,n,Stock\n2026-01-05,B1,bought,6,Slate 1\n2026-01-09,B1,dead,1,\n")
    assert rows[1].drafts[0].details == {"unassigned": True}


def test_tanks_as_they_are_now_open_their_lines_and_stocks() -> None:
    rows, wrong = read("Tank,Species,Strain,Count,Sex\nA3,Danio rerio,Slate,12,\nB1,Danio rerio,Slate,1,m\n")
    assert wrong == ()
    assert [[draft.kind for draft in one.drafts] for one in rows] == [
        ["line_opened", "stock_opened", "found"], ["stock_opened", "found"],
    ]  # fmt: skip
    assert [one.drafts[-2].details["label"] for one in rows] == ["Slate", "Slate 2"]
    assert rows[1].drafts[0].details["sex"] == "male"


@pytest.mark.parametrize(
    ("row", "found", "wanted"),
    [
        (",A3,dead,1,,", "date: ", "2026-08-02"),
        ("2027-01-01,A3,dead,1,,", "date: 2027-01-01", "a day that has been"),
        ("2026-01-01,Z9,dead,1,,", "tank: Z9", "a tank of the plan"),
        ("2026-01-01,,dead,1,,", "tank: ", "the tank's name"),
        ("2026-01-01,A3,dead,a few,,", "number: a few", "12"),
        ("2026-01-01,A3,dead,-2,,", "number: -2", "12"),
        ("2026-01-01,A3,flew away,1,,", "what: flew away", "died, culled"),
        ("2026-01-01,A3,counted,4,,", "stock: ", "a column with the name of the stock"),
        ("2026-01-01,B1,moved,4,,", "to: ", "the tank's name"),
    ],
)  # fmt: skip
def test_a_row_that_is_not_understood_is_told_whole_and_records_nothing(
    row: str, found: str, wanted: str
) -> None:
    rows, wrong = read(f"Date,Tank,What,How many,Stock,To\n{row}\n2026-01-02,B1,fed,,,\n")
    assert [one.row for one in rows] == [3]
    assert [one.subject for one in wrong] == ["row 2"]
    assert wrong[0].found == found
    assert wrong[0].wanted.startswith(wanted)


def test_places_of_old_are_opened_once_when_that_is_wanted() -> None:
    rows, wrong = read("Date,Tank,pH\n2026-01-01,Old 4,7\n2026-01-09,old 4,7\n", places="yes")
    assert wrong == ()
    assert [[draft.kind for draft in one.drafts] for one in rows] == [["place_opened", "tested"], ["tested"]]


def test_what_a_row_that_failed_would_have_opened_is_opened_by_the_next() -> None:
    rows, wrong = read(
        "Date,Tank,What,n,Stock\n2026-01-01,Old 4,counted,3,\n2026-01-02,Old 4,bought,3,Slate\n", places="yes"
    )
    assert [one.line for one in wrong] == [2]
    assert [[draft.kind for draft in one.drafts] for one in rows] == [
        ["place_opened", "stock_opened", "arrived"]
    ]


def test_a_table_without_a_column_that_is_needed_says_which() -> None:
    rows, wrong = read("Colour,Shape\nred,round\n")
    assert rows == ()
    assert [(one.code, one.wanted) for one in wrong] == [("TAKE-05", "tank and number")]


def test_the_owner_can_say_what_a_column_is() -> None:
    table = read_table("t.csv", b"A,B,C\n2026-01-01,A3,7\n")
    assert isinstance(table, Table)
    reading = changed_reading(
        TableReading(roles=("", "", ""), sort="tanks", day_order=None, units=("", "", "")),
        {"column 1": "date", "column 2": "tank", "column 3": "ph", "column 9": "kh", "sort": "nonsense"},
    )
    assert (reading.roles, reading.sort) == (("date", "tank", "ph"), "tests")
    assert len(understood_rows(table, replace(reading), known())[0]) == 1
