"""No question of an ordinary day reads a table through that grows with the years."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import event as sqlalchemy_event

from tankwright.husbandry.facts import counted, died, moved
from tankwright.husbandry.records import Draft
from tankwright.logbook import listing
from tankwright.logbook.store import Logbook

from .books import ADA, START, after, begin, done, live, ph

GROWING = ("event", "flow", "observed", "held")


@contextmanager
def plans_of(book: Logbook) -> Iterator[list[str]]:
    """How SQLite answers each question that is asked meanwhile: those that read a growing table from end to end."""
    found: list[str] = []
    asking = False

    def asked(_c: Any, cursor: Any, statement: str, parameters: Any, _x: Any, many: bool) -> None:
        nonlocal asking
        if asking or not statement.lstrip().upper().startswith(
            ("SELECT", "INSERT", "UPDATE", "DELETE", "WITH")
        ):
            return
        asking = True
        try:
            first = parameters[0] if many else parameters
            plan = cursor.connection.execute(f"EXPLAIN QUERY PLAN {statement}", first).fetchall()
            found.extend(
                f"{row[3]}: {statement}" for row in plan
                if re.match(rf"SCAN (?:{'|'.join(GROWING)})\b(?! USING)", row[3]) or "ANY(" in row[3]
            )  # fmt: skip
        finally:
            asking = False

    sqlalchemy_event.listen(book.engine, "before_cursor_execute", asked)
    try:
        yield found
    finally:
        sqlalchemy_event.remove(book.engine, "before_cursor_execute", asked)


def corrected(book: Logbook) -> None:
    (event,) = done(book.record([died("s", "a", 1, after(60))], ADA))
    done(book.void(event.id, ADA, reason="two", instead=[died("s", "a", 2, after(60))]))


def taken_back(book: Logbook) -> None:
    opened = Draft(kind="place_opened", happened=START, place="x", details={"label": "X", "kind": "tank"})
    (event,) = done(book.record([opened], ADA))
    done(book.void(event.id, ADA, reason="none there"))


def rounds(book: Logbook) -> None:
    said = {"task": "w", "label": "Water", "every_days": 7}
    done(book.record([Draft(kind="task_set", happened=START, place="a", details=said)], ADA))
    done(book.record([Draft(kind="task_done", happened=after(61), place="a", details={"task": "w"})], ADA))
    assert len(book.due(after(70))) == 1


ASKED: dict[str, Callable[[Logbook], object]] = {
    "a count": lambda book: done(book.record([counted("s", "a", 9, after(61))], ADA)),
    "a move": lambda book: done(book.record([moved("s", "a", "b", 1, after(62))], ADA)),
    "a death of long ago": lambda book: done(book.record([died("s", "a", 1, after(0.5))], ADA)),
    "a test": lambda book: done(book.record([ph("a", 7.1, after(61))], ADA)),
    "a correction": corrected,
    "an opening taken back": taken_back,
    "rounds": rounds,
    "what happened in a tank": lambda book: listing.happenings(book, place="a", limit=50),
    "what happened to stocks": lambda book: listing.happenings(book, stocks=("s", "t"), line="l1", limit=50),
    "what happened to a stock in a tank": lambda book: listing.happenings(book, place="a", stocks=("s",)),
    "a submission": lambda book: listing.in_batch(book, book.events(limit=1)[0].batch),
    "the last recorded": lambda book: listing.newest_recorded(book, kinds=("died", "counted"), place="a", limit=9),
    "the last happenings": lambda book: book.events(newest_first=True, limit=50),
    "events of a tank": lambda book: book.events(place="a", since=START + timedelta(days=30)),
    "events of a kind": lambda book: book.events(kinds=("moved", "arrived")),
    "tests of a tank": lambda book: book.readings(place="a", quantities=("ph",)),
    "a past day": lambda book: book.holdings_at(after(30)),
    "flows of a stock": lambda book: book.moved_around(stocks=("s",)),
    "flows of a tank": lambda book: book.moved_around(places=("a",)),
    "losses of a year": lambda book: book.moved(accounts=("lost", "found"), since=START),
}  # fmt: skip


@pytest.mark.parametrize("name", ASKED)
def test_nothing_that_grows_is_read_through(file_book: Logbook, name: str) -> None:
    begin(file_book)
    live(file_book, days=60)
    with plans_of(file_book) as found:
        ASKED[name](file_book)
    assert found == []
