"""Two phones that had no way to the book for a day: whichever comes first, the same numbers, and both are kept."""

from __future__ import annotations

import random
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.finding import Finding
from tankwright.web.deeding import Done, carry_out
from tankwright.workspace.entries import EntryBook
from tankwright.workspace.entry_values import Stored
from tankwright.workspace.keeping import Hand
from tankwright.workspace.keeping_coming import NewFish, arrived
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import Opened, open_plan

DAY = datetime(2026, 8, 2, tzinfo=UTC)
EVENING = DAY + timedelta(hours=20)
Deed = tuple[int, str, dict[str, str]]

ADA: list[Deed] = [
    (7, "A3", {"kind": "died", "value": "1"}),
    (8, "A3", {"kind": "moved", "to": "A4", "value": "9"}),
    (9, "A5", {"kind": "moved", "to": "A6"}),
    (10, "A7", {"kind": "sold", "value": "4", "stock": "Loaches"}),
    (11, "A8", {"kind": "counted", "value": "5", "stock": "Snails"}),
]
BEN: list[Deed] = [
    (6, "A5", {"kind": "died", "value": "1"}),
    (7, "A3", {"kind": "died", "value": "2", "stock": "Tetras"}),
    (12, "A7", {"kind": "given", "value": "4", "stock": "Loaches"}),
    (13, "A8", {"kind": "died", "value": "1", "stock": "Snails"}),
    (14, "A3", {"kind": "died", "value": "3", "stock": "Tetras"}),
]


@pytest.fixture(scope="module")
def opened() -> Opened:
    return open_plan(Path(__file__).parent.parent.parent / "examples" / "cellar.toml")


def book_of(folder: Path, opened: Opened) -> RoomLog:
    folder.mkdir()
    log = RoomLog(folder / "plan.toml", now=lambda: EVENING, room=lambda: opened.room)
    hand = Hand(log=log, who="Ada", at=DAY - timedelta(days=9))
    for tank, number, label in (
        ("A3", 12, "Tetras"),
        ("A5", 6, "Rasboras"),
        ("A7", 6, "Loaches"),
        ("A8", 6, "Snails"),
    ):
        arrived(hand, tank, number, NewFish(label=label))
    return log


def send(log: RoomLog, deeds: Sequence[Deed], who: str) -> list[Done | Finding]:
    return [
        carry_out(
            log, {"tank": tank, "key": f"{who} {number}", "happened": f"2026-08-02T{hour:02}:00:00Z", **fields},
            who=who, now=EVENING,
        )
        for number, (hour, tank, fields) in enumerate(deeds)
    ]  # fmt: skip


def numbers(log: RoomLog) -> dict[tuple[str, str], int]:
    places = {one.id: one.label for one in log.book.places()}
    stocks = {one.id: one.label for one in log.book.stocks(closed=True)}
    return {(places[one.place], stocks[one.stock]): one.held for one in log.book.holdings() if one.held}


def clashes(log: RoomLog) -> list[tuple[str, int, datetime]]:
    places = {one.id: one.label for one in log.book.places()}
    return sorted((places[one.place], one.least, one.since) for one in log.book.conflicts())


EXPECTED = {
    ("A3", "Tetras"): -3, ("A4", "Tetras"): 9, ("A5", "Rasboras"): -1, ("A6", "Rasboras"): 6, ("A7", "Loaches"): -2,
    ("A8", "Snails"): 4,
}  # fmt: skip


def test_two_phones_come_to_the_same_numbers_in_either_order(tmp_path: Path, opened: Opened) -> None:
    one, other = book_of(tmp_path / "one", opened), book_of(tmp_path / "other", opened)
    for log, order in ((one, ((ADA, "Ada"), (BEN, "Ben"))), (other, ((BEN, "Ben"), (ADA, "Ada")))):
        for deeds, who in order:
            said = send(log, deeds, who)
            assert all(isinstance(done, Done) for done in said), said
        assert {place for place, *_ in clashes(log)} >= {"A3", "A7"}
    held, turned = numbers(one), numbers(other)
    # who moved "all of them" knew how many that were: 6, or 5 when the dead one was in the book before
    assert {key: number for key, number in held.items() if key[1] != "Rasboras"} == {
        key: number for key, number in EXPECTED.items() if key[1] != "Rasboras"
    }
    assert {key: number for key, number in turned.items() if key[1] != "Rasboras"} == {
        key: number for key, number in held.items() if key[1] != "Rasboras"
    }
    assert held["A6", "Rasboras"] == 6
    assert turned["A6", "Rasboras"] == 5


def test_phones_whose_deeds_come_one_by_one_in_any_order_lose_nothing(tmp_path: Path, opened: Opened) -> None:
    sure = [one for one in (*ADA, *BEN) if one[1] != "A5"]
    seen = []
    for turn in range(4):
        log = book_of(tmp_path / str(turn), opened)
        mixed = list(enumerate(sure))
        random.Random(turn).shuffle(mixed)
        for number, deed in mixed:
            assert isinstance(send(log, [deed], f"phone {number}")[0], Done)
        seen.append((numbers(log), clashes(log)))
    assert all(one == seen[0] for one in seen)


def test_a_dead_fish_told_late_is_of_those_that_lived_there_then(tmp_path: Path, opened: Opened) -> None:
    log = book_of(tmp_path / "book", opened)
    entries = EntryBook(tmp_path / "book" / "plan.toml", log=log)
    send(log, [(8, "A3", {"kind": "moved", "to": "A4"})], "Ada")
    send(log, [(9, "A3", {"kind": "arrived", "value": "5", "called": "Guppies"})], "Cleo")
    stored = entries.add(
        key="late", tank="A3", kind="dead", who="Ben", happened=DAY + timedelta(hours=7), value=2.0
    )
    assert isinstance(stored, Stored)
    assert numbers(log)["A3", "Guppies"] == 5
    assert numbers(log)["A3", "Tetras"] == -2
    assert [place for place, *_ in clashes(log)] == ["A3"]


def test_what_is_typed_now_is_still_held_against_what_there_is(tmp_path: Path, opened: Opened) -> None:
    log = book_of(tmp_path / "book", opened)
    for happened in ("", "2026-08-02T19:55:00Z"):
        fields = {"kind": "died", "value": "99", "tank": "A3", "key": "k", "happened": happened}
        told = carry_out(log, fields, who="Ada", now=EVENING)
        assert isinstance(told, Finding)
        assert told.text == "has 12 and cannot give 99"
