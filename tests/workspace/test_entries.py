"""The book of entries: each once, nothing rubbed out, whole after a dropped line and a power cut."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from tankwright.finding import Finding
from tankwright.workspace.entries import SCALES, Entry, EntryBook, EntryKind, Stored, read_value

from .rooms import Clock

TAP = datetime(2026, 8, 2, 9, 30, tzinfo=timezone(timedelta(hours=2)))


def book(folder: Path) -> EntryBook:
    return EntryBook(folder / "plan.toml", now=Clock())


def stored(outcome: Stored | Finding) -> Entry:
    assert isinstance(outcome, Stored), outcome
    return outcome.entry


def ph(of: EntryBook, value: float = 7.2, key: str = "k", tank: str = "A3", minutes: int = 0) -> Entry:
    happened = TAP + timedelta(minutes=minutes)
    return stored(of.add(key=key, tank=tank, kind="ph", value=value, who="Ada", happened=happened))


def test_looking_into_an_empty_book_makes_no_folder(tmp_path: Path) -> None:
    of = book(tmp_path)
    assert (of.last("A3"), of.all(), of.get(1)) == ((), (), None)
    assert list(tmp_path.iterdir()) == []


def test_an_entry_keeps_the_time_of_the_tap_in_utc_and_is_there_after_a_restart(tmp_path: Path) -> None:
    entry = ph(book(tmp_path))
    assert (entry.id, entry.value, entry.unit) == (1, 7.2, "")
    assert entry.happened == datetime(2026, 8, 2, 7, 30, tzinfo=UTC)
    assert entry.recorded > datetime(2026, 8, 2, 7, 15, tzinfo=UTC)
    assert book(tmp_path).all() == (entry,)
    record = json.loads((tmp_path / "plan.tankwright" / "entries.jsonl").read_text("utf-8"))
    assert record["happened"] == "2026-08-02T07:30:00.000Z"


def test_an_entry_sent_again_is_stored_once(tmp_path: Path) -> None:
    of = book(tmp_path)
    first = ph(of)
    for again in (of, book(tmp_path)):
        outcome = again.add(key="k", tank="A3", kind="ph", value=7.2, who="Ada", happened=TAP)
        assert isinstance(outcome, Stored)
        assert (outcome.entry, outcome.repeated) == (first, True)
    with ThreadPoolExecutor(8) as phones:
        list(phones.map(lambda _: ph(of, key="same"), range(16)))
    assert len(of.all()) == 2


def test_many_phones_at_once_lose_no_entry(tmp_path: Path) -> None:
    books = [book(tmp_path) for _ in range(4)]
    with ThreadPoolExecutor(8) as phones:
        list(phones.map(lambda number: ph(books[number % 4], key=f"k{number}"), range(64)))
    for of in (*books, book(tmp_path)):
        assert [one.id for one in of.all()] == list(range(1, 65))
        assert {one.key for one in of.all()} == {f"k{number}" for number in range(64)}


def test_the_last_entries_of_a_tank_are_the_newest_by_when_they_happened(tmp_path: Path) -> None:
    of = book(tmp_path)
    ph(of, 7.0, "a", minutes=0)
    ph(of, 7.1, "late", minutes=-60)
    ph(of, 7.2, "b", minutes=10)
    ph(of, 7.9, "other", tank="B1", minutes=20)
    assert [one.value for one in of.last("A3", 2)] == [7.2, 7.0]
    assert of.last("A3", 0) == ()


def test_an_entry_taken_back_no_longer_counts_and_is_still_there(tmp_path: Path) -> None:
    of = book(tmp_path)
    entry = ph(of)
    undone = stored(of.undo(entry.id, key="u", who="Ada"))
    assert (undone.undoes, undone.tank) == (entry.id, "A3")
    assert isinstance(of.undo(entry.id, key="other", who="Bo"), Stored)
    for one in (of, book(tmp_path)):
        assert one.last("A3") == ()
        assert one.standing() == ()
        assert one.all() == (entry, undone)
    for wrong in (99, undone.id):
        outcome = of.undo(wrong, key="x", who="Ada")
        assert isinstance(outcome, Finding)
        assert outcome.code == "BOOK-02"


@pytest.mark.parametrize(
    ("kind", "typed", "read"),
    [
        ("ph", " 7,2 ", (7.2, "")),
        ("gh", "12", (12.0, "°dH")),
        ("no3", "25 mg/l", (25.0, "mg/L")),
        ("temperature", "24.5", (24.5, "°C")),
        ("temperature", "76°F", (76.0, "°F")),
        ("temperature", "−1", (-1.0, "°C")),
        ("spawn", "", (None, "")),
        ("dead", "3", (3.0, "")),
        ("fed", "", (None, "")),
    ],
)
def test_a_value_is_read_as_people_type_it(
    kind: EntryKind, typed: str, read: tuple[float | None, str]
) -> None:
    assert read_value(kind, typed) == read


@pytest.mark.parametrize(
    ("kind", "typed"),
    [("ph", ""), ("ph", "acid"), ("ph", "72"), ("ph", "nan"), ("ph", "inf"), ("ph", "7.2 mg/L"), ("fed", "3"),
     ("dead", "1.5"), ("dead", "-1"), ("temperature", "999"), ("no2", "1e999"), ("gh", "<b>3</b>"), ("no3", "mg/L")],
)  # fmt: skip
def test_what_cannot_be_read_is_said_with_what_is_wanted(kind: EntryKind, typed: str) -> None:
    said = read_value(kind, typed)
    assert isinstance(said, Finding)
    assert said.code == "BOOK-03"
    assert said.wanted


def test_what_cannot_be_an_entry_is_not_stored(tmp_path: Path) -> None:
    of = book(tmp_path)
    common = {"key": "", "who": "Ada", "happened": TAP}
    wrong = [
        of.add(tank="A3", kind="ph", **common),  # type: ignore[arg-type] # many kinds of values in one table
        of.add(tank="A3", kind="ph", value=77.0, **common),  # type: ignore[arg-type] # as above
        of.add(tank="A3", kind="ph", value=float("nan"), **common),  # type: ignore[arg-type] # as above
        of.add(tank="A3", kind="colour", **common),  # type: ignore[arg-type] # as above
        of.add(tank=" ", kind="fed", **common),  # type: ignore[arg-type] # as above
        of.add(tank="A" * 41, kind="fed", **common),  # type: ignore[arg-type] # as above
        of.add(tank="A3", kind="note", **common),  # type: ignore[arg-type] # as above
        of.add(tank="A3", kind="gh", value=3.0, unit="kg", **common),  # type: ignore[arg-type] # as above
    ]
    assert all(isinstance(one, Finding) for one in wrong)
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(ValueError, match="time zone"):
        of.add(key="", tank="A3", kind="fed", who="", happened=datetime(2026, 1, 1))


def test_a_note_of_anything_is_kept_as_it_came(tmp_path: Path) -> None:
    of = book(tmp_path)
    note = '<script>alert(1)</script>\n"ü" \U0001f41f \ud800'
    entry = stored(of.add(key="", tank="A3", kind="note", note=note, who="Ada", happened=TAP))
    assert entry.note == note.replace("\ud800", "?")
    assert book(tmp_path).all() == (entry,)


def test_a_torn_or_damaged_line_costs_only_itself(tmp_path: Path) -> None:
    of = book(tmp_path)
    first, second = ph(of, key="a"), ph(of, key="b")
    place = tmp_path / "plan.tankwright" / "entries.jsonl"
    lines = place.read_bytes().splitlines(keepends=True)
    place.write_bytes(lines[0] + b'{"id":"x"}\nnonsense\n' + lines[1] + b'{"id":3,"ke')
    again = book(tmp_path)
    assert again.all() == (first, second)
    assert ph(again, key="c").id == 3
    assert len(book(tmp_path).all()) == 3


def test_a_folder_that_cannot_be_made_gives_a_clear_no(tmp_path: Path) -> None:
    of = EntryBook(tmp_path / "nowhere" / "plan.toml", now=Clock())
    said = of.add(key="", tank="A3", kind="fed", who="", happened=TAP)
    assert isinstance(said, Finding)
    assert said.code == "BOOK-01"


def test_every_kind_can_be_entered(tmp_path: Path) -> None:
    of = book(tmp_path)
    for kind, scale in SCALES.items():
        value = 5.0 if scale.needed else None
        entry = stored(of.add(key=kind, tank="A3", kind=kind, value=value, note="x", who="Ada", happened=TAP))
        assert entry.unit == (scale.units[0] if scale.needed else "")
    assert len(of.last("A3", 99)) == len(SCALES)
