"""The emergency card for the door and the absence sheet for a helper, each one page of paper."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Final

from tankwright.display import printable
from tankwright.husbandry.rounds import Upcoming
from tankwright.report.absence_due import due_grid
from tankwright.web import clock
from tankwright.web.cards import TITLES, CardName, CardShown, card_shown
from tankwright.web.page import Page, View
from tankwright.web.pages.faults import known_of
from tankwright.workspace.opened import Opened
from tankwright.workspace.round_work import upcoming_of

LONGEST: Final = timedelta(days=60)
"""How far ahead work is told for an absence; our choice, no source."""


def _show(view: View, name: CardName) -> Mapping[str, object]:
    worked = known_of(view)
    faults = worked.faults if worked is not None else None

    def make(opened: Opened) -> CardShown | None:
        return None if opened.study is None else card_shown(name, opened.study, faults)

    today = datetime.now().astimezone().strftime("%Y-%m-%d")
    newest = "" if view.is_current else ", not the newest"
    note = f"{view.live.path.name}, plan {view.snapshot.good_number}{newest}, printed {today}"
    first, last = view.query.get("from", "")[:20], view.query.get("to", "")[:20]
    days = _days(first, last) if name == "absence" else None
    return {
        "away": (first, last),
        "away_wrong": name == "absence" and bool(first or last) and days is None,
        "grid": None if days is None else due_grid(_coming(view, *days), *days),
        "shown": view.made_once.keep(view.snapshot, ("card", name, id(faults)), make),
        "note": printable(note),
        "other": "absence" if name == "door" else "door",
        "titles": TITLES,
    }


def _days(first: str, last: str) -> tuple[date, date] | None:
    """The first and the last day away; None when they are no two such days."""
    try:
        days = date.fromisoformat(first), date.fromisoformat(last)
    except ValueError:
        return None
    return days if days[0] <= days[1] else None


def _coming(view: View, first: date, last: date) -> tuple[Upcoming, ...]:
    return upcoming_of(view.log, clock.day_of, first, min(last, first + LONGEST), study=view.study)


DOOR: Final = Page(
    name="door",
    path="/print/door",
    title=TITLES["door"],
    template="cards.html",
    show=lambda view: _show(view, "door"),
)
ABSENCE: Final = Page(
    name="absence",
    path="/print/absence",
    title=TITLES["absence"],
    template="cards.html",
    show=lambda view: _show(view, "absence"),
)
