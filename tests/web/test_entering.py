"""An entry as it is sent: what is taken, what is not and why, the clock, and undo."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tankwright.finding import Finding
from tankwright.web.entering import AHEAD, NO_TANK, Kept, Sent, enter
from tankwright.workspace.entries import BAD_VALUE, NO_ENTRY, EntryBook
from tankwright.workspace.opened import Opened, open_plan

from .rooms import EXAMPLE, EXAMPLES

NOW = datetime(2026, 8, 2, 7, 15, tzinfo=UTC)


@pytest.fixture(scope="module")
def opened() -> Opened:
    return open_plan(EXAMPLES / f"{EXAMPLE}.toml")


@pytest.fixture
def book(tmp_path: Path) -> EntryBook:
    return EntryBook(tmp_path / "plan.toml", now=lambda: NOW)


def send(book: EntryBook, opened: Opened | None, **fields: Any) -> Kept | Finding:
    sent = Sent(**({"key": "k1", "tank": "A3", "kind": "fed"} | fields))
    return enter(book, opened.room if opened else None, sent, who="Ada", now=NOW)


def kept(answer: Kept | Finding) -> Kept:
    assert isinstance(answer, Kept)
    return answer


def refused(answer: Kept | Finding) -> Finding:
    assert isinstance(answer, Finding)
    return answer


def test_a_number_is_read_as_a_person_types_it(book: EntryBook, opened: Opened) -> None:
    entry = kept(send(book, opened, kind="ph", typed="7,2")).entry
    assert (entry.value, entry.unit, entry.who) == (7.2, "", "Ada")
    entry = kept(send(book, opened, key="k2", kind="temperature", typed="76 °F")).entry
    assert (entry.value, entry.unit) == (76.0, "°F")
    entry = kept(send(book, opened, key="k3", kind="note", note=" torn fin ")).entry
    assert (entry.value, entry.note) == (None, "torn fin")


def test_the_time_of_the_tap_is_kept_in_utc_from_any_zone(book: EntryBook, opened: Opened) -> None:
    entry = kept(send(book, opened, happened="2026-08-01T23:30:00+02:00")).entry
    assert entry.happened == datetime(2026, 8, 1, 21, 30, tzinfo=UTC)
    assert entry.recorded == NOW
    assert kept(send(book, opened, key="k2")).entry.happened == NOW, "without one it is now"


def test_a_moment_up_to_a_minute_ahead_is_believed_and_one_later_is_not(
    book: EntryBook, opened: Opened
) -> None:
    soon = kept(send(book, opened, happened=(NOW + AHEAD).isoformat()))
    assert (soon.entry.happened, soon.said) == (NOW + AHEAD, "")
    late = kept(send(book, opened, key="k2", happened=(NOW + timedelta(hours=3)).isoformat()))
    assert late.entry.happened == NOW
    assert late.said == "The clock it was made by is 3 h ahead, so it stands under the time it arrived."


@pytest.mark.parametrize(
    "happened", ["yesterday", "2026-08-02T07:15:00", "0001-01-01T00:00:00+14:00", "9999-99-99", "<b>"]
)
def test_what_is_no_moment_is_refused(happened: str, book: EntryBook, opened: Opened) -> None:
    assert refused(send(book, opened, happened=happened)).code == BAD_VALUE
    assert book.all() == ()


def test_a_key_that_came_before_stores_nothing_whatever_comes_with_it(
    book: EntryBook, opened: Opened
) -> None:
    first = kept(send(book, opened, kind="ph", typed="7.2"))
    for again in ({"kind": "ph", "typed": "8"}, {"kind": "nonsense"}, {"tank": "nowhere"}, {"kind": "undo"}):
        answer = kept(send(book, opened, **again))
        assert answer.repeated
        assert answer.entry == first.entry
    assert len(book.all()) == 1


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"key": " "}, BAD_VALUE),
        ({"tank": "Z9"}, NO_TANK),
        ({"tank": ""}, NO_TANK),
        ({"kind": "swim"}, BAD_VALUE),
        ({"kind": "ph"}, BAD_VALUE),
        ({"kind": "ph", "typed": "72"}, BAD_VALUE),
        ({"kind": "ph", "typed": "nan"}, BAD_VALUE),
        ({"kind": "ph", "typed": "7.2 °C"}, BAD_VALUE),
        ({"kind": "fed", "typed": "3"}, BAD_VALUE),
        ({"kind": "dead", "typed": "1.5"}, BAD_VALUE),
        ({"kind": "note"}, BAD_VALUE),
        ({"kind": "undo", "undoes": "never made"}, NO_ENTRY),
    ],
)
def test_what_cannot_stand_is_refused_with_what_is_wanted(
    fields: dict[str, str], code: str, book: EntryBook, opened: Opened
) -> None:
    finding = refused(send(book, opened, **fields))
    assert finding.code == code
    assert finding.text
    assert book.all() == ()


def test_while_no_plan_can_be_read_every_tank_is_taken(book: EntryBook) -> None:
    assert kept(send(book, None, tank="Z9")).entry.tank == "Z9"


def test_an_entry_is_taken_back_by_its_key_once(book: EntryBook, opened: Opened) -> None:
    entry = kept(send(book, opened, kind="spawn")).entry
    undo = kept(send(book, opened, key="k2", kind="undo", undoes="k1"))
    assert (undo.entry.undoes, undo.repeated) == (entry.id, False)
    assert kept(send(book, opened, key="k3", kind="undo", undoes="k1")).repeated
    assert refused(send(book, opened, key="k4", kind="undo", undoes="k2")).code == NO_ENTRY
    assert book.last("A3") == ()
    assert len(book.all()) == 2
