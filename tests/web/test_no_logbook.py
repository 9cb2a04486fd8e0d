"""A logbook that cannot be had keeps its own pages shut, in words, and no others; what phones send waits."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from tankwright.logbook.store import Logbook
from tankwright.workspace.disk import folder_of

from .test_bad_input import CELLAR, Sender

ENTRY = {"key": "k1", "tank": "A1", "kind": "fed", "happened": "2026-08-02T07:15:00Z"}


def broken(path: Path) -> None:
    path.write_bytes(b"no database at all")


def newer(path: Path) -> None:
    Logbook(path).close()
    with sqlite3.connect(path) as book:
        book.execute("UPDATE alembic_version SET version_num = '9001'")
    book.close()


@pytest.fixture(params=[(broken, "LOG-10"), (newer, "LOG-11")], ids=["broken", "newer"])
def shut(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Sender, str, bytes]:
    make, code = request.param
    sender = Sender(tmp_path, CELLAR)
    book = folder_of(sender.plan) / "logbook.sqlite"
    book.parent.mkdir()
    make(book)
    return sender, code, book.read_bytes()


def test_pages_of_the_plan_open_and_pages_of_the_book_say_why_not(shut: tuple[Sender, str, bytes]) -> None:
    sender, code, before = shut
    for page in ("/", "/water", "/life", "/drain", "/parts", "/settings", "/history", "/bring"):
        assert sender.ask("GET", page).status_code == 200, page
    for page in ("/fish", "/happened", "/due", "/waters", "/t/A1"):
        answer = sender.ask("GET", page)
        assert answer.status_code == 503, page
        assert code in answer.text
        assert "still open" in answer.text
    assert (folder_of(sender.plan) / "logbook.sqlite").read_bytes() == before


def test_what_a_phone_sends_waits_for_another_day(shut: tuple[Sender, str, bytes]) -> None:
    sender, _, before = shut
    answer = sender.ask("POST", "/enter", {"accept": "application/json"}, data=ENTRY)
    assert answer.status_code == 503  # a phone keeps it and sends it again
    assert (folder_of(sender.plan) / "logbook.sqlite").read_bytes() == before


def test_a_program_is_told_in_its_own_way(shut: tuple[Sender, str, bytes]) -> None:
    sender, code, _ = shut
    answer = sender.ask("GET", "/api/v1/entries")
    assert answer.status_code == 503
    assert answer.headers["content-type"].startswith("application/problem+json")
    assert code in answer.json()["detail"]
