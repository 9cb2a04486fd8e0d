"""Papers: what the logbook gives on paper, each with its choices, as PDF and as tables."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlencode

from tankwright.documents.papers.all import PAPERS, TABLE_WORDS, Paper
from tankwright.documents.papers.asked import BYS, FIELDS, LONGEST_TO
from tankwright.documents.papers.kept import Wanted
from tankwright.finding import Finding
from tankwright.web.page import Page, View
from tankwright.workspace.jobs import Job

MOST_BROODS: Final = 500
"""Broods that can be chosen from, the youngest; an older one by its address."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One thing to choose: its id, and what it is called."""

    id: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Slow:
    """A paper that takes long: the work that makes it, whether it is made."""

    kind: str
    job: Job | None
    made: bool


def show(view: View) -> Mapping[str, object]:
    """The papers, the form of the chosen one, what is wrong with what was asked, how far a long one is."""
    asked = view.query.get("what", "")
    chosen = next((one for one in PAPERS if one.what == asked), PAPERS[0])
    book = view.log.kept
    kept = book is not None and bool(book.newest_serial())
    said = {"what": chosen.what, **{name: view.query.get(name, "")[:200] for name in FIELDS}}
    wrong, slow = _tried(view, said) if kept and view.query.get("asked") else ((), None)
    query = urlencode({name: said[name] for name in chosen.choices if said[name]})
    return {
        "papers": PAPERS, "chosen": chosen, "kept": kept, "asked": said, "wrong": wrong, "slow": slow, "query": query,
        "lines": _lines(view) if "line" in chosen.choices and kept else (),
        "broods": _broods(view, said["brood"]) if "brood" in chosen.choices and kept else (),
        "bys": BYS, "table_words": TABLE_WORDS, "longest_to": LONGEST_TO,
        "today": view.log.now().astimezone().date().isoformat(),
        "missing": _missing(chosen, view) if kept else "",
    }  # fmt: skip


def _tried(view: View, said: Mapping[str, str]) -> tuple[tuple[Finding, ...], Slow | None]:
    """What is wrong with what was asked; where nothing is and it takes long, how far it is."""
    if view.papers is None:
        return (), None
    wanted = view.papers.wanted(said)
    if not isinstance(wanted, Wanted):
        return wanted, None
    if view.papers.is_quick or view.jobs is None:
        return (), None
    number = view.snapshot.good_number
    job = next((one for one in view.jobs.list() if one.kind == wanted.kind and one.number == number), None)
    return (), Slow(kind=wanted.kind, job=job, made=view.papers.known(wanted) is not None)


def _lines(view: View) -> tuple[Choice, ...]:
    book = view.log.kept
    return () if book is None else tuple(Choice(id=one.id, name=one.name) for one in book.lines())


def _broods(view: View, said: str) -> tuple[Choice, ...]:
    """The youngest broods, and the one that is asked for."""
    book = view.log.kept
    if book is None:
        return ()
    broods = [one for one in book.stocks(closed=True) if one.kind == "brood"]
    broods.sort(key=lambda one: (one.born or one.opened.date(), one.label), reverse=True)
    shown = broods[:MOST_BROODS] + [one for one in broods[MOST_BROODS:] if said in (one.id, one.label)]
    return tuple(Choice(id=one.id, name=f"{one.label}, {one.born or one.opened.date()}") for one in shown)


def _missing(chosen: Paper, view: View) -> str:
    """What a paper needs and the book has none of."""
    if "line" in chosen.must and not _lines(view):
        return "line"
    return "brood" if "brood" in chosen.must and not _broods(view, "") else ""


PAGE: Final = Page(
    name="papers", path="/papers", title="Papers", template="papers.html", show=show, group="life"
)
