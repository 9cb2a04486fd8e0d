"""What was recorded is never changed: the database refuses, and what gets around it shows."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from tankwright.logbook.ids import micros
from tankwright.logbook.store import Logbook

from .books import ADA, Clock, after, begin, done, follows, live, ph


@pytest.mark.parametrize("table", ["event", "flow", "observed"])
@pytest.mark.parametrize(
    "words",
    ["UPDATE {} SET stock = 'other'", "DELETE FROM {}", "DELETE FROM {} WHERE happened < 0 OR happened > 0"],
)
def test_the_database_refuses_to_change_or_take_out(book: Logbook, table: str, words: str) -> None:
    begin(book)
    done(book.record([ph("a", 7.0, after(1))], ADA))
    with pytest.raises(IntegrityError, match="never changed"), book.engine.begin() as connection:
        connection.execute(text(words.format(table)))
    follows(book)


def test_a_server_refuses_to_empty_a_table(database: str) -> None:
    book = Logbook(database)
    begin(book)
    with pytest.raises(IntegrityError, match="never changed"), book.engine.begin() as connection:
        connection.execute(text("TRUNCATE event, flow, observed"))
    book.close()


@pytest.mark.parametrize("table", ["event", "flow", "observed"])
def test_a_file_refuses_to_replace_what_stands(file_book: Logbook, table: str) -> None:
    begin(file_book)
    done(file_book.record([ph("a", 7.0, after(1))], ADA))
    words = text(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table} LIMIT 1")
    with pytest.raises(IntegrityError, match="never changed"), file_book.engine.begin() as connection:
        connection.execute(words)
    follows(file_book)


def test_what_another_program_replaced_shows_in_the_seals(file_book: Logbook) -> None:
    begin(file_book)
    assert file_book.path is not None
    with sqlite3.connect(file_book.path) as other:
        other.execute(
            "INSERT OR REPLACE INTO flow SELECT event, number, stock, place, account, quantity + 1, happened, recorded "
            "FROM flow LIMIT 1"
        )
    other.close()
    assert file_book.verify().broken == 6


TRIGGERS = [f"{table}_no_{deed}" for table in ("event", "flow", "observed") for deed in ("update", "delete")]


def tampered(path: Path, words: str) -> None:
    with sqlite3.connect(path) as other:
        for name in TRIGGERS:
            other.execute(f"DROP TRIGGER {name}")
        assert other.execute(words).rowcount > 0
    other.close()


@pytest.mark.parametrize(
    ("words", "serial"),
    [
        ("UPDATE event SET note = 'never' WHERE serial = 9", 9),
        ("UPDATE event SET happened = happened + 1 WHERE serial = 5", 5),
        ("UPDATE event SET hash = 'x' WHERE serial = 12", 12),
        ('UPDATE event SET details = \'{"label": "b", "kind": "tank"}\' WHERE serial = 2', 2),
        ("DELETE FROM event WHERE serial = 7", 7),
        ("UPDATE flow SET quantity = quantity * 2 WHERE event = (SELECT id FROM event WHERE serial = 6)", 6),
        ("DELETE FROM flow WHERE event = (SELECT id FROM event WHERE serial = 7)", 7),
        ("UPDATE observed SET low = 89 WHERE event = (SELECT id FROM event WHERE serial = 7)", 7),
        ("UPDATE event SET serial = serial + 1000 WHERE serial > 10", 11),
    ],
)
def test_what_was_changed_behind_the_triggers_shows_in_the_seals(
    file_book: Logbook, words: str, serial: int
) -> None:
    begin(file_book)
    live(file_book, 20)
    assert file_book.path is not None
    tampered(file_book.path, words)
    looked = file_book.verify()
    assert looked.broken == serial
    assert [one.code for one in looked.findings] == ["LOG-32"]
    assert looked.findings[0].found == f"number {serial}"
    assert looked.serial == serial - 1


def test_a_server_that_was_tampered_with_shows_it_too(database: str, clock: Clock) -> None:
    book = Logbook(database, now=clock)
    begin(book)
    with book.engine.begin() as connection:
        connection.execute(text("ALTER TABLE flow DISABLE TRIGGER ALL"))
        connection.execute(text("UPDATE flow SET quantity = 21 WHERE quantity = 20"))
    assert book.verify().broken == 6
    book.close()


def test_a_forger_who_seals_anew_is_found_by_the_seal_on_paper(file_book: Logbook) -> None:
    begin(file_book)
    live(file_book, 20)
    paper = file_book.verify()
    assert file_book.verify(serial=paper.serial, seal=paper.seal).broken is None
    assert file_book.verify(serial=paper.serial, seal="0" * 64).broken == paper.serial
    assert file_book.path is not None
    tampered(
        file_book.path, f"DELETE FROM event WHERE serial = {paper.serial}"
    )  # the end cut off: no seal is wrong
    assert file_book.verify().broken is None
    assert file_book.verify(serial=paper.serial, seal=paper.seal).broken == paper.serial


def test_the_seals_of_a_file_and_of_a_server_are_the_same(tmp_path: Path, database: str) -> None:
    seals = set()
    for where in (tmp_path / "logbook.sqlite", database):
        book = Logbook(where, now=Clock())
        begin(book)
        seals.add(tuple(one.kind for one in book.events()))
        assert book.verify().broken is None
        book.close()
    assert len(seals) == 1


def test_a_clock_that_is_set_back_does_not_turn_the_order_round(book: Logbook, clock: Clock) -> None:
    begin(book)
    first = done(book.record([ph("a", 7.0, after(1))], ADA))[0]
    clock.at = clock.at.replace(hour=(clock.at.hour - 3) % 24)
    then = done(book.record([ph("a", 7.1, after(1))], ADA))[0]
    assert then.recorded == first.recorded
    assert then.id > first.id
    assert then.serial == first.serial + 1
    assert [one.event for one in book.readings(place="a", quantities=("ph",))] == [first.id, then.id]
    assert book.verify().back == ()


def test_a_clock_that_was_years_ahead_is_believed_once_it_is_right_and_the_jump_is_told(
    book: Logbook, clock: Clock
) -> None:
    begin(book)
    right = clock.at
    clock.at = right.replace(year=right.year + 8)
    done(book.record([ph("a", 7.0, after(1))], ADA))
    clock.at = right
    event = done(book.record([ph("a", 7.1, after(2))], ADA))[0]
    assert micros(event.recorded) < micros(right) + 10_000_000
    assert book.verify().back == (event.serial,)
    assert book.verify().broken is None
