"""Books of the shipped examples, each made once."""

from __future__ import annotations

import atexit
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path

import pytest

from tankwright.documents.book import sheets_of, whole_pdf
from tankwright.documents.model import Sheet
from tankwright.documents.source import Asked, Book
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
ADDRESS = "http://fishroom.local:8321"
HALL = ("cover", "plan", "drill", "loads", "labels")
"""Sheets of the hall of 600 tanks that are looked at: all of it takes a minute."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A book with its sheets and its PDF."""

    book: Book
    sheets: tuple[Sheet, ...]
    pdf: bytes


@lru_cache(maxsize=8)
def made(name: str) -> Made:
    # a book keeps the panes it works out beside its plan: not beside the examples
    folder = Path(tempfile.mkdtemp(prefix="tankwright-book-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    book = Book(
        open_plan(Path(shutil.copy(EXAMPLES / f"{name}.toml", folder))),
        Asked(today=date(2027, 2, 1), revision="plan 41", address=ADDRESS),
    )
    wanted = HALL if name == "hall" else ()
    sheets = sheets_of(book, wanted)
    return Made(book=book, sheets=sheets, pdf=whole_pdf(book, sheets, contents=not wanted))


@pytest.fixture(scope="session")
def book_of() -> Callable[[str], Made]:
    return made
