"""The book of entries: each once, nothing rubbed out, whole after a dropped line and a power cut."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from tankwright.finding import Finding
from tankwright.husbandry import facts
from tankwright.husbandry.records import Draft
from tankwright.logbook.store import By
from tankwright.workspace.entries import SCALES, Entry, EntryBook, EntryKind, Stored, read_value
from tankwright.workspace.log import RoomLog

from .rooms import Clock

TAP = datetime(2026, 8, 2, 8, 30, tzinfo=timezone(timedelta(hours=2)))


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
    assert (entry.value, entry.unit, entry.tank) == (7.2, "", "A3")
    assert entry.happened == datetime(2026, 8, 2, 6, 30, tzinfo=UTC)
    assert entry.recorded > datetime(2026, 8, 2, 7, 15, tzinfo=UTC)
    assert book(tmp_path).all() == (entry,)
    (event,) = RoomLog(tmp_path / "plan.toml").book.events(kinds=["tested"])
    assert (event.serial, event.key, event.who) == (entry.id, "k", "Ada")
    assert [(one.quantity, one.value) for one in event.observed] == [("ph", 7.2)]


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
        ids = [one.id for one in of.all()]
        assert ids == list(range(ids[0], ids[0] + 64))
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


def put_in(folder: Path, kind: str, number: int) -> None:
    """One stock in A3, or one more."""
    log = RoomLog(folder / "plan.toml", now=Clock())
    place = log.book.place_labelled("A3")
    name = place.id if place is not None else "a3"
    opened = [] if place is not None else [
        Draft(kind="place_opened", happened=TAP, place=name, details={"label": "A3", "kind": "tank"})
    ]  # fmt: skip
    stock = Draft(kind="stock_opened", happened=TAP, stock=kind, details={"label": kind, "kind": "group"})
    fish = facts.came("arrived", kind, name, facts.Tally(number=number), TAP)
    log.book.record([*opened, stock, fish], By(who="Ada"))


def test_dead_fish_are_of_the_only_stock_in_the_tank_and_of_nobody_knows_which_of_two(tmp_path: Path) -> None:
    put_in(tmp_path, "tetras", 10)
    of, log = book(tmp_path), RoomLog(tmp_path / "plan.toml")
    entry = stored(of.add(key="d", tank="A3", kind="dead", value=2.0, who="Ada", happened=TAP))
    assert entry.value == 2.0
    stored(of.add(key="tap", tank="A3", kind="dead", who="Ada", happened=TAP))
    assert [one.held for one in log.book.holdings() if one.held] == [7]
    assert [one.value for one in of.all()] == [2.0, None]
    stored(of.undo(entry.id, key="u", who="Ada"))
    assert [one.held for one in log.book.holdings() if one.held] == [9]
    put_in(tmp_path, "guppies", 4)
    stored(of.add(key="e", tank="A3", kind="dead", value=3.0, who="Ada", happened=TAP))
    assert sorted(one.held for one in log.book.holdings() if one.held) == [4, 9]
    assert log.book.by_key("e").details["unassigned"] is True  # type: ignore[union-attr] # it was just recorded


def test_more_dead_fish_than_there_are_is_refused_with_what_there_was(tmp_path: Path) -> None:
    put_in(tmp_path, "tetras", 2)
    just_now = TAP + timedelta(minutes=44)
    said = book(tmp_path).add(key="d", tank="A3", kind="dead", value=3.0, who="Ada", happened=just_now)
    assert isinstance(said, Finding)
    assert (said.subject, said.text) == ("tetras in A3", "has 2 and cannot give 3")


def test_a_spawn_is_of_the_only_set_in_the_tank(tmp_path: Path) -> None:
    put_in(tmp_path, "pair", 2)
    log = RoomLog(tmp_path / "plan.toml")
    members = ({"stock": "pair", "count": 1, "sex": "male"}, {"stock": "pair", "count": 1, "sex": "female"})
    log.book.record(
        [Draft(kind="set_made", happened=TAP, details={"set": "set 1", "members": members})], By(who="Ada")
    )
    entry = stored(book(tmp_path).add(key="s", tank="A3", kind="spawn", who="Ada", happened=TAP))
    assert entry.value is None
    event = log.book.by_key("s")
    assert event is not None
    assert (event.stock, event.details["set"]) == ("pair", "set 1")


def test_a_key_of_something_else_stores_no_entry(tmp_path: Path) -> None:
    put_in(tmp_path, "tetras", 2)
    RoomLog(tmp_path / "plan.toml").book.record(
        [Draft(kind="place_opened", happened=TAP, place="b", details={"label": "B1", "kind": "tank"})],
        By(who="Ada", key="k"),
    )
    said = book(tmp_path).add(key="k", tank="A3", kind="fed", who="Ada", happened=TAP)
    assert isinstance(said, Finding)
    assert "key" in said.text


def old_line(number: int, kind: str, **more: object) -> str:
    return json.dumps({
        "id": number, "key": f"k{number}", "tank": "A3", "kind": kind, "value": None, "unit": "", "note": "",
        "happened": "2026-08-01T07:30:00.000Z", "recorded": "2026-08-01T07:31:00.000Z", "who": "Ada", "undoes": None,
    } | more)  # fmt: skip


def test_a_book_of_entries_from_before_is_taken_in_once_with_keys_and_times(tmp_path: Path) -> None:
    folder = tmp_path / "plan.tankwright"
    folder.mkdir()
    lines = [
        old_line(1, "ph", value=7.2), old_line(2, "fed", key=""), old_line(3, "fed", tank="B1", undoes=None),
        old_line(4, "fed", undoes=3), "nonsense", '{"id":"x"}', old_line(5, "dead", value=2.0), '{"id":6,"ke',
    ]  # fmt: skip
    (folder / "entries.jsonl").write_text("\n".join(lines), "utf-8")
    of = book(tmp_path)
    kinds = [(one.kind, one.tank, one.value, one.undoes is not None) for one in of.all()]
    assert kinds == [("ph", "A3", 7.2, False), ("fed", "A3", None, False), ("fed", "B1", None, False),
                     ("fed", "B1", None, True), ("dead", "A3", 2.0, False)]  # fmt: skip
    first = of.by_key("k1")
    assert first is not None
    assert first.recorded == datetime(2026, 8, 1, 7, 31, tzinfo=UTC)
    assert of.last("B1") == ()
    assert not (folder / "entries.jsonl").exists()
    assert (folder / "entries.jsonl.taken-in").read_text("utf-8").count("\n") == 7
    assert len(book(tmp_path).all()) == 5
    assert RoomLog(tmp_path / "plan.toml").book.count_events() == 7, "and the two places"


def test_taking_in_that_was_cut_short_takes_nothing_twice(tmp_path: Path) -> None:
    folder = tmp_path / "plan.tankwright"
    folder.mkdir()
    for lines in ([old_line(1, "fed", key="")], [old_line(1, "fed", key=""), old_line(2, "looked")]):
        (folder / "entries.jsonl").write_text("\n".join([*lines, ""]), "utf-8")
        assert [one.kind for one in book(tmp_path).all()] == [json.loads(one)["kind"] for one in lines]
    assert sorted(one.name for one in folder.glob("entries*")) == [
        "entries.jsonl.taken-in", "entries.jsonl.taken-in-2",
    ]  # fmt: skip


def test_entries_come_in_pages_the_last_stored_first(tmp_path: Path) -> None:
    of = book(tmp_path)
    for number in range(5):
        ph(of, 7 + number / 10, key=f"k{number}", tank="A3" if number % 2 else "B1")
    assert [one.value for one in of.page(limit=2)] == [7.4, 7.3]
    assert [one.value for one in of.page(limit=9, tank="B1")] == [7.4, 7.2, 7.0]
    assert [one.value for one in of.page(limit=9, kind="ph", before=of.page(limit=2)[-1].id)] == [
        7.2,
        7.1,
        7.0,
    ]
    assert of.page(limit=9, kind="fed") == of.page(limit=9, tank="Z9") == ()


def test_a_look_does_the_work_of_looking_that_is_due_and_both_are_taken_back(tmp_path: Path) -> None:
    put_in(tmp_path, "tetras", 10)
    log = RoomLog(tmp_path / "plan.toml", now=Clock())
    task = {"task": "look", "label": "Look", "every_days": 1.0, "kind": "look"}
    log.book.record([Draft(kind="task_set", happened=TAP, place="a3", details=task)], By(who="Ada"))
    assert [one.task.id for one in log.book.due(TAP + timedelta(hours=1))] == ["look"]
    of = book(tmp_path)
    entry = stored(of.add(key="l", tank="A3", kind="looked", who="Ada", happened=TAP))
    assert log.book.due(TAP + timedelta(hours=1)) == ()
    assert [one.kind for one in of.all()] == ["looked"]
    assert stored(of.undo(entry.id, key="u", who="Ada")).undoes == entry.id
    assert [one.task.id for one in log.book.due(TAP + timedelta(hours=1))] == ["look"]
    assert of.last("A3") == ()
