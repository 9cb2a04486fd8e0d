"""Books made for the app: each state of a plan, its build and the paper once, and handed out as often as asked for."""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from threading import Lock
from typing import Final, Literal

from tankwright.display import printable
from tankwright.documents.book import data_files, whole_pdf
from tankwright.documents.entries import ENTRIES, entries
from tankwright.documents.model import Sheet
from tankwright.documents.pdf import pdf_of
from tankwright.documents.source import Asked, Book
from tankwright.drawing.paper import Paper
from tankwright.workspace.build_marks import BuildMarks
from tankwright.workspace.jobs import Progress, Work
from tankwright.workspace.live import LivePlan
from tankwright.workspace.opened import Opened
from tankwright.workspace.parts_work import mark_of

Papers = Literal["A4", "Letter"]
PAPERS: Final[Mapping[Papers, tuple[Paper, Paper]]] = {"A4": ("A4", "A3"), "Letter": ("Letter", "Tabloid")}
"""Paper of tables and of large drawings, by the name of the first."""

SLOW: Final = frozenset({"cuts", "parts", "basket", "build-order", "test-sheets"})
"""Sheets that rest on work of seconds or minutes: they come with the whole book alone."""

_KEPT: Final = 3


def kind_of(papers: Papers) -> str:
    """The kind of slow work that makes a book.

    >>> kind_of("Letter")
    'book Letter'
    """
    return f"book {papers}"


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """What a book rests on: the plan, its build, the paper, the day; and a mark of all that."""

    opened: Opened
    asked: Asked
    mark: str


class KeptBook:
    """A whole book: its sheets by the entry they are of, and each as PDF once it was asked for."""

    def __init__(self, book: Book, made: Mapping[str, tuple[Sheet, ...]], pdf: bytes) -> None:
        self.pdf = pdf
        self._book = book
        self._made = made
        self._lock = Lock()
        self._alone: dict[str, bytes] = {}
        self._packed = b""

    def has(self, name: str) -> bool:
        """False where the plan has nothing of a sheet's subject."""
        return bool(self._made.get(name))

    def sheet(self, name: str) -> bytes | None:
        """One entry alone, as PDF."""
        sheets = self._made.get(name)
        if not sheets:
            return None
        with self._lock:
            if name not in self._alone:
                self._alone[name] = _alone(self._book, sheets)
            return self._alone[name]

    def packed(self) -> bytes:
        """Everything in one ZIP: the book, each sheet, tables, calendar, CAD drawings."""
        alone = {name: self.sheet(name) for name in self._made}
        with self._lock:
            if not self._packed:
                files = {"book.pdf": self.pdf}
                files |= {f"sheets/{name}.pdf": pdf for name, pdf in alone.items() if pdf is not None}
                files |= data_files(self._book, [one for many in self._made.values() for one in many])
                self._packed = packed(files)
            return self._packed


class Books:
    """The books of one plan. `base_url` is where the app is found in the house, "" for nowhere: then labels have no
    codes."""

    def __init__(
        self, live: LivePlan, marks: BuildMarks, *, base_url: Callable[[], str], today: Callable[[], date]
    ) -> None:
        self._live, self._marks, self._base_url, self._today = live, marks, base_url, today
        self._lock = Lock()
        self._kept: OrderedDict[str, KeptBook] = OrderedDict()

    @property
    def base_url(self) -> str:
        """Where codes on labels lead."""
        return self._base_url()

    def kinds(self) -> dict[str, Work]:
        """The slow work that makes them, by kind."""
        return {kind_of(papers): partial(self._make, papers) for papers in PAPERS}

    def state(self, opened: Opened | None, papers: Papers) -> State | None:
        """What a book of a plan would rest on now; None for a plan that was not worked out."""
        if opened is None or opened.room is None or opened.study is None:
            return None
        snapshot = self._live.snapshot
        revision = f"plan {snapshot.good_number}" if snapshot.good is opened else "an older plan"
        small, large = PAPERS[papers]
        asked = Asked(
            today=self._today(), revision=revision, marks=self._marks.all(), address=self.base_url, small=small,
            large=large,
        )  # fmt: skip
        told = hashlib.sha256(f"{mark_of(opened)}\0{asked!r}".encode("utf-8", "replace"))
        return State(opened=opened, asked=asked, mark=told.hexdigest()[:32])

    def known(self, state: State | None) -> KeptBook | None:
        """The whole book of a state, when it was made."""
        if state is None:
            return None
        with self._lock:
            if state.mark in self._kept:
                self._kept.move_to_end(state.mark)
            return self._kept.get(state.mark)

    def sheet(self, state: State, name: str) -> bytes | None:
        """One entry as PDF: out of the book when it was made, else by itself unless it is slow; None for none."""
        known = self.known(state)
        if known is not None:
            return known.sheet(name)
        entry = next((one for one in ENTRIES if one.name == name and name not in SLOW), None)
        if entry is None:
            return None
        book = Book(state.opened, state.asked, quick=True)
        sheets = entry.make(book)
        return _alone(book, sheets) if sheets else None

    def _make(self, papers: Papers, opened: Opened, progress: Progress) -> object:
        state = self.state(opened, papers)
        if state is None:
            raise ValueError("a plan that was not worked out has no book")
        if self.known(state) is None:
            made = make_whole(Book(opened, state.asked), progress)
            with self._lock:
                self._kept[state.mark] = made
                while len(self._kept) > _KEPT:
                    self._kept.popitem(last=False)
        return state.mark


def make_whole(book: Book, progress: Progress) -> KeptBook:
    """Every sheet, then the pages; `progress` is told each and may raise to stop."""
    chosen = entries(book.room)
    made: dict[str, tuple[Sheet, ...]] = {}
    for number, entry in enumerate(chosen):
        progress(number, len(chosen) + 1)
        made[entry.name] = entry.make(book)
    progress(len(chosen), len(chosen) + 1)
    sheets = [one for many in made.values() for one in many]
    return KeptBook(book, made, whole_pdf(book, sheets))


def packed(files: Mapping[str, bytes]) -> bytes:
    """Files as one ZIP, always the same bytes for the same files.

    >>> import io, zipfile
    >>> zipfile.ZipFile(io.BytesIO(packed({"a/b.txt": b"x"}))).namelist()
    ['a/b.txt']
    """
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return kept.getvalue()


def _alone(book: Book, sheets: tuple[Sheet, ...]) -> bytes:
    title = printable(f"{book.room.title}: {sheets[0].title}")
    return pdf_of(sheets, title=title, foot=book.foot, paper=book.small, display=book.display)
