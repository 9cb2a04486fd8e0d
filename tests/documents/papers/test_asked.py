"""What is asked for is taken, or refused with everything that is wrong with it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.documents.papers.asked import Asked, asked_for
from tankwright.documents.papers.kept import said_in, thing_of
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By
from tankwright.logbook.store import Logbook

from .conftest import LAST, Lived

Life = Callable[[], Lived]


def codes(lived: Life, **said: str) -> list[str]:
    found = asked_for(lived().log.book, said, LAST)
    assert not isinstance(found, Asked)
    return [one.code for one in found]


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ({"what": "strian", "line": "Amber"}, ["PAPER-01"]),
        ({"what": "census", "by": "colour"}, ["PAPER-01"]),
        ({"what": "strain"}, ["PAPER-02"]),
        ({"what": "strain", "line": "Ambar"}, ["PAPER-02"]),
        ({"what": "breeding"}, ["PAPER-03"]),
        ({"what": "breeding", "brood": "Amber 99999"}, ["PAPER-03"]),
        ({"what": "census", "until": "31.8.2026"}, ["PAPER-04"]),
        ({"what": "census", "from": "2026-09-01", "until": "2026-08-01"}, ["PAPER-05"]),
        ({"what": "census", "until": "2030-01-01"}, ["PAPER-06"]),
        ({"what": "strain", "line": "Amber", "until": "2020-01-01"}, ["PAPER-09"]),
        ({"what": "breeding", "brood": "Amber 17", "until": "2020-01-01"}, ["PAPER-09"]),
        ({"what": "x", "line": "y", "from": "z", "until": "2030-01-01"},
         ["PAPER-01", "PAPER-04", "PAPER-06", "PAPER-02"]),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_all_that_is_wrong(
    said: dict[str, str], wanted: list[str], lived: Life
) -> None:
    assert codes(lived, **said) == wanted


def test_a_wrong_name_is_answered_with_the_nearest(lived: Life) -> None:
    found = asked_for(lived().log.book, {"what": "strain", "line": "Ambar"}, LAST)
    assert isinstance(found, tuple)
    assert (found[0].attempt, found[0].found) == ("Amber", "Ambar")
    assert "Slate" in found[0].wanted


def test_an_empty_book_or_none_has_nothing_to_put_on_paper(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    for one in (book, None):
        found = asked_for(one, {"what": "census"}, LAST)
        assert isinstance(found, tuple)
        assert [each.code for each in found] == ["PAPER-07"]
    book.close()


def test_two_stocks_of_one_name_are_told_apart_by_their_id(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    at = datetime(2026, 5, 1, tzinfo=UTC)
    for name in ("s1", "s2"):
        opened = Draft(
            kind="stock_opened", happened=at, stock=name, details={"label": "Twin", "kind": "brood"}
        )
        book.record([opened], By(who="Ada"))
        if name == "s1":
            book.record(
                [Draft(kind="stock_closed", happened=at + timedelta(days=1), stock=name)], By(who="Ada")
            )
    found = asked_for(book, {"what": "breeding", "brood": "twin"}, LAST)
    assert isinstance(found, tuple)
    assert [one.code for one in found] == ["PAPER-03"]
    by_id = asked_for(book, {"what": "breeding", "brood": "s1"}, LAST)
    assert isinstance(by_id, Asked)
    book.close()


def test_a_line_is_found_by_name_and_id_however_it_is_written(lived: Life) -> None:
    line = next(one for one in lived().log.book.lines() if one.name == "Amber")
    for typed in ("Amber", " amber ", line.id):
        asked = asked_for(lived().log.book, {"what": "strain", "line": typed}, LAST)
        assert isinstance(asked, Asked)
        assert asked.line == line


def test_days_are_whole_days_and_today_ends_now(lived: Life) -> None:
    asked = asked_for(lived().log.book, {"what": "census", "from": "2026-05-01", "until": "2026-05-01"}, LAST)
    assert isinstance(asked, Asked)
    assert asked.begin is not None
    assert asked.end - asked.begin == timedelta(days=1) - timedelta(microseconds=1)
    today = asked_for(lived().log.book, {"what": "census"}, LAST)
    assert isinstance(today, Asked)
    assert (today.end, today.begin) == (LAST, None)


def test_choices_go_through_an_address_unharmed() -> None:
    said = {"what": "seller", "from": "2026-05-01", "to": "Å & B, 100 %?=x"}
    assert said_in(thing_of(said)) == said
