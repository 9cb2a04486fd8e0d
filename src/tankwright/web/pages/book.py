"""The build book: which sheets a plan has, what each is for, each opened or all printed, everything as one file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from tankwright.documents.entries import PARTS, entries
from tankwright.documents.kept import PAPERS, SLOW, Books, KeptBook, Papers, kind_of
from tankwright.web.page import Page, View
from tankwright.workspace.jobs import Job

_USUAL: Final[Mapping[str, Papers]] = {"US": "Letter"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A sheet: what it is for, where it is opened ("" while it is not made), and whether the plan has any of it; that
    is known of a whole book only."""

    title: str
    purpose: str
    path: str
    missing: bool


def papers_of(asked: str, display: str) -> Papers:
    """The papers an address asks for, else those of the reader's units.

    >>> papers_of("Letter", "metric"), papers_of("", "US"), papers_of("napkin", "metric")
    ('Letter', 'Letter', 'A4')
    """
    return next((one for one in PAPERS if one == asked), _USUAL.get(display, "A4"))


def show(view: View) -> Mapping[str, object]:
    """The sheets by part, and the work that makes them all."""
    papers = papers_of(view.query.get("papers", ""), view.display)
    kind = kind_of(papers)
    books = view.books
    state = books.state(view.snapshot.good, papers) if books is not None else None
    known = books.known(state) if books is not None else None
    jobs = [job for job in view.jobs.list() if job.kind == kind] if view.jobs is not None else []
    return {
        "papers": papers, "choices": tuple((name, " + ".join(both)) for name, both in PAPERS.items()), "kind": kind,
        "job": _job(jobs, view.snapshot.good_number), "made": known is not None,
        "parts_of_it": _parts(view, papers, known), "address": _address(books),
        "has_plan": state is not None, "revision": state.asked.revision if state is not None else "",
        "size": len(known.pdf) if known is not None else 0,
    }  # fmt: skip


def _job(jobs: list[Job], number: int | None) -> Job | None:
    return next((job for job in jobs if job.number == number), None)


def _address(books: Books | None) -> str:
    return books.base_url if books is not None else ""


def _parts(view: View, papers: Papers, known: KeptBook | None) -> tuple[tuple[str, tuple[Row, ...]], ...]:
    if view.room is None:
        return ()
    return tuple(
        (
            PARTS[part],
            tuple(
                Row(
                    title=one.title, purpose=one.purpose,
                    path=f"/book/{one.name}.pdf?papers={papers}" if known is not None or one.name not in SLOW else "",
                    missing=known is not None and not known.has(one.name),
                )
                for one in some
            ),
        )
        for part, some in groupby(entries(view.room), key=lambda one: one.part)
    )  # fmt: skip


PAGE = Page(name="book", path="/book", title="Build book", template="book.html", show=show, group="build")
