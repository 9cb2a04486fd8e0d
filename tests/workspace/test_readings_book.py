"""Readings kept beside the plan: each once, nothing rubbed out, the newest that stands counts; typed and as CSV."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

import pytest

from tankwright.building.point import TestPoint as Point
from tankwright.building.readings import read_readings
from tankwright.finding import Finding
from tankwright.workspace.disk import folder_of
from tankwright.workspace.readings_book import NO_READING, NOT_KEPT, ReadingsBook, Told
from tankwright.workspace.readings_text import filled_sheet, read_typed

AT: Final = datetime(2026, 8, 2, 7, 15, tzinfo=UTC)
LEVEL: Final = Point(
    id="A3.level", kind="level", what="water below the rim of tank A3", how=("look",), value=0.041, dimension="length",
    band=None, tolerance=0.003, least=0.0, most=0.3, unit="mm", when="wet test", needs="water",
)  # fmt: skip
DRIP: Final = replace(
    LEVEL, id="A3.drip", kind="drip", value=33e-6 / 60.0, dimension="flow", tolerance=3e-6 / 60.0, most=1e-4,
    unit="mL/min",
)  # fmt: skip


def told(
    key: str, value: float = 0.042, *, point: str = "A3.level", after: float = 0.0, note: str = ""
) -> Told:
    return Told(
        key=key, point=point, typed=f"{value * 1e3:g}", value=value, unit="mm", happened=AT + timedelta(minutes=after),
        note=note,
    )  # fmt: skip


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    return tmp_path / "cellar.toml"


def test_a_reading_is_there_again_for_whoever_opens_the_book(plan: Path) -> None:
    stored = ReadingsBook(plan).add([told("k", note="by the window")], who="Ada")
    assert not isinstance(stored, Finding)
    again = ReadingsBook(plan).standing()["A3.level"]
    assert replace(again, recorded=AT) == replace(stored[0], recorded=AT)
    assert (again.value, again.unit, again.typed, again.who, again.happened) == (0.042, "mm", "42", "Ada", AT)
    assert again.recorded > again.happened
    reading = again.reading()
    assert (reading.point, reading.value, reading.on) == ("A3.level", 0.042, AT.astimezone().date())


def test_a_key_that_came_before_stores_nothing(plan: Path) -> None:
    book = ReadingsBook(plan)
    book.add([told("k")], who="Ada")
    book.add([told("k", 0.05)], who="Ada")
    assert [one.value for one in ReadingsBook(plan).all()] == [0.042]


def test_the_newest_by_the_time_of_the_tap_counts_not_by_its_arrival(plan: Path) -> None:
    book = ReadingsBook(plan)
    book.add([told("late", 0.044, after=5)], who="Ada")
    book.add([told("early", 0.042, after=1)], who="Ben")
    assert book.standing()["A3.level"].value == 0.044
    assert len(book.all()) == 2


def test_taken_back_the_one_before_counts_again_and_twice_is_once(plan: Path) -> None:
    book = ReadingsBook(plan)
    book.add([told("a", 0.042)], who="Ada")
    book.add([told("b", 0.05, after=1)], who="Ada")
    newest = book.standing()["A3.level"]
    assert book.take_back([newest], key="u", who="Ada") is None
    assert book.take_back([newest], key="v", who="Ada") is None
    assert ReadingsBook(plan).standing()["A3.level"].value == 0.042
    assert len(ReadingsBook(plan).all()) == 3
    nothing = book.take_back([], key="w", who="Ada")
    assert nothing is not None
    assert nothing.code == NO_READING


def test_a_clock_that_is_ahead_is_not_believed(plan: Path) -> None:
    book = ReadingsBook(plan, now=lambda: AT)
    book.add([told("k", after=600)], who="Ada")
    assert book.standing()["A3.level"].happened == AT


def test_two_books_of_one_plan_see_each_other(plan: Path) -> None:
    mine, yours = ReadingsBook(plan), ReadingsBook(plan)
    mine.add([told("a")], who="Ada")
    yours.add([told("b", point="A3.drip")], who="Ben")
    assert set(mine.standing()) == set(yours.standing()) == {"A3.level", "A3.drip"}
    assert sorted(one.id for one in mine.all()) == [1, 2]


def test_a_line_that_is_none_and_half_letters_do_no_harm(plan: Path) -> None:
    book = ReadingsBook(plan)
    book.add([told("a", note="half \ud83d")], who="Ada")
    with (folder_of(plan) / "readings.jsonl").open("ab") as file:
        file.write(
            b'not json\n{"id": 9}\n{"id": 7, "value": 1, "undoes": 1, "happened": "x"}\n{"id": 8, "val'
        )
    assert [one.note for one in ReadingsBook(plan).all()] == ["half ?"]


def test_a_folder_that_cannot_be_made_is_told_and_nothing_counts(tmp_path: Path) -> None:
    folder_of(tmp_path / "cellar.toml").write_text("in the way", "utf-8")
    book = ReadingsBook(tmp_path / "cellar.toml")
    came = book.add([told("k")], who="Ada")
    assert isinstance(came, Finding)
    assert came.code == NOT_KEPT
    assert book.standing() == {}


# --- typed -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "value"),
    [("42", 0.042), ("42,5", 0.0425), (" 4.2 cm ", 0.042), ("1 1/2 in", 0.0381), ("0", 0.0)],
)
def test_a_bare_number_is_in_the_unit_of_the_sheet_and_another_unit_is_taken_too(
    typed: str, value: float
) -> None:
    read = read_typed(LEVEL, typed)
    assert not isinstance(read, Finding)
    assert read[0] == pytest.approx(value)


@pytest.mark.parametrize(
    ("typed", "code"),
    [("", "PROOF-08"), ("wet", "PROOF-08"), ("4 bar", "PROOF-08"), ("-3", "PROOF-09"), ("9999", "PROOF-09"),
     ("nan", "PROOF-09"), ("1e400", "PROOF-09"), ('4"; DROP', "PROOF-08"), ("4\n5", "PROOF-08"), ("a,b,c", "PROOF-08"),
     ("=1+1", "PROOF-08")],
)  # fmt: skip
def test_what_cannot_be_is_told_with_what_is_wanted(typed: str, code: str) -> None:
    found = read_typed(LEVEL, typed)
    assert isinstance(found, Finding)
    assert (found.code, found.line) == (code, None)
    assert found.wanted


# --- as CSV ----------------------------------------------------------------------------------------------------------


def test_the_filled_sheet_is_read_back_as_it_was(plan: Path) -> None:
    book = ReadingsBook(plan)
    book.add([told("a", 0.0425, note="=cmd")], who="+Ada")
    text = filled_sheet([LEVEL, DRIP], book.standing())
    read = read_readings(text, [LEVEL, DRIP])
    assert not read.findings
    assert [(one.point, one.value, one.unit) for one in read.readings] == [
        ("A3.level", pytest.approx(0.0425), "mm")
    ]
    rows = list(csv.reader(io.StringIO(text)))
    assert rows[1][-2:] == ["'+Ada", "'=cmd"]
    assert rows[2][4:] == ["", "", "", ""]
    assert rows[2][3] == "mL/min"
