"""A round on paper: what is printed reads back, cell by cell, and every slip is told in one pass."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.husbandry.check_digits import check_digits, is_checked, read_code, sheet_code
from tankwright.husbandry.kinds import shape_faults
from tankwright.husbandry.register import Task
from tankwright.husbandry.round_sheets import (
    MOST_COLUMNS,
    MOST_ROWS,
    RoundSheet,
    printed_draft,
    read_sheet,
    sheet_of,
    sheets,
    typed_before,
)
from tankwright.husbandry.rounds import DueItem, done

from .happenings import as_events

AT = datetime(2026, 8, 2, 7, tzinfo=UTC)
LABELS = {f"p{n}": f"A{n}" for n in range(1, 60)}
LOOK, WARM = "look", "temperature"


def task(place: int, kind: str) -> Task:
    reads = {"quantity": "temperature", "unit": "°C", "low": 22.0, "high": 26.0} if kind == WARM else {}
    return Task(id=f"{kind}{place}", label=kind, place=f"p{place}", kind=kind, **reads)  # type: ignore[arg-type]


def item(one: Task, order: int, state: str = "due") -> DueItem:
    return DueItem(task=one, state=state, day=date(2026, 8, 2), last=None, order=order)  # type: ignore[arg-type]


def page() -> tuple[RoundSheet, dict[str, Task]]:
    """Three tanks to look at, two of which have a temperature."""
    tasks = [task(1, LOOK), task(2, LOOK), task(3, LOOK), task(1, WARM), task(3, WARM)]
    (sheet,) = sheets([item(one, int(one.place[1:])) for one in tasks], LABELS, AT, 41)
    return sheet, {one.id: one for one in tasks}


# --- check digits ----------------------------------------------------------------------------------------------------


# Source: examples of ISO/IEC 7064 MOD 97-10 as the tests of several public programs print them.
@pytest.mark.parametrize(("number", "digits"), [
    ("794", "44"), ("3214282912345698765432161 1".replace(" ", ""), "82"), ("33769", "59"), ("242150593", "40"),
    ("94230737687", "04"), ("4134", "15"), ("666529550021"[:-2], "21"),
])  # fmt: skip
def test_check_digits_are_those_in_print(number: str, digits: str) -> None:
    assert check_digits(number) == digits
    assert is_checked(number + digits)


@given(st.integers(1, 999_999), st.integers(1, 999), st.data())
def test_every_wrong_digit_and_every_swap_of_two_neighbours_is_found(
    sheet: int, row: int, data: st.DataObject
) -> None:
    number = f"{sheet}{row:03d}"
    whole = number + check_digits(number)
    at = data.draw(st.integers(0, len(whole) - 1))
    digit = data.draw(st.sampled_from([one for one in "0123456789" if one != whole[at]]))
    assert not is_checked(whole[:at] + digit + whole[at + 1 :])
    if at + 1 < len(whole) and whole[at] != whole[at + 1]:
        assert not is_checked(whole[:at] + whole[at + 1] + whole[at] + whole[at + 2 :])
    assert read_code(sheet_code(sheet, row)) == (sheet, row)
    assert read_code(sheet_code(sheet)) == (sheet, None)


@pytest.mark.parametrize("text", ["", "417", "417-1", "abc", "417.12", "-", "417-11-11", "٤١٧-11"])
def test_what_is_no_code_is_none(text: str) -> None:
    assert read_code(text) is None


# --- printed ---------------------------------------------------------------------------------------------------------


def test_rows_are_tanks_as_one_walks_and_columns_kinds_of_work_with_their_range_above() -> None:
    sheet, _ = page()
    assert [row.label for row in sheet.rows] == ["A1", "A2", "A3"]
    assert [(one.label, one.range) for one in sheet.columns] == [("look", ""), ("temperature", "22 to 26 °C")]
    assert sheet.rows[1].tasks == ("look2", "")
    assert sheet.code == sheet_code(41)


def test_a_range_that_differs_from_row_to_row_is_not_printed_as_one() -> None:
    warm = task(2, WARM)
    other = Task(
        **{**{name: getattr(warm, name) for name in Task.__dataclass_fields__}, "low": 27.0, "high": 30.0}
    )
    (sheet,) = sheets([item(task(1, WARM), 1), item(other, 2)], LABELS, AT, 1)
    assert sheet.columns[0].range == ""


def test_a_long_round_takes_pages_with_numbers_of_their_own_and_loses_nothing() -> None:
    kinds = [f"k{n}" for n in range(MOST_COLUMNS + 2)]
    tasks = [task(place, kind) for place in range(1, MOST_ROWS + 5) for kind in kinds]
    made = sheets([item(one, int(one.place[1:])) for one in tasks], LABELS, AT, 7)
    assert [one.number for one in made] == list(range(7, 7 + len(made)))
    assert all(len(one.rows) <= MOST_ROWS and len(one.columns) <= MOST_COLUMNS for one in made)
    assert all(len(row.tasks) == len(one.columns) for one in made for row in one.rows)
    printed = [name for one in made for row in one.rows for name in row.tasks if name]
    assert sorted(printed) == sorted(one.id for one in tasks)


def test_what_waits_for_another_of_its_rotation_is_not_printed() -> None:
    assert sheets([item(task(1, LOOK), 1, "held")], LABELS, AT, 1) == ()


def test_a_sheet_stands_in_the_book_as_it_was_printed() -> None:
    sheet, _ = page()
    draft = printed_draft(sheet)
    assert shape_faults(draft) == ()
    (event,) = as_events([draft])
    assert sheet_of(event) == sheet


# --- typed back ------------------------------------------------------------------------------------------------------


def test_nothing_is_not_done_a_stroke_is_done_and_a_number_is_what_was_read_at_the_time_on_the_sheet() -> (
    None
):
    sheet, tasks = page()
    written = AT + timedelta(hours=11)
    read = read_sheet(
        sheet, {(1, 1): "/", (1, 2): "24,5", (2, 1): " ", (3, 2): "/"}, written, tasks, now=written
    )
    assert (read.mistakes, read.asks) == ((), ())
    told = dict(read.drafts)
    assert set(told) == {(1, 1), (1, 2), (3, 2)}
    assert told[1, 2].observed[0].value == 24.5
    assert told[3, 2].details["looked"] is True
    assert "looked" not in told[1, 1].details
    assert {draft.happened for draft in told.values()} == {written}
    assert {draft.details["sheet"] for draft in told.values()} == {sheet.code}


def test_an_unusual_number_is_asked_about_until_it_is_said_to_be_as_read() -> None:
    sheet, tasks = page()
    typed = {(1, 2): "31"}
    (asked,) = read_sheet(sheet, typed, AT, tasks, now=AT).asks
    assert (asked[0], asked[1].code, asked[1].wanted) == ((1, 2), "ROUND-01", "22 to 26 °C")
    assert read_sheet(sheet, typed, AT, tasks, now=AT, sure=[(1, 2)]).asks == ()


def test_all_mistakes_are_told_in_one_pass_each_at_its_box() -> None:
    sheet, tasks = page()
    typed = {(1, 1): "24", (2, 2): "24", (3, 2): "warm", (9, 1): "/", (1, 2): "25"}
    del tasks["look2"]
    typed[2, 1] = "/"
    read = read_sheet(sheet, typed, AT, tasks, now=AT)
    assert [(cell, one.code) for cell, one in read.mistakes] == [
        ((1, 1), "ROUND-04"), ((2, 1), "ROUND-03"), ((2, 2), "ROUND-04"), ((3, 2), "ROUND-04"), ((9, 1), "ROUND-04"),
    ]  # fmt: skip


@pytest.mark.parametrize(("written", "now"), [
    (AT - timedelta(days=1), AT), (AT + timedelta(days=8), AT + timedelta(days=9)), (AT + timedelta(days=2), AT),
])  # fmt: skip
def test_a_sheet_holds_from_when_it_was_printed_until_it_expires(written: datetime, now: datetime) -> None:
    sheet, tasks = page()
    ((cell, one),) = read_sheet(sheet, {(1, 1): "/"}, written, tasks, now=now).mistakes
    assert (cell, one.code) == (None, "ROUND-05")


def test_it_may_be_typed_back_long_after_it_was_written_on() -> None:
    sheet, tasks = page()
    read = read_sheet(sheet, {(1, 1): "/"}, AT + timedelta(days=2), tasks, now=AT + timedelta(days=300))
    assert (len(read.drafts), read.mistakes) == (1, ())


def test_a_second_entry_of_a_box_is_a_conflict_only_when_it_says_something_else() -> None:
    sheet, tasks = page()
    (first,) = as_events([done(tasks["temperature1"], AT, value=24.0)])
    same, other = done(tasks["temperature1"], AT, value=24.0), done(tasks["temperature1"], AT, value=25.0)
    assert typed_before(sheet, (1, 2), first, same) is None
    conflict = typed_before(sheet, (1, 2), first, other)
    assert conflict is not None
    assert (conflict.code, conflict.found, conflict.wanted) == ("ROUND-06", "25 °C", "24 °C")
