"""Every table of a book as CSV."""

from __future__ import annotations

import csv
import io

from tankwright.logbook.store import Logbook
from tankwright.logbook.table_files import tables_of

from .books import ADA, after, begin, done, live, ph


def read(book: Logbook) -> dict[str, list[dict[str, str]]]:
    return {name: list(csv.DictReader(io.StringIO("".join(lines)))) for name, lines in tables_of(book)}


def test_every_table_is_there_and_says_what_the_book_says(book: Logbook) -> None:
    begin(book)
    live(book, 25)
    tables = read(book)
    assert len(tables["events.csv"]) == book.count_events()
    assert [int(row["serial"]) for row in tables["events.csv"]] == list(range(1, book.count_events() + 1))
    held = {(row["stock name"], row["place name"]): int(row["held"]) for row in tables["balances.csv"]}
    assert held == {(one.stock, one.place): one.held for one in book.holdings() if one.held or one.high}
    assert sum(int(row["quantity"]) for row in tables["flows.csv"]) == 0
    assert [row["name"] for row in tables["lines.csv"]] == ["l1"]
    assert {row["label"] for row in tables["stocks.csv"]} == {"s", "t"}
    assert {row["id"] for row in tables["places.csv"]} == {"a", "b"}
    tests = [row for row in tables["observations.csv"] if row["quantity"] == "ph"]
    assert tests
    assert all(float(row["low"]) < float(row["value"]) < float(row["high"]) for row in tests)
    assert all(row["happened"].endswith("Z") for row in tables["events.csv"])
    voided = [row for row in tables["events.csv"] if row["voided by"]]
    assert len(voided) == sum(row["kind"] == "voided" for row in tables["events.csv"])


def test_an_empty_book_has_tables_with_their_heads(book: Logbook) -> None:
    for name, lines in tables_of(book):
        text = "".join(lines)
        assert text.count("\n") == 1, name


def test_a_note_is_never_a_formula(book: Logbook) -> None:
    begin(book)
    test = ph("a", 7.0, after(1))
    for note in ("=1+1", "@home", '"quoted", and\nover two lines', "é☃"):
        done(book.record([type(test)(kind="noted", happened=after(1), place="a", note=note)], ADA))
    notes = [row["note"] for row in read(book)["events.csv"]][-4:]
    assert notes == ["'=1+1", "'@home", '"quoted", and\nover two lines', "é☃"]
