"""All that follows from events can be thrown away and made anew, and is then as it was; what is wrong is found."""

from __future__ import annotations

import pytest
from sqlalchemy import delete, insert, update

from tankwright.husbandry.facts import Tally, came
from tankwright.logbook import rebuild as rebuilding
from tankwright.logbook.engine import reading, writing
from tankwright.logbook.rebuild import audit, rebuild
from tankwright.logbook.schema import BALANCE, CONFLICT, DERIVED, DUE, FOLLOWS, HELD, THING, VOIDED
from tankwright.logbook.store import Logbook

from .books import ADA, START, after, begin, done, draft_task, follows, live, said


def test_a_book_made_anew_says_what_it_said(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rebuilding, "_AT_ONCE", 7)  # so that a small book is written in many goes
    monkeypatch.setattr(rebuilding, "_AT_ONCE_READ", 5)
    begin(book)
    done(book.record(draft_task("w", "a"), ADA))
    live(book, days=60)
    done(book.record([came("found", "s", "b", Tally(number=3), after(0.5))], ADA))
    before = said(book), book.due(after(300))
    with writing(book.engine) as connection:
        for table in FOLLOWS:
            connection.execute(delete(table))
    assert book.holdings() == ()
    assert {one.table for one in book.audit()} >= {"balance", "held", "thing", "due"}
    told: list[tuple[int, int]] = []
    book.rebuild(lambda at, of: told.append((at, of)))
    assert book.audit() == ()
    assert (said(book), book.due(after(300))) == before
    assert told[-1][0] == told[-1][1] > 0
    follows(book)


WRONG = {
    "balance": update(BALANCE).values(held=BALANCE.c.held + 1),
    "held": delete(HELD).where(HELD.c.place == "a"),
    "derived": insert(DERIVED).values(
        event="x", account="lost", stock="s", place="a", quantity=1, happened=1
    ),
    "thing": update(THING).where(THING.c.id == "a").values(label="other"),
    "due": update(DUE).values(due=DUE.c.due + 1),
    "voided": delete(VOIDED),
    "conflict": insert(CONFLICT).values(stock="s", place="a", since=1, until=None, least=-1, event="x"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_does_not_follow_is_found_and_nothing_is_written(file_book: Logbook, name: str) -> None:
    begin(file_book)
    done(file_book.record(draft_task("w", "a"), ADA))
    live(file_book, days=40)
    with writing(file_book.engine) as connection:
        connection.execute(WRONG[name])
    with reading(file_book.engine) as connection:
        found = audit(connection)
        again = audit(connection)
    assert {one.table for one in found} == {name}
    assert again == found
    with writing(file_book.engine) as connection:
        rebuild(connection)
    follows(file_book)


def test_an_empty_book_is_made_anew(book: Logbook) -> None:
    with writing(book.engine) as connection:
        rebuild(connection)
    follows(book)
    assert book.holdings_at(START) == ()
